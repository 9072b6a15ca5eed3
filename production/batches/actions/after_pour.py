"""After the pour: cut and count the bars, tick steps, decide deviations, hold and clear."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from formulas.models import Part
from production.bar_ledger import BarState
from production.batch_states import BatchState, may_move, state_after_hold
from production.batches.actions.writing import finish_step, judge_yield, locked_batch
from production.batches.asked import ITS_OWN_PAGE, BatchRefusal
from production.batches.models import Batch, Deviation, StepRecord
from production.batches.offspring import offspring
from production.batches.records import plan_of
from production.cure.actions.bars import return_to_rack, stop_bars
from production.cure.actions.promises import warn_orders
from production.cure.models import BarMove, Release
from production.lot_states import MOVES as LOT_MOVES
from production.lot_states import LotState
from production.planning.route import CUT
from production.stock.actions import StockRefusal, move_lot, use_parts
from production.stock.models import PartLot
from production.today.actions import refresh_risks
from production.yield_points import BARS
from production.yield_points import CUT as CUT_YIELD
from soapshop.audit import note_event
from soapshop.models import User


@transaction.atomic
def cut_batch(
    *,
    batch_id: int,
    on: date,
    bars_by_finish: Mapping[str, int],
    spoiled: int,
    by: User,
    mean_bar_grams: Decimal | None = None,
    ends_grams: Decimal | None = None,
    part_lots: Mapping[str, int] | None = None,
    reason: str = "",
) -> Batch:
    """Cut the loaf, count the bars by finish and lay them on the rack. ``part_lots`` names the lot of each part.

    Bars, ends and trims that weigh too little or too much for what was poured need a reason, and so do more bars
    than can be; it becomes a deviation.
    """
    batch = locked_batch(batch_id)
    refusal = may_move(batch.state, BatchState.CUT)
    if refusal:
        raise BatchRefusal(refusal)
    plan = plan_of(batch)
    known = {finish.key for finish in plan.finishes} | {"plain"}
    counts = {key: bars for key, bars in bars_by_finish.items() if bars}
    if set(counts) - known:
        raise BatchRefusal("A finish was named that this batch does not have. Use the finishes on its ticket.")
    if spoiled < 0 or any(bars < 0 for bars in counts.values()):
        raise BatchRefusal("A count lies below 0. Type the bars that are there.")
    if not counts:
        raise BatchRefusal("Count at least one good bar. If none is good, put the batch on hold and decide there.")
    if batch.poured_on is not None and on < batch.poured_on:
        raise BatchRefusal("The cut cannot lie before the pour. Check the day.")
    made = sum(counts.values()) + spoiled
    if made > 2 * batch.planned_bars:
        raise BatchRefusal(
            f"{made} bars are more than twice the {batch.planned_bars} planned. Count again; was a number typed twice?"
        )
    batch.cut_on, batch.bars_cut, batch.spoiled_at_cut = on, sum(counts.values()), spoiled
    batch.mean_cut_bar_grams, batch.ends_grams = mean_bar_grams, ends_grams
    judge_yield(batch, CUT_YIELD, BARS, reason=reason, by=by)
    _use_parts(batch, counts, part_lots or {}, on=on, by=by)
    for key, bars in counts.items():
        _lay(batch, key, bars, BarState.IN_CURE, by=by)
    if spoiled:
        _lay(batch, "plain" if "plain" in counts else next(iter(counts)), spoiled, BarState.SPOILED, by=by)
    batch.status = BatchState.CURING.value
    batch.save(update_fields=["status", "cut_on", "bars_cut", "spoiled_at_cut", "mean_cut_bar_grams", "ends_grams"])
    finish_step(batch, CUT, on=on, by=by)
    text = f"Cut {batch}: {batch.bars_cut} bars on the rack, {spoiled} spoiled."
    note_event(by=by, verb="cut_batch", subject=batch, text=text, after={"bars": dict(counts)})
    refresh_risks(today=on)
    return batch


def _use_parts(batch: Batch, counts: Mapping[str, int], part_lots: Mapping[str, int], *, on: date, by: User) -> None:
    """Draw the pieces that the counted finishes carry from the lots named for them."""
    plan = plan_of(batch)
    carried = {finish.key: finish.part_keys for finish in plan.finishes}
    per_bar = {part.key: part.pieces_per_bar for part in plan.parts}
    set_in = {part.key for part in plan.parts if part.attached_at == Part.AttachedAt.POUR}
    pieces: dict[str, int] = {}
    for key, bars in counts.items():
        for part_key in carried.get(key, ()):
            pieces[part_key] = pieces.get(part_key, 0) + bars * per_bar.get(part_key, 1)
    for part_key, count in pieces.items():
        lot_id = part_lots.get(part_key)
        if lot_id is None:
            continue
        lot = PartLot.objects.select_related("part").filter(pk=lot_id).first()
        if lot is None or lot.part.key != part_key:
            raise BatchRefusal("That lot holds another part. Choose a lot of the part that went on the bars.")
        try:
            day = batch.poured_on or on if part_key in set_in else on
            use_parts(part_lot_id=lot.pk, pieces=count, on=day, batch_id=batch.pk, by=by)
        except StockRefusal as refusal:
            raise BatchRefusal(str(refusal)) from refusal


def _lay(batch: Batch, finish: str, bars: int, to: BarState, *, by: User) -> None:
    BarMove.objects.create(
        batch=batch, finish=finish, from_state=BarState.MADE.value, to_state=to.value, bars=bars, by=by
    )


@transaction.atomic
def tick_step(*, step_id: int, on: date, by: User, note: str = "") -> StepRecord:
    """Note that a step is done. Ticking it twice has one effect; pour, cut, release and hand-over tick themselves."""
    step = StepRecord.objects.select_for_update().select_related("batch").get(pk=step_id)
    _judge_tick(step)
    if step.done_on is not None:
        return step
    step.done_on, step.done_at, step.done_by, step.note = on, timezone.now(), by, note[:300]
    step.save(update_fields=["done_on", "done_at", "done_by", "note"])
    note_event(by=by, verb="tick_step", subject=step.batch, text=f"{step.batch}: {step.label} is done.")
    return step


def _judge_tick(step: StepRecord) -> None:
    """Steps that are weighed, counted or decided on their own page cannot be ticked past it."""
    if step.key in ITS_OWN_PAGE:
        raise BatchRefusal(f"“{step.label}” is ticked by itself once it is noted on its own page. Note it there.")
    if step.batch.state == BatchState.CANCELLED:
        raise BatchRefusal(f"{step.batch} is cancelled; its steps are no longer done.")


@transaction.atomic
def untick_step(*, step_id: int, by: User) -> StepRecord:
    step = StepRecord.objects.select_for_update().select_related("batch").get(pk=step_id)
    _judge_tick(step)
    if step.done_on is None:
        return step
    step.done_on = step.done_at = step.done_by = None
    step.save(update_fields=["done_on", "done_at", "done_by"])
    note_event(by=by, verb="untick_step", subject=step.batch, text=f"{step.batch}: {step.label} is open again.")
    return step


@transaction.atomic
def decide_deviation(*, deviation_id: int, decision: str, words: str, by: User) -> Deviation:
    """Judge a deviation: its decision and a sentence. What was decided stays."""
    deviation = Deviation.objects.select_for_update().select_related("batch").get(pk=deviation_id)
    if not deviation.is_open:
        raise BatchRefusal("This was decided already. Write down a new deviation if something else came up.")
    if decision not in {choice for choice in Deviation.Decision.values if choice} or not words.strip():
        raise BatchRefusal("Choose a decision and say in a sentence why.")
    deviation.decision, deviation.decision_words = decision, words.strip()[:400]
    deviation.decided_by, deviation.decided_at = by, timezone.now()
    deviation.save(update_fields=["decision", "decision_words", "decided_by", "decided_at"])
    text = f"{deviation.what} → {deviation.get_decision_display()}: {deviation.decision_words}"
    note_event(by=by, verb="decide_deviation", subject=deviation.batch, text=text[:400])
    return deviation


@transaction.atomic
def hold_batch(*, batch_id: int, reason: str, by: User, on: date | None = None) -> Batch:
    """Stop a batch where it stands. Its bars in the house go on hold with it, also those kept for an order.

    With the day ``on`` the orders' risks are judged anew.
    """
    batch = locked_batch(batch_id)
    refusal = may_move(batch.state, BatchState.HELD)
    if refusal:
        raise BatchRefusal(refusal)
    if not reason.strip():
        raise BatchRefusal("Say in a few words why the batch is held.")
    batch.held_from, batch.hold_reason = batch.status, reason.strip()[:300]
    batch.status = BatchState.HELD.value
    batch.save(update_fields=["status", "held_from", "hold_reason"])
    decision = Release.objects.create(batch=batch, decision=Release.Decision.HELD, words=batch.hold_reason, by=by)
    taken = stop_bars(batch, to_state=BarState.HELD, decision=decision, by=by, note=f"Hold: {batch.hold_reason}")
    warn_orders(batch, taken, text=f"{batch} is on hold", by=by)
    note_event(by=by, verb="hold_batch", subject=batch, text=f"{batch} is on hold: {batch.hold_reason}")
    _hold_what_came_of_it(batch, by=by)
    if on is not None:
        refresh_risks(today=on)
    return batch


def _hold_what_came_of_it(batch: Batch, *, by: User) -> None:
    """A hold covers everything out of the pot: its soap on the shelf, and every batch that some of it went into.

    Each of them is cleared on its own page, by somebody who has looked at it.
    """
    reason = f"{batch} is on hold: {batch.hold_reason}"[:300]
    came = offspring(batch)
    for lot in came.lots:
        if LotState.HELD in LOT_MOVES[lot.state]:
            move_lot(lot_id=lot.pk, to=LotState.HELD, by=by, reason=reason)
    for child in came.batches:
        if may_move(child.state, BatchState.HELD) is None:
            hold_batch(batch_id=child.pk, reason=reason, by=by)


@transaction.atomic
def clear_hold(*, batch_id: int, words: str, by: User, on: date | None = None) -> Batch:
    """Lift a hold with a sentence; the batch goes back to where it was held, a released one to review.

    The bars it stopped go back on the rack and wait there for their release, or for a new one. With the day ``on``
    the orders' risks are judged anew.
    """
    batch = locked_batch(batch_id)
    if batch.state != BatchState.HELD:
        raise BatchRefusal(f"{batch} is not on hold.")
    if not by.is_owner:
        raise BatchRefusal("Only an owner lifts a hold. Ask the owner to look at this batch.")
    if not words.strip():
        raise BatchRefusal("Say in a sentence why the hold is lifted.")
    to = state_after_hold(BatchState(batch.held_from))
    batch.status, batch.hold_reason, batch.held_from = to.value, "", ""
    batch.save(update_fields=["status", "hold_reason", "held_from"])
    decision = batch.releases.filter(decision=Release.Decision.HELD).first()
    if decision is not None:
        return_to_rack(batch, decision=decision, by=by)
    note_event(by=by, verb="clear_hold", subject=batch, text=f"The hold on {batch} is lifted: {words.strip()}"[:400])
    if on is not None:
        refresh_risks(today=on)
    return batch
