"""A batch of parts as the record its ticket is printed from; the paper is the same as that of a batch of bars."""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from typing import cast

from production.batches.cautions import LYE_CAUTIONS
from production.batches.models import Weighing
from production.batches.ticket import BEFORE_START, weighing_lines
from production.documents.batch_ticket import batch_ticket_pdf
from production.documents.records import BatchTicketPaper, CheckLine, CurePlan, EmergencyFooter, ProcessStep
from production.part_batches.frozen import FrozenPartPlan
from production.part_batches.models import PartBatch
from production.part_batches.states import PartBatchState
from soapshop.frozen_json import from_json
from soapshop.models import Workshop
from soapshop.paper_press import print_beside
from soapshop.units import format_grams

FRESH_PIECES = "Fresh pieces are still caustic: work them with gloves."


def part_ticket_pdf(
    batch: PartBatch, *, printed_at: datetime, printed_by: str, scan_text: str, copy_number: int | None = None
) -> bytes:
    """Return the ticket as PDF, by itself the next copy. Fetch the batch with ``for_page()``."""
    plan = from_json(FrozenPartPlan, batch.frozen)
    workshop = Workshop.current()
    return print_beside(
        batch_ticket_pdf,
        BatchTicketPaper(
            batch_number=batch.number,
            product=plan.part,
            formula_code=plan.formula_name,
            formula_revision=str(plan.revision_number),
            formula_approved_date=plan.approved_on,
            oil_grams=batch.oils_grams.normalize() + 0,
            total_grams=batch.batter_grams.quantize(Decimal(1)),
            bar_count=plan.pieces,
            makes="piece",
            made_for="parts, made ahead",
            mold=f"{format_grams(plan.piece_grams)} a piece",
            printed_at=printed_at,
            printed_by=printed_by,
            copy_number=copy_number or batch.tickets_printed + 1,
            before_start=BEFORE_START,
            weighings=tuple(weighing_lines(_lines(batch))),
            steps=tuple(_steps(plan)),
            in_process_checks=(
                CheckLine(
                    "Superfat, worst to best case", f"{plan.superfat.lowest:.1f} to {plan.superfat.highest:.1f} %", "%"
                ),
            ),
            yield_points=(
                CheckLine("Sum weighed", format_grams(batch.batter_grams, places=0), "g"),
                CheckLine("One piece, wet", format_grams(plan.piece_grams), "g"),
                CheckLine("Good pieces", str(plan.pieces), "pieces"),
            ),
            cure=CurePlan(pour_date=batch.made_on or batch.make_on),
            release_checks=(
                CheckLine("Superfat from weights", f"above {plan.superfat_floor_percent.normalize() + 0:f} %", "%"),
                CheckLine("Lot of pieces, on the box", "", ""),
                CheckLine("Use by", "", ""),
            ),
            emergency=EmergencyFooter(
                eyewash_place=workshop.eyewash_place,
                emergency_number=workshop.emergency_number,
                poison_center=workshop.poison_center_number,
            ),
            notices=_notices(batch),
            scan_text=scan_text,
            shop_name=workshop.name,
            paper_size=workshop.paper_size,
        ),
    )


def _lines(batch: PartBatch) -> list[Weighing]:
    """Return the lines of the weigh-out; the ticket reads the same figures of them as of a batch of bars."""
    return cast(list[Weighing], list(batch.weighings.all()))


def _steps(plan: FrozenPartPlan) -> Iterable[ProcessStep]:
    rest = f"Let them rest {plan.rest_days} day{'s' * (plan.rest_days != 1)} before they go on a bar." * bool(
        plan.rest_days
    )
    cool = "Keep them cool: no oven, no gel, no plastic wrap." if plan.forbids_heat else "Cover them."
    steps = (
        ("Stir the lye into the cold liquid, a little at a time, until clear.", "clear", "°C"),
        ("Melt the hard fats, add the oils, let them cool.", "32 to 45 °C", "°C"),
        ("Stop: read the ticket once more, then pour the lye through a sieve into the oils.", "", "g"),
        ("Blend in short bursts; stir in what comes at trace.", "emulsion", "min"),
        (
            f"Fill {plan.pieces} pieces of {format_grams(plan.piece_grams)} each. {cool}",
            f"{plan.pieces} pieces",
            "pieces",
        ),
        ("Unmold with gloves on, count the good pieces, write their lot and use-by day on the box.", "", "pieces"),
        *((words, "", "") for words in (rest, plan.process_note) if words),
    )
    for number, (text, target, unit) in enumerate(steps, start=1):
        cautions = LYE_CAUTIONS if number == 1 else (FRESH_PIECES,) if text.startswith("Unmold") else ()
        yield ProcessStep(number=number, text=text, target=target, unit=unit, cautions=cautions)


def _notices(batch: PartBatch) -> tuple[str, ...]:
    if batch.state in (PartBatchState.CANCELLED, PartBatchState.SCRAPPED):
        return (f"This batch of parts is {batch.state.label.lower()}: do not make from this ticket.",)
    return ()
