"""A batch as the record its ticket is printed from."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from decimal import Decimal

from formulas.cross_section import split_grams
from production.batches.cautions import cautions
from production.batches.frozen import FrozenPlan, FrozenPortion
from production.batches.models import Batch, Weighing
from production.batches.pictures import drawn_bar
from production.batches.records import plan_of
from production.batches.ticket_steps import ahead_steps, process_steps
from production.documents.records import (
    BatchTicketPaper,
    CheckLine,
    CurePlan,
    EmergencyFooter,
    PartLine,
    PortionColor,
    PortionLine,
    WeighingLine,
)
from production.scales.reads import checks_in_words
from production.stock.models import Lot
from soapshop.models import Workshop
from soapshop.units import format_grams

SCALES_CHECKED = "Scales checked today"
BEFORE_START = (
    "Area clear; pot, mold and mixer clean",
    SCALES_CHECKED,
    "All lots here, released, in date",
    "Goggles, gloves, apron, sleeves on",
    "Tap or eyewash clear; window open",
    "Ticket read once with fresh eyes",
)
# Start figures for the first batches of a formula: common practice, no published source.
IN_MOLDS, CUT_BACK, LEFT_IN_POT = "97 to 100.5 %", "98 to 100.5 %", "up to 3 %"
WEEK = timedelta(days=7)
CENTIGRAM = Decimal("0.01")
LIES_WORDS = {"swirl": "swirl it through", "drop": "drop it over the bar"}


def ticket_paper(
    batch: Batch, *, workshop: Workshop, printed_at: datetime, printed_by: str, scan_text: str, copy_number: int
) -> BatchTicketPaper:
    """Return the ticket of a batch as it was frozen, with today's first-to-expire lots beside the lines."""
    plan = plan_of(batch)
    dangers = cautions(plan)
    weighings = list(batch.weighings.all())
    return BatchTicketPaper(
        batch_number=batch.number,
        product=plan.product,
        formula_code=plan.formula_name,
        formula_revision=str(plan.revision_number),
        formula_approved_date=plan.approved_on,
        oil_grams=_plain(batch.oils_grams),
        total_grams=batch.batter_grams.quantize(Decimal(1)),
        bar_count=batch.planned_bars,
        mold=plan.mold_name if plan.mold_count == 1 else f"{plan.mold_count} × {plan.mold_name}",
        printed_at=printed_at,
        printed_by=printed_by,
        copy_number=copy_number,
        made_for=_made_for(batch),
        order_numbers=tuple(dict.fromkeys(served.line.order.number for served in batch.serves.all())),
        before_start=_before_start(printed_at.date()),
        weighings=tuple(weighing_lines(weighings, orders={item.line.order_id for item in batch.serves.all()})),
        portions=tuple(_portion_lines(plan)),
        drawing=drawn_bar(plan) if plan.portions else None,
        steps=tuple(
            process_steps(
                plan,
                dangers,
                ahead=ahead_steps(batch.steps.all(), pour_on=batch.pour_on),
                wordings=_wordings(batch),
            )
        ),
        parts=tuple(
            PartLine(
                name=part.name,
                count=part.pieces + part.spares,
                spares=part.spares,
                when={"pour": "at the pour", "cut": "after the cut"}.get(part.attached_at, "on the cured bar"),
            )
            for part in plan.parts
            if not part.is_work
        ),
        in_process_checks=(
            CheckLine("Pot before lye, on the scale", format_grams(_before_lye(weighings), places=0), "g"),
            CheckLine("Superfat, worst to best case", _interval(plan), "%"),
        ),
        yield_points=_yield_points(batch),
        cure=_cure(batch),
        release_checks=_release_checks(plan),
        emergency=EmergencyFooter(
            eyewash_place=workshop.eyewash_place,
            emergency_number=workshop.emergency_number,
            poison_center=workshop.poison_center_number,
        ),
        notices=_notices(batch, plan),
        scan_text=scan_text,
        shop_name=workshop.name,
        paper_size=workshop.paper_size,
    )


def _made_for(batch: Batch) -> str:
    """Say it in place of the orders where a batch only tries a design."""
    tried = getattr(batch, "test_pour", None)
    return "" if tried is None else f"test pour: {tried.tries}"


def _wordings(batch: Batch) -> tuple[tuple[str, str], ...]:
    """Return the order and the words of each line that the batch serves, each once."""
    served = [each.line for each in batch.serves.all()]
    return tuple(dict.fromkeys((line.order.number, line.wording) for line in served if line.wording))


def _before_start(today: date) -> tuple[str, ...]:
    """The ticks before the start, with how the scales stand today where they are kept on a list."""
    scales = checks_in_words(today=today)
    return tuple(f"{line}: {scales}" if scales and line == SCALES_CHECKED else line for line in BEFORE_START)


def weighing_lines(weighings: Iterable[Weighing], *, orders: Iterable[int] = ()) -> Iterable[WeighingLine]:
    """Yield the rows of the weigh-out; oils share one pot, so their running total stands beside them."""
    in_pot = Decimal(0)
    lots = _first_lots(weighings, orders)
    for weighing in weighings:
        running = None
        if weighing.phase == Weighing.Phase.OILS:
            in_pot += weighing.planned_grams
            running = _plain(in_pot)
        lot = weighing.lot.code if weighing.lot else lots.get(weighing.material_id, "")
        yield WeighingLine(
            phase=weighing.get_phase_display(),
            step=str(weighing.position),
            material=f"{weighing.material} ({weighing.portion_letter})"
            if weighing.portion_letter
            else weighing.material.name,
            planned_grams=_plain(weighing.planned_grams),
            accept_from_grams=_plain(weighing.accept_low_grams),
            accept_to_grams=_plain(weighing.accept_high_grams),
            lot_code=lot,
            running_total_grams=running,
        )


