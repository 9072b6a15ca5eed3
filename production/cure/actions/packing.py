"""Give released bars to orders, pack them, hand them over. Batches are locked before the order, always in one order."""

from collections.abc import Iterable
from datetime import date
from uuid import UUID

from django.db import transaction

from orders.actions import mark_risk, move_order, note_order
from orders.models import Order
from orders.order_states import OrderState
from production.bar_ledger import BarState
from production.batch_states import BatchState
from production.batches.actions.bench import finish_step
from production.batches.models import Batch, BatchFor
from production.cure.actions.bars import write_move
from production.cure.bar_counts import finish_words
from production.cure.models import BarMove
from production.cure.order_bars import OrderBars, bars_of_orders, for_bars, line_name, released_lots, share_out
from production.cure.refusal import CureRefusal
from production.planning.route import HAND_OVER, PACK
from soapshop.models import User, Workshop

WAITING = (OrderState.ACCEPTED, OrderState.IN_PRODUCTION, OrderState.READY, OrderState.PACKED)


@transaction.atomic
def allocate_bars(*, order_id: int, today: date, by: User, out_of_turn: str = "") -> list[BarMove]:
    """Reserve released bars for an order: due first, oldest released first, the finish must match.

    Bars that an order due earlier still needs are left to it, unless words say why this one goes out of turn.
    """
    designs = Order.objects.filter(pk=order_id).values("lines__design_id")
    released = Batch.objects.select_for_update().filter(status=BatchState.RELEASED.value, design_id__in=designs)
    batches = {batch.number: batch for batch in released.order_by("pk")}
    bars = _locked_bars(order_id)
    order = bars.order
    if order.state not in WAITING:
        raise CureRefusal(f"{order} is {order.state.label.lower()}. Bars are reserved for orders that were accepted.")
    if not bars.missing:
        raise CureRefusal(f"{order} has all its bars already. Nothing was changed.")
    lots = released_lots(batches.values())
    workshop = Workshop.current()
    shared = share_out(order, lots, pack_days=workshop.pack_days, today=today, is_out_of_turn=bool(out_of_turn.strip()))
    lines = {line_name(line): line for line in order.lines.all()}
    given = [each for each in shared.given if each.line in lines]
    if not given:
        raise CureRefusal(_nothing_to_give(bars, lots, today))
    note = f"Out of turn: {out_of_turn.strip()}" if out_of_turn.strip() else ""
    moves = [
        write_move(
            batches[each.batch],
            each.finish,
            BarState.RELEASED,
            BarState.RESERVED,
            each.bars,
            by=by,
            note=note,
            line=lines[each.line],
        )
        for each in given
    ]
    said = ", ".join(f"{each.bars} {finish_words(each.finish)} of {each.batch}" for each in given)
    note_order(order=order, by=by, verb="allocate_bars", text=f"Reserved {said}. {note}".strip())
    if _bars(order_id).is_complete:
        _walk_to_ready(order, by=by)
    return moves


@transaction.atomic
def give_back(
    *,
    order_id: int,
    line_id: int,
    batch_id: int,
    finish: str,
    bars: int,
    reason: str,
    by: User,
    typed_once: UUID | None = None,
) -> list[BarMove]:
    """Put bars of an order back on the shelf; packed ones are unpacked first. The same form twice has one effect."""
    batch = Batch.objects.select_for_update().get(pk=batch_id)
    mine = _locked_bars(order_id)
    if typed_once is not None and BarMove.objects.filter(typed_once=typed_once).exists():
        return []
    if not reason.strip():
        raise CureRefusal("Say in a few words why the bars are given back.")
    lots = [lot for need in mine.needs for lot in need.lots]
    lot = next((x for x in lots if (x.line_id, x.batch_id, x.finish) == (line_id, batch_id, finish)), None)
    there = lot.reserved + lot.packed if lot else 0
    if lot is None or not 1 <= bars <= there:
        raise CureRefusal(f"{there} of these bars lie with this order. Give back from 1 to {there}." if there else GONE)
    unpacked = max(bars - lot.reserved, 0)
    moves = []
    for start, end, count, once in (
        (BarState.PACKED, BarState.RESERVED, unpacked, None),
        (BarState.RESERVED, BarState.RELEASED, bars, typed_once),
    ):
        if count:
            moves.append(
                write_move(batch, finish, start, end, count, by=by, note=reason, line_id=line_id, typed_once=once)
            )
    words = f"Gave back {bars} {finish_words(finish)} of {batch.number}: {reason.strip()}."
    note_order(order=mine.order, by=by, verb="give_back", text=words)
    after = _bars(order_id)
    if after.missing and after.order.state in (OrderState.READY, OrderState.PACKED):
        mark_risk(order=after.order, is_at_risk=True, text=f"{_count(after.missing)} given back and not replaced yet.")
    return moves


GONE = "None of these bars lie with this order any more. Look at the list again."


