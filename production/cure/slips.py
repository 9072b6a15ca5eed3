"""A parcel's rows to its packing slip: drawn from what lies in it, frozen when it leaves the house."""

from typing import Any

from orders.models import Order
from production.cure.models import BarMove, Parcel, Release
from production.cure.order_bars import LineNeed, bars_of_orders, for_bars
from production.cure.parcels import ParcelLot, parcel_lots
from production.documents.figures import day_text
from production.documents.packing_slip import PackingSlip, SlipLine, SlipRest
from soapshop.frozen_json import from_json, to_json
from soapshop.models import Workshop


def slip_of(parcel: Parcel) -> PackingSlip:
    """Return the slip: as it left the house, or as it stands while the parcel is still here."""
    return from_json(PackingSlip, parcel.frozen) if parcel.frozen else _slip(parcel)


def frozen_slip(parcel: Parcel) -> Any:
    return to_json(_slip(parcel))


def _slip(parcel: Parcel) -> PackingSlip:
    order = for_bars(Order.objects.filter(pk=parcel.order_id)).get()
    bars = bars_of_orders([order])[order.pk]
    lots = parcel_lots(BarMove.objects.filter(parcel__order=order))
    own = [lot for lot in lots if lot.parcel_id == parcel.pk]
    numbers = dict(order.parcels.values_list("pk", "position"))
    before = sum(lot.shipped for lot in lots if numbers[lot.parcel_id] < parcel.position)
    workshop = Workshop.current()
    return PackingSlip(
        order_number=order.number,
        parcel=parcel.position,
        customer=order.customer.name,
        hand_over=order.get_hand_over_display(),
        lines=_lines(own, bars.needs),
        rest=_rest(lots, bars.needs, numbers, parcel),
        ordered_bars=bars.bars,
        bars_before=before,
        address_lines=() if order.hand_over == Order.HandOver.PICK_UP else tuple(order.customer.address.splitlines()),
        packed_on=parcel.packed_on,
        packed_by=parcel.packed_by.display_name if parcel.packed_by else "",
        handed_over_on=parcel.handed_over_on,
        note=parcel.note,
        shop_name=workshop.name,
        maker_lines=tuple(line for line in (workshop.maker_name, *workshop.address_lines) if line),
        paper_size=workshop.paper_size,
    )


def _lines(lots: list[ParcelLot], needs: tuple[LineNeed, ...]) -> tuple[SlipLine, ...]:
    kept = _kept({lot.batch_id for lot in lots})
    return tuple(
        SlipLine(
            product=need.line.design.name,
            finish=_finish(need),
            bars=lot.bars,
            batch_number=lot.batch_number,
            wording=need.line.wording,
            packaging="; ".join(words for words in (need.line.packaging, *_own_packing(need)) if words),
            kept=kept.get(lot.batch_id, ""),
        )
        for need in needs
        for lot in lots
        if (lot.line_id, lot.finish) == (need.line.pk, need.finish)
    )


def _finish(need: LineNeed) -> str:
    """Name the parts on these bars, and what was done to every bar of the design."""
    design = need.line.design
    work = [*(["edges beveled"] if design.is_beveled else []), *(["face stamped"] if design.is_stamped else [])]
    return ", ".join((need.words, *work))


def _own_packing(need: LineNeed) -> list[str]:
    """Say which parts on these bars want a packing of their own."""
    parts = [finish.part for finish in need.line.finishes.all() if finish.part.key in need.finish.split("+")]
    return [f"{part.name}: {part.packing}" for part in parts if part.packing] + [
        f"{part.name}: no film" for part in parts if part.forbids_wrap
    ]


def _rest(
    lots: list[ParcelLot], needs: tuple[LineNeed, ...], numbers: dict[int, int], parcel: Parcel
) -> tuple[SlipRest, ...]:
    """What neither this parcel nor one before it holds."""
    found = []
    for need in needs:
        sent = sum(
            lot.packed + lot.shipped
            for lot in lots
            if (lot.line_id, lot.finish) == (need.line.pk, need.finish) and numbers[lot.parcel_id] <= parcel.position
        )
        if need.bars > sent:
            found.append(SlipRest(need.line.design.name, need.words, need.bars - sent))
    return tuple(found)


def _kept(batch_ids: set[int]) -> dict[int, str]:
    """Say for each batch how long its bars keep, and from when they are best if they left early."""
    found: dict[int, str] = {}
    decisions = Release.objects.filter(batch_id__in=batch_ids, decision=Release.Decision.RELEASED)
    for release in decisions.order_by("at", "pk"):
        words = [f"best from {day_text(release.best_from)}"] if release.best_from else []
        words += [f"best before {day_text(release.best_before)}"] if release.best_before else []
        found[release.batch_id] = ", ".join(words)
    return found