def _interval(plan: FrozenPlan) -> str:
    return f"{plan.superfat.lowest:.1f} to {plan.superfat.highest:.1f} %"


def _plain(grams: Decimal) -> Decimal:
    """Return the same weight without idle zeros behind the point."""
    return grams.normalize() + 0


def _first_lots(weighings: Iterable[Weighing], orders: Iterable[int]) -> dict[int, str]:
    """Return the code of the lot to take first for each material, in one query."""
    wanted = {weighing.material_id for weighing in weighings if weighing.lot_id is None}
    found: dict[int, str] = {}
    for lot in Lot.objects.filter(material_id__in=wanted).drawable(orders=orders):
        found.setdefault(lot.material_id, lot.code)
    return found


def _before_lye(weighings: Iterable[Weighing]) -> Decimal:
    return sum((item.planned_grams for item in weighings if item.phase == Weighing.Phase.OILS), Decimal(0))


def _portion_lines(plan: FrozenPlan) -> Iterable[PortionLine]:
    jugs: dict[str, FrozenPortion] = {}
    for portion in sorted(plan.portions, key=lambda item: (item.pour_order, item.letter)):
        jugs.setdefault(portion.letter, portion)
    for letter, grams in whole_grams(jugs).items():
        jug = jugs[letter]
        yield PortionLine(
            letter=letter,
            name=jug.name if jug.is_scented else f"{jug.name}, no scent",
            grams=grams,
            colors=tuple(_in_the_jug(jug)),
            pour_order=f"pour {jug.pour_order}",
            trace="; ".join(words for words in (jug.trace.lower(), LIES_WORDS.get(jug.lies, ""), jug.note) if words),
        )


def whole_grams(jugs: Mapping[str, FrozenPortion]) -> dict[str, Decimal]:
    """Round the jugs to whole grams so that what is printed still adds up to the batter."""
    exact = {letter: jug.grams for letter, jug in jugs.items()}
    if not exact:
        return {}
    return split_grams(sum(exact.values(), Decimal(0)).quantize(Decimal(1)), exact, step_grams=Decimal(1))


def _in_the_jug(jug: FrozenPortion) -> Iterable[PortionColor]:
    for color in jug.colors:
        yield PortionColor(color.name, color.grams.quantize(CENTIGRAM), color.teaspoons)
    if jug.held_back_grams:
        yield PortionColor(f"{jug.carrier_oil} held back", jug.held_back_grams.quantize(CENTIGRAM))
    if jug.extra_oil_grams:
        yield PortionColor(f"{jug.carrier_oil} on top", jug.extra_oil_grams.quantize(CENTIGRAM))
    if jug.wet_grams:
        yield PortionColor(f"{jug.wet_liquid} on top", jug.wet_grams.quantize(CENTIGRAM))


def _yield_points(batch: Batch) -> tuple[CheckLine, ...]:
    return (
        CheckLine("Sum weighed", format_grams(batch.batter_grams, places=0), "g"),
        CheckLine("In the molds", IN_MOLDS, "g"),
        CheckLine("Left in pot and jugs", LEFT_IN_POT, "g"),
        CheckLine("Bars cut", str(batch.planned_bars), "bars"),
        CheckLine("Bars, ends and trims together", CUT_BACK, "g"),
        CheckLine("Bars spoiled", "", "bars"),
    )


def _cure(batch: Batch) -> CurePlan:
    pour = batch.poured_on or batch.pour_on
    return CurePlan(
        pour_date=pour,
        ready_date=pour + timedelta(days=batch.cure_days),
        weighing_dates=tuple(pour + WEEK * week for week in range(1, batch.cure_days // 7 + 1)),
        rack=batch.rack_place,
    )


def _release_checks(plan: FrozenPlan) -> tuple[CheckLine, ...]:
    floor = plan.superfat_floor_percent.normalize() + 0
    return (
        CheckLine("Superfat from weights", f"above {floor:f} %", "%"),
        CheckLine("Free alkali in alcohol", "up to 0.05 %", "%"),
        CheckLine("pH, 1 % solution", "8.5 to 10.5", "pH"),
        CheckLine("Looks, smell, hardness", "", ""),
        CheckLine("Weekly loss", "under 1 %", "%"),
        CheckLine("Samples kept", "", "bars"),
        CheckLine("Labels: version and count", "", ""),
        CheckLine("Deviations closed", "all", ""),
    )


def _notices(batch: Batch, plan: FrozenPlan) -> tuple[str, ...]:
    notices = []
    if batch.state.value in ("cancelled", "held"):
        notices.append(f"This batch is {batch.state.label.lower()}: do not make from this ticket.")
    newest = batch.revision.formula.revisions.approved().first() if batch.revision else None
    if newest is not None and newest.number != plan.revision_number and batch.state.value == "planned":
        notices.append(f"Revision {newest.number} of {plan.formula_name} is approved by now; this ticket is older.")
    return tuple(notices)
