"""Weigh the finished bars of a lot, and set aside those that cannot hold the label."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from production.bar_ledger import BarState
from production.batch_states import BatchState
from production.batches.actions.bench import locked_batch
from production.batches.asked import BatchRefusal
from production.batches.models import Batch
from production.batches.records import plan_of
from production.cure.actions.bars import set_bars_aside
from production.cure.actions.reserving import give_back
from production.cure.bar_counts import bar_counts, bars_with_lines, finish_words
from production.cure.models import BarMove
from production.labels.bars import bars_by_finish
from production.labels.lot_weights import bars_to_weigh, far_out
from production.labels.models import LotWeighing
from production.scales.models import Scale
from soapshop.audit import note_event
from soapshop.models import User, Workshop

MILLIGRAMS = Decimal(1000)
WEIGHED_IN = (BatchState.CURING, BatchState.READY_FOR_REVIEW, BatchState.RELEASED)


class LotRefused(BatchRefusal):
    """This weighing cannot be kept; the message says why and the mend."""


@transaction.atomic
def weigh_lot(
    *,
    batch_id: int,
    finish: str,
    shown_grams: tuple[Decimal, ...],
    on: date,
    today: date,
    by: User,
    tare_grams: Decimal = Decimal(0),
    scale: Scale | None = None,
    typed_once: UUID | None = None,
) -> LotWeighing:
    """Keep what the scale showed for each finished bar, less its wrapper. The same form sent twice is one weighing."""
    batch = locked_batch(batch_id)
    if typed_once is not None and (kept := LotWeighing.objects.filter(typed_once=typed_once).first()) is not None:
        return kept
    there = bars_by_finish(batch, plan_of(batch)).get(finish, 0)
    _judge_count(batch, there, len(shown_grams), on)
    if on > today:
        raise LotRefused("This day is still to come. Enter the day the bars were weighed.")
    weights = tuple(shown - tare_grams for shown in shown_grams)
    _judge_weights(shown_grams, weights)
    row = LotWeighing.objects.create(
        batch=batch,
        finish=finish,
        on=on,
        scale=scale,
        tare_grams=tare_grams,
        milligrams=[int(weight * MILLIGRAMS) for weight in weights],
        typed_once=typed_once,
        by=by,
    )
    text = f"{batch}: weighed {len(weights)} of {there} {finish_words(finish)}, one by one."
    note_event(by=by, verb="weigh_lot", subject=batch, text=text, after={"grams": list(weights)})
    return row


def _judge_count(batch: Batch, there: int, weighed: int, on: date) -> None:
    if batch.state not in WEIGHED_IN:
        raise LotRefused(f"{batch} is {batch.state.label.lower()}. Finished bars are weighed once they cure.")
    if batch.cut_on is not None and on < batch.cut_on:
        raise LotRefused("The bars were not cut yet on that day. Check the day.")
    if weighed > there:
        raise LotRefused(f"{weighed} weights were typed, but {there} bars of this finish are to be sold.")
    needed = bars_to_weigh(there, market=Workshop.current().market, rules_on=on) if there else 0
    if weighed < needed:
        raise LotRefused(f"The plan for {there} bars asks for {needed}; {weighed} were typed. Weigh the others too.")


def _judge_weights(shown_grams: tuple[Decimal, ...], weights: tuple[Decimal, ...]) -> None:
    empty = next((number for number, weight in enumerate(weights, start=1) if weight <= 0), None)
    if empty is not None:
        raise LotRefused(f"Bar {empty} weighs no more than its wrapper. Check the wrapper's weight, or weigh it again.")
    for number in far_out(weights)[:1]:
        shown = f"{shown_grams[number - 1]:f}"
        raise LotRefused(f"Bar {number} with {shown} g is far from the others. Weigh it again, or leave it out.")


@transaction.atomic
def set_short_bars_aside(*, weighing_id: int, numbers: Iterable[int], by: User) -> LotWeighing:
    """Make seconds of bars that cannot hold the label: free ones first, then those of the order needed last."""
    batch_id = LotWeighing.objects.values_list("batch_id", flat=True).get(pk=weighing_id)
    batch = Batch.objects.select_for_update().get(pk=batch_id)
    row = LotWeighing.objects.select_for_update().get(pk=weighing_id)
    still_in = {number for number, _ in row.bars_grams}
    short = sorted(set(numbers) & still_in)
    if not short:
        raise LotRefused("These bars are set aside already. Nothing was changed.")
    if len(short) == len(still_in):
        raise LotRefused("No bar would be left in the lot. Print a smaller figure instead.")
    said = ", ".join(str(number) for number in short)
    _make_seconds(batch, row.finish, len(short), note=f"Short of the label: bars {said}", by=by)
    row.set_aside = sorted({*row.set_aside, *short})
    row.save(update_fields=["set_aside"])
    text = f"{batch}: set aside {len(short)} {finish_words(row.finish)} short of the label, bars {said}."
    note_event(by=by, verb="set_short_bars_aside", subject=batch, text=text)
    return row


def _make_seconds(batch: Batch, finish: str, bars: int, *, note: str, by: User) -> None:
    now = bar_counts([batch.pk])[batch.pk][finish]
    left = bars
    for state in (BarState.RELEASED, BarState.IN_CURE):
        taken = min(left, now.at(state))
        if taken:
            set_bars_aside(
                batch_id=batch.pk,
                finish=finish,
                from_state=state,
                to_state=BarState.SECOND,
                bars=taken,
                note=note,
                by=by,
            )
            left -= taken
    for line_id, order_id, reserved in _reserved(batch, finish):
        taken = min(left, reserved)
        if taken:
            give_back(
                order_id=order_id,
                line_id=line_id,
                batch_id=batch.pk,
                finish=finish,
                bars=taken,
                reason=note,
                by=by,
                then=BarState.SECOND,
            )
            left -= taken
    if left:
        raise LotRefused(f"{left} of these bars are packed or gone. Unpack them on the packing list first.")


def _reserved(batch: Batch, finish: str) -> list[tuple[int, int, int]]:
    """Line, order and count of what is reserved of these bars, the order needed last first."""
    held = {
        each.line_id: each.reserved
        for each in bars_with_lines(BarMove.objects.filter(batch=batch, finish=finish))
        if each.reserved
    }
    lines = BarMove.objects.filter(line_id__in=held).order_by("-line__order__needed_by", "-line_id")
    found = dict.fromkeys(lines.values_list("line_id", "line__order_id"))
    return [(line_id, order_id, held[line_id]) for line_id, order_id in found]
