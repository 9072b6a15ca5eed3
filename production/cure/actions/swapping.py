"""Bars reserved for one order line go to another: the one due first, or the one that wants a single batch."""

from django.db import transaction

from orders.actions import mark_risk, note_order
from orders.models import Order, OrderLine
from production.bar_ledger import BarState
from production.batches.models import Batch
from production.cure.actions.bars import write_move
from production.cure.actions.serving import WAITING, count_text, order_bars, walk_to_ready
from production.cure.bar_counts import Held, finish_words
from production.cure.models import BarMove
from production.cure.order_bars import LineNeed
from production.cure.refusal import CureRefusal
from soapshop.models import User


@transaction.atomic
def swap_bars(
    *,
    line_id: int,
    batch_id: int,
    finish: str,
    bars: int,
    other_line_id: int,
    reason: str,
    by: User,
) -> list[BarMove]:
    """Give reserved bars of one line to another line of the same design and finish.

    What the other line has in reserve from other batches comes back in exchange, as far as it lacks no bars itself;
    for the rest this order is short, and says so.
    """
    if not reason.strip():
        raise CureRefusal("Say in a few words why the bars are swapped.")
    line, other = _locked_lines(line_id, other_line_id, batch_id, finish)
    mine, theirs = _need(line, finish), _need(other, finish)
    lot = next((each for each in mine.lots if each.batch_id == batch_id), None) if mine else None
    there = lot.reserved if lot else 0
    if mine is None or lot is None or not 1 <= bars <= there:
        raise CureRefusal(f"{count_text(there)} of this batch are reserved for {line.order}. Swap at most that many.")
    if theirs is None or not theirs.bars:
        raise CureRefusal(f"{other.order} does not ask for this finish. Choose an order that does.")
    back = _exchange(theirs, lot, bars)
    moves = _cross(lot.batch_id, finish, bars, line, other, reason, by=by)
    for batch, count in back:
        moves += _cross(batch, finish, count, other, line, reason, by=by)
    returned = sum(count for _, count in back)
    what = f"{count_text(bars)} {finish_words(finish)} of {lot.batch_number}"
    said = f" Got {count_text(returned)} from it in exchange." if returned else ""
    note_order(order=line.order, by=by, verb="swap_bars", text=f"Gave {what} to {other.order}: {reason.strip()}.{said}")
    note_order(order=other.order, by=by, verb="swap_bars", text=f"Got {what} from {line.order}: {reason.strip()}.")
    for order in {line.order_id: line.order, other.order_id: other.order}.values():
        _settle(order, by=by)
    return moves


def _locked_lines(line_id: int, other_line_id: int, batch_id: int, finish: str) -> tuple[OrderLine, OrderLine]:
    """Lock the batches, then both orders, each in one order everywhere; refuse lines that cannot swap."""
    lines = OrderLine.objects.select_related("design").in_bulk([line_id, other_line_id])
    if line_id == other_line_id or len(lines) < 2:
        raise CureRefusal("Choose another order line to swap with.")
    own = BarMove.objects.filter(line_id__in=lines, finish=finish).values("batch_id")
    list(Batch.objects.select_for_update().filter(pk__in=own).order_by("pk"))
    order_ids = {line.order_id for line in lines.values()}
    locked = {order.pk: order for order in Order.objects.select_for_update().filter(pk__in=order_ids).order_by("pk")}
    for line in lines.values():
        line.order = locked[line.order_id]
        if line.order.state not in WAITING:
            raise CureRefusal(f"{line.order} is {line.order.state.label.lower()}. Swap bars between orders that wait.")
    line, other = lines[line_id], lines[other_line_id]
    if line.design_id != other.design_id:
        raise CureRefusal(f"{other.order} asks there for {other.design}, not {line.design}. Choose a line of that bar.")
    return line, other


def _need(line: OrderLine, finish: str) -> LineNeed | None:
    needs = order_bars(line.order_id).needs
    return next((need for need in needs if (need.line.pk, need.finish) == (line.pk, finish)), None)


def _exchange(theirs: LineNeed, lot: Held, bars: int) -> list[tuple[int, int]]:
    """Return (batch, bars) that come back for what the other line has no open need of; refuse what it cannot take."""
    left, found = max(bars - theirs.missing, 0), []
    for own in theirs.lots:
        count = min(own.reserved, left) if own.batch_id != lot.batch_id else 0
        if count:
            found.append((own.batch_id, count))
            left -= count
    if left:
        most = bars - left
        raise CureRefusal(
            f"{theirs.line.order} can take {count_text(most)} of these at most. "
            + ("Swap that many." if most else "It has all it asked for.")
        )
    return found


def _cross(
    batch_id: int, finish: str, bars: int, line: OrderLine, other: OrderLine, reason: str, *, by: User
) -> list[BarMove]:
    batch = Batch.objects.get(pk=batch_id)
    return [
        write_move(
            batch, finish, BarState.RESERVED, BarState.RELEASED, bars, by=by, note=f"Swap: {reason}", line_id=line.pk
        ),
        write_move(
            batch, finish, BarState.RELEASED, BarState.RESERVED, bars, by=by, note=f"Swap: {reason}", line_id=other.pk
        ),
    ]


def _settle(order: Order, *, by: User) -> None:
    """An order that has its bars now is ready; one that lost some says so."""
    bars = order_bars(order.pk)
    if bars.is_complete:
        walk_to_ready(bars.order, by=by)
    elif bars.missing:
        text = f"{count_text(bars.missing)} went to another order and are not replaced yet."
        mark_risk(order=bars.order, is_at_risk=True, text=text)
