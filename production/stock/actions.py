"""Receive, release, hold and weigh back what is on the shelf; draw from it for a batch."""

from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction

from formulas.models import Material, Part
from production.lot_states import LotState, may_draw, may_move
from production.stock.models import Lot, PartLot, PartMove, StockMove, Supplier
from soapshop.audit import note_event
from soapshop.models import User, Workshop
from soapshop.numbering import next_number
from soapshop.units import format_grams


class StockRefusal(Exception):
    """Something cannot be done with a lot; the message says why and the mend."""


@transaction.atomic
def receive_lot(*, material: Material, received_on: date, grams: Decimal, by: User, **details: Any) -> Lot:
    """Take a delivery onto the shelf: into quarantine, or released at once when the workshop works that way.

    ``details`` may hold supplier, supplier_lot, expires_on, price, freight, sap_certificate, purity_percent,
    color_certification and ``is_damaged``; a damaged pack starts on hold.
    """
    if grams <= 0:
        raise StockRefusal("A delivery weighs more than nothing. Type the grams received.")
    expires_on = details.get("expires_on")
    if expires_on is not None and expires_on < received_on:
        raise StockRefusal("This lot was out of date when it came. Send it back, or correct its use-by day.")
    is_damaged = details.pop("is_damaged", False)
    lot = Lot.objects.create(
        code=f"L{received_on:%y}-{next_number(f'lot-{received_on:%y}'):03d}",
        material=material,
        received_on=received_on,
        received_grams=grams,
        grams_left=grams,
        status=_first_status(is_damaged=is_damaged).value,
        hold_reason="The pack came damaged." if is_damaged else "",
        **details,
    )
    StockMove.objects.create(lot=lot, kind=StockMove.Kind.RECEIPT, grams=grams, by=by)
    text = f"Received {format_grams(grams)} of {material.name} as {lot.code}."
    note_event(by=by, verb="receive_lot", subject=lot, text=text, after={"status": lot.status})
    return lot


def _first_status(*, is_damaged: bool) -> LotState:
    if is_damaged:
        return LotState.HELD
    return LotState.RELEASED if Workshop.current().releases_lots_on_receipt else LotState.QUARANTINE


@transaction.atomic
def move_lot(*, lot_id: int, to: LotState, by: User, reason: str = "") -> Lot:
    """Release, hold or reject a lot. A hold or a rejection needs its reason in words."""
    lot = Lot.objects.select_for_update().get(pk=lot_id)
    refusal = may_move(LotState(lot.status), to)
    if refusal:
        raise StockRefusal(refusal)
    if to in (LotState.HELD, LotState.REJECTED) and not reason.strip():
        raise StockRefusal("Say in a few words why. Everybody who opens this lot will see it.")
    before = lot.status
    lot.status = to.value
    lot.hold_reason = reason.strip()[:300]
    lot.save(update_fields=["status", "hold_reason"])
    because = f": {lot.hold_reason}" if lot.hold_reason else ""
    text = f"{lot.code} is {to.label.lower()}{because}."
    note_event(by=by, verb="move_lot", subject=lot, text=text, before={"status": before}, after={"status": to.value})
    return lot


@transaction.atomic
def draw_from_lot(*, lot_id: int, grams: Decimal, on: date, by: User, batch_id: int | None, note: str = "") -> Lot:
    """Take grams out of a released lot that is in date; never more than it holds."""
    lot = Lot.objects.select_for_update().select_related("material").get(pk=lot_id)
    refusal = may_draw(LotState(lot.status))
    if refusal:
        raise StockRefusal(f"{lot.code}: {refusal}")
    if lot.expires_on is not None and lot.expires_on < on:
        day = f"{lot.expires_on:%b} {lot.expires_on.day}, {lot.expires_on.year}"
        raise StockRefusal(f"{lot.code} was to be used by {day}. Choose another lot.")
    if lot.grams_left < grams:
        raise StockRefusal(
            f"{lot.code} holds {format_grams(lot.grams_left)}, but {format_grams(grams)} are needed. "
            "Choose another lot, or weigh the tub back and correct its count."
        )
    lot.grams_left -= grams
    lot.opened_on = lot.opened_on or on
    lot.status = LotState.USED_UP.value if lot.grams_left == 0 else lot.status
    lot.save(update_fields=["grams_left", "opened_on", "status"])
    StockMove.objects.create(lot=lot, kind=StockMove.Kind.DRAW, grams=-grams, batch_id=batch_id, by=by, note=note[:300])
    return lot


