"""Pack an order, whole or in parts, and hand it over parcel by parcel. Batches are locked before the order."""

from collections.abc import Mapping
from datetime import date
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from orders.actions import mark_risk, move_order, note_order
from orders.models import Order
from orders.money.hand_over import judge_hand_over
from orders.order_states import OrderState
from production.bar_ledger import BarState
from production.batches.actions.bench import finish_step
from production.batches.models import Batch, BatchFor
from production.cure.actions.bars import write_move
from production.cure.actions.serving import SERVED, count_text, lock_batches_of, locked_bars, order_bars, walk_to_ready
from production.cure.bar_counts import Held
from production.cure.models import BarMove, Parcel
from production.cure.order_bars import OrderBars
from production.cure.parcels import ParcelLot, parcel_lots
from production.cure.refusal import CureRefusal
from production.cure.slips import frozen_slip
from production.planning.route import HAND_OVER, PACK
from soapshop.models import User

# One row of the packing table: line, batch and finish.
PickKey = tuple[int, int, str]
REST = "Reserve them first, or say that the rest follows in another parcel."


@transaction.atomic
def pack_order(
    *,
    order_id: int,
    by: User,
    on: date | None = None,
    picked: Mapping[PickKey, int] | None = None,
    is_part: bool = False,
    note: str = "",
    typed_once: UUID | None = None,
) -> list[BarMove]:
    """Pack reserved bars of an order as one parcel: all of them, or those picked by line, batch and finish.

    While bars of the order are still to come, it takes ``is_part``: the rest follows in another parcel. The day ticks
    the step of its batches once everything is packed. The same form sent twice makes one parcel.
    """
    lock_batches_of(order_id)
    bars = locked_bars(order_id)
    order = bars.order
    if typed_once is not None and Parcel.objects.filter(typed_once=typed_once).exists():
        return []
    if order.state not in SERVED:
        raise CureRefusal(f"{order} is {order.state.label.lower()}; there is nothing to pack.")
    if bars.too_many:
        raise CureRefusal(f"{count_text(bars.too_many)} too many lie with {order}. Give them back first.")
    chosen = _chosen(bars, picked)
    left = bars.missing + bars.reserved - sum(chosen.values())
    if left and not is_part:
        raise CureRefusal(_not_complete(bars, left))
    if not chosen:
        raise CureRefusal(
            f"{order} is packed already. Hand it over next." if not left else "None of its bars are ready to pack."
        )
    parcel = Parcel.objects.create(
        order=order,
        position=order.parcels.count() + 1,
        is_part=bool(left),
        note=note.strip()[:200],
        packed_on=on,
        packed_by=by,
        typed_once=typed_once,
    )
    moves = _packed(parcel, bars, chosen, by=by)
    said = _said({lot.batch_number: count for lot, count in _lots(bars, chosen)})
    note_order(order=order, by=by, verb="pack_order", text=f"Packed parcel {parcel.position}: {said}.{_to_come(left)}")
    if not left:
        _all_packed(order, on=on, by=by)
    return moves


def _chosen(bars: OrderBars, picked: Mapping[PickKey, int] | None) -> dict[PickKey, int]:
    """Return how many bars of each row are packed now; refuses more than are reserved."""
    there = {_key(lot): lot for need in bars.needs for lot in need.lots}
    if picked is None:
        return {key: lot.reserved for key, lot in there.items() if lot.reserved}
    chosen = {key: count for key, count in picked.items() if count}
    for key, count in chosen.items():
        lot = there.get(key)
        reserved = lot.reserved if lot else 0
        if not 1 <= count <= reserved:
            words = f" of {lot.batch_number}" if lot else ""
            raise CureRefusal(f"{count_text(reserved)}{words} are reserved here. Pack at most that many.")
    if not chosen:
        raise CureRefusal("Nothing is ticked. Tick what lies in the parcel.")
    return chosen


def _lots(bars: OrderBars, chosen: Mapping[PickKey, int]) -> list[tuple[Held, int]]:
    return [(lot, chosen[_key(lot)]) for need in bars.needs for lot in need.lots if _key(lot) in chosen]


def _key(lot: Held) -> PickKey:
    return lot.line_id, lot.batch_id, lot.finish


def _packed(parcel: Parcel, bars: OrderBars, chosen: Mapping[PickKey, int], *, by: User) -> list[BarMove]:
    batches = Batch.objects.in_bulk({batch_id for _, batch_id, _ in chosen})
    return [
        write_move(
            batches[lot.batch_id],
            lot.finish,
            BarState.RESERVED,
            BarState.PACKED,
            count,
            by=by,
            line_id=lot.line_id,
            parcel_id=parcel.pk,
        )
        for lot, count in _lots(bars, chosen)
    ]


def _all_packed(order: Order, *, on: date | None, by: User) -> None:
    walk_to_ready(order, by=by)
    if Order.objects.get(pk=order.pk).state == OrderState.READY:
        move_order(order_id=order.pk, to=OrderState.PACKED, by=by)
    _tick(order, PACK, on=on, by=by)


