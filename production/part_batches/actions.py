"""Make parts in small batches of their own: plan, weigh and pour, count onto the shelf, or give it up."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from formulas.models import Part
from formulas.part_windows import PartWindowError, check_use_by
from production.batches.asked import BatchRefusal
from production.part_batches.frozen import FrozenPartPlan
from production.part_batches.models import PartBatch, PartWeighing
from production.part_batches.pot import Weighed, weighed_superfat
from production.part_batches.sizing import size_part_batch
from production.part_batches.states import PartBatchState, may_move
from production.stock.actions import StockRefusal, draw_from_lot, make_part_lot
from production.stock.models import Lot, Origin
from soapshop.audit import note_event
from soapshop.frozen_json import from_json, to_json
from soapshop.models import User, Workshop
from soapshop.numbering import next_number
from soapshop.units import format_grams


@transaction.atomic
def plan_part_batch(*, part_id: int, pieces: int, make_on: date, by: User, typed_once: UUID | None = None) -> PartBatch:
    """Plan a pot for so many pieces from the approved revision. The same form sent twice gives one batch."""
    taken = PartBatch.objects.filter(typed_once=typed_once).first() if typed_once else None
    if taken is not None:
        return taken
    part = Part.objects.select_for_update(of=("self",)).select_related("formula").get(pk=part_id)
    if part.formula is None:
        raise BatchRefusal(f"{part.name} has no formula, so it has no batch to weigh. Name its formula first.")
    revision = part.formula.revisions.approved().select_related("formula").first()
    if revision is None:
        raise BatchRefusal(f"{part.formula.name} has no approved revision. Approve one, then make the pieces.")
    sized = size_part_batch(part, revision, pieces=pieces, workshop=Workshop.current())
    batch = PartBatch.objects.create(
        number=f"M{make_on:%y}-{next_number(f'part-batch-{make_on:%y}'):03d}",
        part=part,
        revision=revision,
        planned_pieces=pieces,
        oils_grams=sized.plan.oils_grams,
        batter_grams=sized.plan.batter_grams,
        frozen=to_json(sized.plan),
        make_on=make_on,
        typed_once=typed_once,
        created_by=by,
    )
    PartWeighing.objects.bulk_create(
        PartWeighing(
            part_batch=batch,
            position=position,
            **line.as_row,
        )
        for position, line in enumerate(sized.lines, start=1)
    )
    note_event(by=by, verb="plan_part_batch", subject=batch, text=f"Planned {pieces} {part.name} as {batch.number}.")
    return batch


@transaction.atomic
def pour_part_batch(
    *,
    part_batch_id: int,
    weights: Mapping[int, tuple[str, Decimal]],
    made_on: date,
    by: User,
    what_happened: str = "",
) -> PartBatch:
    """Write down what went in, line by line (lot code and grams), draw it from the lots, and note the pour.

    A pot without fat left over is refused. A weight outside its band, or a superfat below the workshop's floor, wants
    a sentence about what happened.
    """
    batch = _moved(part_batch_id, PartBatchState.POURED)
    plan = from_json(FrozenPartPlan, batch.frozen)
    lines = list(batch.weighings.select_related("material"))
    lots = _lots_named(lines, weights)
    superfat = weighed_superfat(
        plan.materials, [Weighed(line.material_id, weights[line.pk][1], lots[line.pk]) for line in lines]
    )
    _judge_pot(lines, weights, superfat, plan, what_happened)
    for line in lines:
        line.lot, line.actual_grams = lots[line.pk], weights[line.pk][1]
        line.weighed_at, line.weighed_by = timezone.now(), by
        _draw(line, on=made_on, by=by, note=f"{batch.number}, {batch.part.name}")
        line.save(update_fields=["lot", "actual_grams", "weighed_at", "weighed_by"])
    batch.made_on, batch.superfat_percent = made_on, superfat
    batch.what_happened = what_happened.strip()[:400]
    batch.status = PartBatchState.POURED.value
    batch.save(update_fields=["status", "made_on", "superfat_percent", "what_happened"])
    text = f"Poured {batch.number}, {batch.part.name}, at {superfat:.2f} % superfat."
    note_event(by=by, verb="pour_part_batch", subject=batch, text=text, after={"what_happened": batch.what_happened})
    return batch


@transaction.atomic
def shelve_part_batch(
    *, part_batch_id: int, pieces: int, use_by: date | None, by: User, note: str = "", is_wrapped: bool = True
) -> PartBatch:
    """Count the good pieces onto the shelf as one lot, made on the day of the pour, with what it came from."""
    batch = _moved(part_batch_id, PartBatchState.SHELVED)
    if batch.made_on is None or not 1 <= pieces <= 2 * batch.planned_pieces:
        raise BatchRefusal(
            f"{batch.planned_pieces} pieces were planned. Count from 1 to {2 * batch.planned_pieces}; "
            "if none is good, throw the batch away."
        )
    try:
        if use_by is not None:
            check_use_by(use_by, made_on=batch.made_on)
        lot = make_part_lot(
            part=batch.part,
            pieces=pieces,
            made_on=batch.made_on,
            use_by=use_by,
            is_wrapped=is_wrapped,
            by=by,
            note=note or batch.number,
        )
    except (StockRefusal, PartWindowError) as refusal:
        raise BatchRefusal(str(refusal)) from refusal
    Origin.objects.bulk_create(
        Origin(part_lot=lot, from_lot=line.lot, grams=line.actual_grams, by=by) for line in batch.weighings.all()
    )
    batch.lot, batch.status = lot, PartBatchState.SHELVED.value
    batch.save(update_fields=["lot", "status"])
    text = f"{pieces} of {batch.planned_pieces} pieces of {batch.number} are {lot.code}."
    note_event(by=by, verb="shelve_part_batch", subject=batch, text=text)
    return batch


@transaction.atomic
def give_up_part_batch(*, part_batch_id: int, reason: str, by: User) -> PartBatch:
    """Cancel a planned batch of parts, or throw away a poured one, with a few words why."""
    batch = PartBatch.objects.select_for_update().get(pk=part_batch_id)
    is_poured = batch.state == PartBatchState.POURED
    batch = _moved(part_batch_id, PartBatchState.SCRAPPED if is_poured else PartBatchState.CANCELLED)
    if not reason.strip():
        raise BatchRefusal("Say in a few words why.")
    batch.status = (PartBatchState.SCRAPPED if is_poured else PartBatchState.CANCELLED).value
    batch.what_happened = f"{batch.what_happened} {reason.strip()}".strip()[:400]
    batch.save(update_fields=["status", "what_happened"])
    text = f"{batch.number} is {batch.state.label.lower()}: {reason.strip()}"[:400]
    note_event(by=by, verb="give_up_part_batch", subject=batch, text=text)
    return batch


@transaction.atomic
def count_part_ticket(*, part_batch_id: int, by: User) -> int:
    """Count one printed copy and return its number."""
    batch = PartBatch.objects.select_for_update().get(pk=part_batch_id)
    batch.tickets_printed += 1
    batch.save(update_fields=["tickets_printed"])
    text = f"Printed the ticket of {batch.number}, copy {batch.tickets_printed}."
    note_event(by=by, verb="print_part_ticket", subject=batch, text=text)
    return batch.tickets_printed


def _moved(part_batch_id: int, to: PartBatchState) -> PartBatch:
    """Lock the batch and refuse what its stage does not allow."""
    batch = PartBatch.objects.select_for_update(of=("self",)).select_related("part").get(pk=part_batch_id)
    refusal = may_move(batch.state, to)
    if refusal:
        raise BatchRefusal(refusal)
    return batch


def _lots_named(lines: list[PartWeighing], weights: Mapping[int, tuple[str, Decimal]]) -> dict[int, Lot]:
    codes = {code.strip().upper() for code, _ in weights.values()}
    known = {lot.code.upper(): lot for lot in Lot.objects.filter(code__in=codes).select_related("material")}
    found = {}
    for line in lines:
        if line.pk not in weights:
            raise BatchRefusal(f"{line.material} is not weighed. Type its lot and its grams, or weigh it first.")
        code = weights[line.pk][0].strip()
        lot = known.get(code.upper())
        if lot is None:
            raise BatchRefusal(f"There is no lot “{code[:40]}”. Look at the tub, or choose a lot from the list.")
        if lot.material_id != line.material_id:
            raise BatchRefusal(
                f"{lot.code} holds {lot.material}, and this line is {line.material}. Take the other tub."
            )
        found[line.pk] = lot
    return found


def _judge_pot(
    lines: list[PartWeighing],
    weights: Mapping[int, tuple[str, Decimal]],
    superfat: Decimal | None,
    plan: FrozenPartPlan,
    what_happened: str,
) -> None:
    if superfat is None:
        raise BatchRefusal(
            "The superfat of this pot cannot be computed, so it must not be poured. Enter what is missing."
        )
    if superfat <= 0:
        raise BatchRefusal(
            f"Stop: this pot has a superfat of {superfat:.2f} %: it is lye-heavy. Do not pour it and do not touch it "
            "without gloves. Check the weights; if they are true, throw it away."
        )
    for line in lines:
        grams = weights[line.pk][1]
        if grams <= 0:
            raise BatchRefusal(f"The scale shows more than nothing. Type the grams of {line.material} that went in.")
        if not line.accept_low_grams <= grams <= line.accept_high_grams and not what_happened.strip():
            raise BatchRefusal(
                f"{line.material}: {format_grams(grams)} lies outside {format_grams(line.accept_low_grams)} to "
                f"{format_grams(line.accept_high_grams)}. Weigh it again, or write down what happened."
            )
    if superfat < plan.superfat_floor_percent and not what_happened.strip():
        raise BatchRefusal(
            f"The superfat is {superfat:.2f} %, below the floor of {plan.superfat_floor_percent} %. "
            "Add fat, or write down why it is poured all the same."
        )


def _draw(line: PartWeighing, *, on: date, by: User, note: str) -> None:
    if line.lot is None or line.actual_grams is None:
        raise BatchRefusal(f"{line.material} is not weighed. Type its lot and its grams.")
    try:
        draw_from_lot(lot_id=line.lot.pk, grams=line.actual_grams, on=on, by=by, batch_id=None, note=note)
    except StockRefusal as refusal:
        raise BatchRefusal(str(refusal)) from refusal
