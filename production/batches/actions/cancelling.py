"""Call off a planned batch, or an order with everything that stands behind it."""

from datetime import date

from django.db import transaction

from orders.actions import OrderRefusal, move_order, note_order
from orders.models import Order
from orders.order_states import OrderState
from production.batch_states import BatchState, may_move
from production.batches.asked import BatchRefusal
from production.batches.models import Batch, BatchFor
from production.cure.actions.reserving import give_back
from production.cure.order_bars import bars_of_orders, for_bars
from production.today.actions import refresh_risks
from soapshop.audit import note_event
from soapshop.models import User


@transaction.atomic
def cancel_batch(*, batch_id: int, reason: str, by: User, on: date | None = None) -> Batch:
    """Take a planned batch off the plan; its bars are open again for planning. The order keeps its stage.

    With the day ``on`` the orders' risks are judged anew.
    """
    batch = Batch.objects.select_for_update().get(pk=batch_id)
    refusal = may_move(batch.state, BatchState.CANCELLED)
    if refusal:
        raise BatchRefusal(refusal)
    if not reason.strip():
        raise BatchRefusal("Say in a few words why this batch is cancelled.")
    for order, bars in _take_off(batch, reason, by=by).items():
        text = f"{batch} is cancelled: {reason.strip()}. {_bars(bars)} to be planned again."
        note_order(order=order, by=by, verb="cancel_batch", text=text)
    if on is not None:
        refresh_risks(today=on)
    return batch


def _take_off(batch: Batch, reason: str, *, by: User) -> dict[Order, int]:
    """Cancel a locked batch and return the bars that each order loses by it."""
    batch.status = BatchState.CANCELLED.value
    batch.save(update_fields=["status"])
    text = f"{batch} is cancelled: {reason.strip()}"
    note_event(by=by, verb="cancel_batch", subject=batch, text=text)
    return _free_lines(batch)


@transaction.atomic
def cancel_order(*, order_id: int, reason: str, by: User, on: date | None = None) -> Order:
    """Cancel an order with what stands behind it.

    Planned batches that serve no other order are cancelled with it. Batches that were begun go on, and their bars are
    free; bars kept or packed for the order go back on the shelf. Batches are locked before the order.
    """
    if not reason.strip():
        raise BatchRefusal("Say in a few words why the order is cancelled. It stays in the book with that reason.")
    batches = list(Batch.objects.select_for_update().filter(pk__in=_batch_ids(order_id)).order_by("pk"))
    order = Order.objects.select_for_update().get(pk=order_id)
    because = f"{order} is cancelled: {reason.strip()}"
    try:
        _give_bars_back(order, because, by=by)
        for batch in batches:
            _settle(batch, order, because, by=by)
        cancelled = move_order(order_id=order_id, to=OrderState.CANCELLED, by=by, reason=reason)
    except OrderRefusal as refusal:
        raise BatchRefusal(str(refusal)) from refusal
    if on is not None:
        refresh_risks(today=on)
    return cancelled


def _batch_ids(order_id: int) -> set[int]:
    planned = BatchFor.objects.filter(line__order_id=order_id).values_list("batch_id", flat=True)
    held = Batch.objects.filter(bar_moves__line__order_id=order_id).values_list("pk", flat=True)
    return {*planned, *held}


def _give_bars_back(order: Order, because: str, *, by: User) -> None:
    bars = bars_of_orders(for_bars(Order.objects.filter(pk=order.pk)))[order.pk]
    for lot in (lot for need in bars.needs for lot in need.lots):
        if lot.reserved + lot.packed:
            give_back(
                order_id=order.pk,
                line_id=lot.line_id,
                batch_id=lot.batch_id,
                finish=lot.finish,
                bars=lot.reserved + lot.packed,
                reason=because,
                by=by,
            )


def _settle(batch: Batch, order: Order, because: str, *, by: User) -> None:
    """Cancel a planned batch that serves this order alone; free this order's share of any other."""
    serves_others = batch.serves.exclude(line__order=order).exists()
    if batch.state == BatchState.PLANNED and not serves_others:
        _take_off(batch, because, by=by)
        text = f"{batch} was taken off the plan; nothing had been weighed for it."
        note_order(order=order, by=by, verb="cancel_batch", text=text)
        return
    bars = sum(served.bars for served in batch.serves.filter(line__order=order))
    if bars:
        batch.serves.filter(line__order=order).delete()
        note_event(by=by, verb="free_bars", subject=batch, text=f"{because}. {_bars(bars)} of {batch} are free.")


def _free_lines(batch: Batch) -> dict[Order, int]:
    """Take the batch's promises to order lines away and return the bars that each order loses."""
    lost: dict[Order, int] = {}
    for served in batch.serves.select_related("line__order"):
        lost[served.line.order] = lost.get(served.line.order, 0) + served.bars
    batch.serves.all().delete()
    return lost


def _bars(count: int) -> str:
    return "1 bar" if count == 1 else f"{count} bars"