@transaction.atomic
def pack_order(*, order_id: int, by: User, on: date | None = None) -> list[BarMove]:
    """Pack every reserved bar of an order; all its bars must be there. The day ticks the step of its batches."""
    _lock_batches_of(order_id)
    bars = _locked_bars(order_id)
    order = bars.order
    if order.state not in WAITING:
        raise CureRefusal(f"{order} is {order.state.label.lower()}; there is nothing to pack.")
    _need_complete(bars)
    if not bars.reserved:
        raise CureRefusal(f"{order} is packed already. Hand it over next.")
    moves = _move_all(bars, BarState.RESERVED, BarState.PACKED, by=by)
    _walk_to_ready(order, by=by)
    if Order.objects.get(pk=order_id).state == OrderState.READY:
        move_order(order_id=order_id, to=OrderState.PACKED, by=by)
    _tick(order, PACK, on=on, by=by)
    note_order(order=order, by=by, verb="pack_order", text=f"Packed {_lots_said(bars)}.")
    return moves


@transaction.atomic
def hand_over(*, order_id: int, by: User, on: date | None = None) -> list[BarMove]:
    """Note that a packed order left the house. The day ticks the step of its batches."""
    _lock_batches_of(order_id)
    bars = _locked_bars(order_id)
    order = bars.order
    if order.state not in (*WAITING, OrderState.HANDED_OVER):
        raise CureRefusal(f"{order} is {order.state.label.lower()}; there is nothing to hand over.")
    _need_complete(bars)
    if bars.reserved:
        raise CureRefusal(f"{_count(bars.reserved)} of {order} are not packed yet. Pack the order first.")
    if not bars.packed:
        raise CureRefusal(f"{order} was handed over already. Nothing was changed.")
    moves = _move_all(bars, BarState.PACKED, BarState.SHIPPED, by=by)
    if order.state == OrderState.PACKED:
        move_order(order_id=order_id, to=OrderState.HANDED_OVER, by=by)
    _tick(order, HAND_OVER, on=on, by=by)
    text = f"{order.get_hand_over_display()}: {_lots_said(bars)}."
    note_order(order=order, by=by, verb="hand_over", text=text)
    return moves


def _bars(order_id: int) -> OrderBars:
    return bars_of_orders(for_bars(Order.objects.filter(pk=order_id)))[order_id]


def _locked_bars(order_id: int) -> OrderBars:
    Order.objects.select_for_update().get(pk=order_id)
    return _bars(order_id)


def _lock_batches_of(order_id: int) -> None:
    """Lock every batch whose bars lie with the order, before the order itself."""
    batch_ids = BarMove.objects.filter(line__order_id=order_id).values("batch_id")
    list(Batch.objects.select_for_update().filter(pk__in=batch_ids).order_by("pk"))


def _need_complete(bars: OrderBars) -> None:
    if bars.too_many:
        raise CureRefusal(f"{_count(bars.too_many)} too many lie with {bars.order}. Give them back first.")
    short = [f"{need.missing} {need.words} of {need.line.design.name}" for need in bars.needs if need.missing]
    if short:
        raise CureRefusal(f"{bars.order} is not complete: {', '.join(short)} missing. Reserve them first.")


def _move_all(bars: OrderBars, start: BarState, end: BarState, *, by: User) -> list[BarMove]:
    lots = [lot for need in bars.needs for lot in need.lots]
    batches = Batch.objects.in_bulk({lot.batch_id for lot in lots})
    counted = {BarState.RESERVED: "reserved", BarState.PACKED: "packed"}[start]
    return [
        write_move(batches[lot.batch_id], lot.finish, start, end, getattr(lot, counted), by=by, line_id=lot.line_id)
        for lot in lots
        if getattr(lot, counted)
    ]


def _tick(order: Order, key: str, *, on: date | None, by: User) -> None:
    """Tick the step on the batches poured for this order alone; one poured for several is not done with this one."""
    if on is None:
        return
    others = BatchFor.objects.exclude(line__order=order).values("batch_id")
    for batch in Batch.objects.filter(serves__line__order=order).exclude(pk__in=others).distinct():
        finish_step(batch, key, on=on, by=by)


def _walk_to_ready(order: Order, *, by: User) -> None:
    """Move the order to ready, over production where it was filled from the shelf; it is no longer at risk."""
    course = {OrderState.ACCEPTED: OrderState.IN_PRODUCTION, OrderState.IN_PRODUCTION: OrderState.READY}
    state = order.state
    while state in course:
        state = course[state]
        move_order(order_id=order.pk, to=state, by=by)
    mark_risk(order=Order.objects.get(pk=order.pk), is_at_risk=False, text="")


def _nothing_to_give(bars: OrderBars, lots: Iterable, today: date) -> str:
    kinds = {(str(need.line.design_id), need.finish) for need in bars.needs if need.missing}
    free = sum(lot.bars for lot in lots if (lot.design, lot.finish) in kinds)
    if free:
        return (
            f"{_count(free)} of this kind are free, but an order due earlier still needs them. "
            "Reserve for that order first, or say why this one goes out of turn."
        )
    words = sorted({f"{need.line.design.name}, {need.words}" for need in bars.needs if need.missing})
    return f"No released bars are free: {'; '.join(words)}. Release a batch, or plan one."


def _count(bars: int) -> str:
    return "1 bar" if bars == 1 else f"{bars} bars"


def _lots_said(bars: OrderBars) -> str:
    found: dict[str, int] = {}
    for need in bars.needs:
        for lot in need.lots:
            found[lot.batch_number] = found.get(lot.batch_number, 0) + lot.reserved + lot.packed
    return ", ".join(f"{count} of {number}" for number, count in found.items() if count)
