"""Give released bars to orders and take them back. Batches are locked before the order, always in one order."""

from collections.abc import Iterable
from datetime import date
from uuid import UUID

from django.db import transaction

from orders.actions import mark_risk, note_order
from orders.models import Order
from orders.order_states import OrderState
from production.bar_ledger import BarState
from production.batch_states import BatchState
from production.batches.models import Batch
from production.cure.actions.bars import set_bars_aside, write_move
from production.cure.actions.serving import SERVED, count_text, locked_bars, order_bars, walk_to_ready
from production.cure.bar_counts import Held, finish_words
from production.cure.models import BarMove
from production.cure.order_bars import OrderBars, line_name, released_lots, share_out
from production.cure.parcels import from_parcels
from production.cure.refusal import CureRefusal
from soapshop.models import User, Workshop


@transaction.atomic
def allocate_bars(*, order_id: int, today: date, by: User, out_of_turn: str = "") -> list[BarMove]:
    """Reserve released bars for an order: due first, oldest released first, the finish must match.

    Bars that an order due earlier still needs are left to it, unless words say why this one goes out of turn.
    """
    designs = Order.objects.filter(pk=order_id).values("lines__design_id")
    released = Batch.objects.select_for_update().filter(status=BatchState.RELEASED.value, design_id__in=designs)
    batches = {batch.number: batch for batch in released.order_by("pk")}
    bars = locked_bars(order_id)
    order = bars.order
    if order.state not in SERVED:
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
    if order_bars(order_id).is_complete:
        walk_to_ready(order, by=by)
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
    then: BarState = BarState.RELEASED,
    typed_once: UUID | None = None,
) -> list[BarMove]:
    """Put bars of an order back on the shelf; packed ones are unpacked first. The same form twice has one effect.

    ``then`` says what becomes of bars that are not sound: on hold, seconds, spoiled, a sample, a test.
    """
    batch = Batch.objects.select_for_update().get(pk=batch_id)
    mine = locked_bars(order_id)
    if typed_once is not None and BarMove.objects.filter(typed_once=typed_once).exists():
        return []
    if not reason.strip():
        raise CureRefusal("Say in a few words why the bars are given back.")
    lots = [lot for need in mine.needs for lot in need.lots]
    lot = next((x for x in lots if (x.line_id, x.batch_id, x.finish) == (line_id, batch_id, finish)), None)
    there = lot.reserved + lot.packed if lot else 0
    if lot is None or not 1 <= bars <= there:
        raise CureRefusal(f"{there} of these bars lie with this order. Give back from 1 to {there}." if there else GONE)
    moves = _unpack(batch, lot, max(bars - lot.reserved, 0), reason, by=by)
    moves.append(
        write_move(
            batch,
            finish,
            BarState.RESERVED,
            BarState.RELEASED,
            bars,
            by=by,
            note=reason,
            line_id=line_id,
            typed_once=typed_once,
        )
    )
    if then != BarState.RELEASED:
        moves.append(
            set_bars_aside(
                batch_id=batch_id,
                finish=finish,
                from_state=BarState.RELEASED,
                to_state=then,
                bars=bars,
                note=reason,
                by=by,
            )
        )
    words = f"Gave back {bars} {finish_words(finish)} of {batch.number}: {reason.strip()}."
    note_order(order=mine.order, by=by, verb="give_back", text=words)
    after = order_bars(order_id)
    if after.missing and after.order.state in (OrderState.READY, OrderState.PACKED):
        mark_risk(
            order=after.order, is_at_risk=True, text=f"{count_text(after.missing)} given back and not replaced yet."
        )
    return moves


def _unpack(batch: Batch, lot: Held, bars: int, reason: str, *, by: User) -> list[BarMove]:
    if not bars:
        return []
    shares = from_parcels(line_id=lot.line_id, batch_id=batch.pk, finish=lot.finish, state=BarState.PACKED, bars=bars)
    return [
        write_move(
            batch,
            lot.finish,
            BarState.PACKED,
            BarState.RESERVED,
            count,
            by=by,
            note=reason,
            line_id=lot.line_id,
            parcel_id=parcel_id,
        )
        for parcel_id, count in shares
    ]


GONE = "None of these bars lie with this order any more. Look at the list again."


def _nothing_to_give(bars: OrderBars, lots: Iterable, today: date) -> str:
    kinds = {(str(need.line.design_id), need.finish) for need in bars.needs if need.missing}
    free = sum(lot.bars for lot in lots if (lot.design, lot.finish) in kinds)
    if free:
        return (
            f"{count_text(free)} of this kind are free, but an order due earlier still needs them. "
            "Reserve for that order first, or say why this one goes out of turn."
        )
    words = sorted({f"{need.line.design.name}, {need.words}" for need in bars.needs if need.missing})
    return f"No released bars are free: {'; '.join(words)}. Release a batch, or plan one."