@transaction.atomic
def hand_over(
    *,
    order_id: int,
    by: User,
    on: date | None = None,
    parcel_id: int | None = None,
    is_part: bool = False,
    unpaid_reason: str = "",
) -> list[BarMove]:
    """Note that packed parcels of an order left the house, all of them or the one named.

    All must be paid, unless an owner says why the bars go unpaid. An order that is not complete leaves only as part
    delivery. The day ticks the step of its batches at the last.
    """
    lock_batches_of(order_id)
    bars = locked_bars(order_id)
    parcels = _leaving(bars, parcel_id)
    _need_complete(bars, parcels, is_part=is_part)
    unpaid = judge_hand_over(bars.order, by=by, unpaid_reason=unpaid_reason, today=on or bars.order.needed_by)
    moves = [move for parcel, lots in parcels.items() for move in _handed_over(parcel, lots, on=on, by=by)]
    _note_hand_over(bars.order, parcels, unpaid, on=on, by=by)
    return moves


def _leaving(bars: OrderBars, parcel_id: int | None) -> dict[Parcel, list[ParcelLot]]:
    """Return the packed parcels that leave now, with what lies in each."""
    order = bars.order
    if order.state not in SERVED:
        raise CureRefusal(f"{order} is {order.state.label.lower()}; there is nothing to hand over.")
    here: dict[int, list[ParcelLot]] = {}
    for lot in parcel_lots(BarMove.objects.filter(parcel__order=order)):
        if lot.packed and parcel_id in (None, lot.parcel_id):
            here.setdefault(lot.parcel_id, []).append(lot)
    found = Parcel.objects.in_bulk(here)
    if found:
        return {found[pk]: here[pk] for pk in sorted(found, key=lambda pk: found[pk].position)}
    if bars.missing and order.state != OrderState.HANDED_OVER:
        raise CureRefusal(f"{order} is not complete: {_missing_said(bars)} missing. {REST}")
    if bars.reserved:
        raise CureRefusal(f"{count_text(bars.reserved)} of {order} are not packed yet. Pack the order first.")
    raise CureRefusal(f"{order} was handed over already. Nothing was changed.")


def _need_complete(bars: OrderBars, parcels: Mapping[Parcel, list[ParcelLot]], *, is_part: bool) -> None:
    if bars.too_many:
        raise CureRefusal(f"{count_text(bars.too_many)} too many lie with {bars.order}. Give them back first.")
    if is_part or any(parcel.is_part for parcel in parcels):
        return
    if bars.missing:
        raise CureRefusal(f"{bars.order} is not complete: {_missing_said(bars)} missing. {REST}")
    if bars.reserved:
        raise CureRefusal(f"{count_text(bars.reserved)} of {bars.order} are not packed yet. Pack the order first.")


def _handed_over(parcel: Parcel, lots: list[ParcelLot], *, on: date | None, by: User) -> list[BarMove]:
    batches = Batch.objects.in_bulk({lot.batch_id for lot in lots})
    moves = [
        write_move(
            batches[lot.batch_id],
            lot.finish,
            BarState.PACKED,
            BarState.SHIPPED,
            lot.packed,
            by=by,
            line_id=lot.line_id,
            parcel_id=parcel.pk,
        )
        for lot in lots
    ]
    parcel.handed_over_on, parcel.handed_over_at, parcel.handed_over_by = on, timezone.now(), by
    parcel.frozen = frozen_slip(parcel)
    parcel.save(update_fields=["handed_over_on", "handed_over_at", "handed_over_by", "frozen"])
    return moves


def _note_hand_over(
    order: Order, parcels: Mapping[Parcel, list[ParcelLot]], unpaid: str, *, on: date | None, by: User
) -> None:
    """Say what left, what is unpaid and what is still to come; the order moves on when nothing is."""
    counts: dict[str, int] = {}
    for lot in (lot for lots in parcels.values() for lot in lots):
        counts[lot.batch_number] = counts.get(lot.batch_number, 0) + lot.packed
    after = order_bars(order.pk)
    left = after.bars - after.shipped
    names = ", ".join(str(parcel.position) for parcel in parcels)
    text = f"{order.get_hand_over_display()}, parcel {names}: {_said(counts)}.{unpaid}{_to_come(left)}"
    note_order(order=order, by=by, verb="hand_over", text=text)
    if left:
        return
    if order.state == OrderState.PACKED:
        move_order(order_id=order.pk, to=OrderState.HANDED_OVER, by=by)
    mark_risk(order=Order.objects.get(pk=order.pk), is_at_risk=False, text="")
    _tick(order, HAND_OVER, on=on, by=by)


def _not_complete(bars: OrderBars, left: int) -> str:
    if bars.missing:
        return f"{bars.order} is not complete: {_missing_said(bars)} missing. {REST}"
    return (
        f"{count_text(left)} that are reserved would stay here. Tick them too, or say that the rest follows in another "
        "parcel."
    )


def _missing_said(bars: OrderBars) -> str:
    return ", ".join(f"{need.missing} {need.words} of {need.line.design.name}" for need in bars.needs if need.missing)


def _to_come(left: int) -> str:
    return f" Still to come: {count_text(left)}." if left else ""


def _said(counts: Mapping[str, int]) -> str:
    return ", ".join(f"{count} of {number}" for number, count in counts.items())


def _tick(order: Order, key: str, *, on: date | None, by: User) -> None:
    """Tick the step on the batches poured for this order alone; one poured for several is not done with this one."""
    if on is None:
        return
    others = BatchFor.objects.exclude(line__order=order).values("batch_id")
    for batch in Batch.objects.filter(serves__line__order=order).exclude(pk__in=others).distinct():
        finish_step(batch, key, on=on, by=by)