@transaction.atomic
def give_back(*, lot_id: int, grams: Decimal, by: User, batch_id: int | None, note: str) -> Lot:
    """Put drawn grams back on a lot after a weighing was undone; a used-up lot is released again."""
    lot = Lot.objects.select_for_update().get(pk=lot_id)
    lot.grams_left += grams
    if lot.status == LotState.USED_UP.value:
        lot.status = LotState.RELEASED.value
    lot.save(update_fields=["grams_left", "status"])
    StockMove.objects.create(
        lot=lot, kind=StockMove.Kind.GIVE_BACK, grams=grams, batch_id=batch_id, by=by, note=note[:300]
    )
    return lot


@transaction.atomic
def weigh_back(*, lot_id: int, grams: Decimal, by: User, reason: str) -> Lot:
    """Set what a lot holds to what the scale shows; the difference stands in the ledger."""
    lot = Lot.objects.select_for_update().get(pk=lot_id)
    if LotState(lot.status) in (LotState.USED_UP, LotState.REJECTED):
        raise StockRefusal(f"{lot.code} is {LotState(lot.status).label.lower()}. There is nothing to weigh back.")
    if grams < 0:
        raise StockRefusal("A tub does not hold less than nothing. Type the grams that are left.")
    difference = grams - lot.grams_left
    if not difference:
        return lot
    lot.grams_left = grams
    lot.save(update_fields=["grams_left"])
    StockMove.objects.create(lot=lot, kind=StockMove.Kind.COUNT, grams=difference, by=by, note=reason[:300])
    note_event(by=by, verb="weigh_back", subject=lot, text=f"{lot.code} holds {format_grams(grams)}: {reason}")
    return lot


@transaction.atomic
def throw_away(*, lot_id: int, grams: Decimal, by: User, reason: str, is_return: bool = False) -> Lot:
    """Take grams out as waste, or back to the supplier; the only way out of a rejected lot."""
    lot = Lot.objects.select_for_update().get(pk=lot_id)
    if not 0 < grams <= lot.grams_left:
        raise StockRefusal(f"{lot.code} holds {format_grams(lot.grams_left)}. Type at most that, and more than 0.")
    if not reason.strip():
        raise StockRefusal("Say in a few words why it goes.")
    lot.grams_left -= grams
    lot.save(update_fields=["grams_left"])
    kind = StockMove.Kind.RETURN if is_return else StockMove.Kind.WASTE
    StockMove.objects.create(lot=lot, kind=kind, grams=-grams, by=by, note=reason[:300])
    note_event(by=by, verb="throw_away", subject=lot, text=f"{format_grams(grams)} of {lot.code} out: {reason}")
    return lot


@transaction.atomic
def save_supplier(*, name: str, lead_days: int | None, by: User) -> Supplier:
    supplier, is_new = Supplier.objects.get_or_create(name=name.strip(), defaults={"lead_days": lead_days})
    if is_new:
        note_event(by=by, verb="save_supplier", subject=supplier, text=f"Added the supplier {supplier.name}.")
    return supplier


@transaction.atomic
def make_part_lot(*, part: Part, pieces: int, made_on: date, use_by: date | None, by: User, note: str = "") -> PartLot:
    """Put pieces of a part on the shelf, made here or bought."""
    if pieces < 1:
        raise StockRefusal("A lot of parts has at least one piece. Count them.")
    if use_by is not None and use_by < made_on:
        raise StockRefusal("The use-by day lies before the day the parts were made. Check both days.")
    lot = PartLot.objects.create(
        code=f"P{made_on:%y}-{next_number(f'part-{made_on:%y}'):03d}",
        part=part,
        made_on=made_on,
        use_by=use_by,
        pieces_made=pieces,
        pieces_left=pieces,
        note=note[:300],
    )
    PartMove.objects.create(lot=lot, pieces=pieces, by=by, note="Made")
    note_event(by=by, verb="make_part_lot", subject=lot, text=f"{pieces} {part.name} as {lot.code}.")
    return lot


@transaction.atomic
def use_parts(*, part_lot_id: int, pieces: int, on: date, batch_id: int, by: User, note: str = "") -> PartLot:
    """Take pieces for a batch from a lot that is neither held nor past its use-by day."""
    lot = PartLot.objects.select_for_update().select_related("part").get(pk=part_lot_id)
    if lot.is_held:
        raise StockRefusal(f"{lot.code} is on hold. Choose another lot of {lot.part.name}.")
    if lot.use_by is not None and lot.use_by < on:
        raise StockRefusal(f"{lot.code} was to be used by {lot.use_by:%b} {lot.use_by.day}. Make fresh pieces.")
    if not 0 < pieces <= lot.pieces_left:
        raise StockRefusal(f"{lot.code} holds {lot.pieces_left} pieces. Take at most that many, and at least one.")
    lot.pieces_left -= pieces
    lot.save(update_fields=["pieces_left"])
    PartMove.objects.create(lot=lot, pieces=-pieces, batch_id=batch_id, by=by, note=note[:300])
    return lot
