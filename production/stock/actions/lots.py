"""Receive, release, hold and weigh back what is on the shelf; draw from it for a batch.

Every mass is rounded to the stored milligram first, so that a balance and its moves can never drift apart.
"""

from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from formulas.models import Material
from orders.models import Order
from production.lot_states import LotState, may_draw, may_move
from production.stock.models import NO_SUPPLIER_LOT, Lot, StockMove
from soapshop.audit import note_event
from soapshop.models import User, Workshop
from soapshop.numbering import next_number
from soapshop.units import format_grams, round_grams

# A pack may hold a little more than it says (common practice, no source); past that, the scale showed the tub too.
MOST_OVERFILL = Decimal("1.05")


class StockRefusal(Exception):
    """Something cannot be done with a lot; the message says why and the mend."""


def receive_lot(
    *, material: Material, received_on: date, grams: Decimal, by: User, typed_once: UUID | None = None, **details: Any
) -> Lot:
    """Take a delivery onto the shelf: into quarantine, or released at once when the workshop works that way.

    ``details`` may hold supplier, supplier_lot, expires_on, price, freight, sap_certificate, purity_percent,
    color_certification, belongs_to (the order a customer brought it for) and ``is_damaged``; a damaged pack starts on
    hold. The same form sent twice gives one lot.
    """
    taken = Lot.objects.filter(typed_once=typed_once).first() if typed_once else None
    if taken is not None:
        return taken
    try:
        return _receive(material, received_on, grams, by, typed_once, details)
    except IntegrityError:
        taken = Lot.objects.filter(typed_once=typed_once).first() if typed_once else None
        if taken is None:
            raise
        return taken


@transaction.atomic
def _receive(
    material: Material, received_on: date, grams: Decimal, by: User, typed_once: UUID | None, details: dict[str, Any]
) -> Lot:
    grams = round_grams(grams)
    if grams <= 0:
        raise StockRefusal("A delivery weighs more than nothing. Type the grams received.")
    expires_on = details.get("expires_on")
    if expires_on is not None and expires_on < received_on:
        raise StockRefusal("This lot was out of date when it came. Send it back, or correct its use-by day.")
    is_damaged = details.pop("is_damaged", False)
    if details.get("belongs_to") is not None and details.get("price") is None:
        details["price"] = Decimal(0)  # What the customer brought costs the workshop nothing.
    details["supplier_lot"] = details.get("supplier_lot", "").strip() or NO_SUPPLIER_LOT
    lot = Lot(
        code=lot_number(received_on),
        material=material,
        received_on=received_on,
        received_grams=grams,
        grams_left=grams,
        status=_first_status(is_damaged=is_damaged).value,
        hold_reason="The pack came damaged." if is_damaged else "",
        typed_once=typed_once,
        **details,
    )
    try:
        lot.validate_constraints()
    except ValidationError as refusal:
        raise StockRefusal(" ".join(refusal.messages)) from refusal
    lot.save(force_insert=True)
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
    if to == LotState.USED_UP and lot.grams_left:
        raise StockRefusal(f"{lot.code} still holds {format_grams(lot.grams_left)}. Weigh it back to 0 g first.")
    before = lot.status
    lot.status = to.value
    lot.hold_reason = reason.strip()[:300] if to in (LotState.HELD, LotState.REJECTED) else ""
    save_balance(lot, "hold_reason")
    because = f": {reason.strip()}" if reason.strip() else ""
    text = f"{lot.code} is {to.label.lower()}{because}."
    after = {"status": lot.status}
    note_event(by=by, verb="move_lot", subject=lot, text=text[:400], before={"status": before}, after=after)
    return lot


@transaction.atomic
def set_use_by(*, lot_id: int, expires_on: date, reason: str, by: User) -> Lot:
    """Give a lot another use-by day, as a named decision with its reason."""
    lot = Lot.objects.select_for_update().get(pk=lot_id)
    if LotState(lot.status) in (LotState.USED_UP, LotState.REJECTED):
        raise StockRefusal(f"{lot.code} is {LotState(lot.status).label.lower()}. Its use-by day stays as it is.")
    if expires_on < lot.received_on:
        raise StockRefusal("That day lies before the lot came. Check the year.")
    if not reason.strip():
        raise StockRefusal("Say in a few words what the new day rests on, such as a smell test or a new certificate.")
    before = lot.expires_on
    lot.expires_on = expires_on
    lot.save(update_fields=["expires_on"])
    text = f"{lot.code} may be used until {_day(expires_on)}: {reason.strip()}"[:400]
    after = {"use_by": expires_on}
    note_event(by=by, verb="set_use_by", subject=lot, text=text, before={"use_by": before}, after=after)
    return lot


def orders_of_batch(batch_id: int | None) -> frozenset[int]:
    """Return the orders that bars of a batch are planned for."""
    if batch_id is None:
        return frozenset()
    return frozenset(Order.objects.filter(lines__planned_in__batch=batch_id).values_list("pk", flat=True))


@transaction.atomic
def draw_from_lot(*, lot_id: int, grams: Decimal, on: date, by: User, batch_id: int | None, note: str = "") -> Lot:
    """Take grams out of a released lot that is in date; never more than it holds.

    When another lot would have been first to go, the move says so.
    """
    grams = round_grams(grams)
    lot = Lot.objects.select_for_update().get(pk=lot_id)
    if grams <= 0:
        raise StockRefusal("More than nothing is drawn from a lot. Type the grams that were taken.")
    refusal = may_draw(LotState(lot.status))
    if refusal:
        raise StockRefusal(f"{lot.code}: {refusal}")
    if lot.is_out_of_date(on):
        raise StockRefusal(f"{lot.code} was to be used by {_day(lot.expires_on)}. Choose another lot.")
    if lot.grams_left < grams:
        raise StockRefusal(
            f"{lot.code} holds {format_grams(lot.grams_left)}, but {format_grams(grams)} are needed. "
            "Choose another lot, or weigh the tub back and correct its count."
        )
    orders = orders_of_batch(batch_id)
    if lot.belongs_to is not None and lot.belongs_to_id not in orders:
        raise StockRefusal(
            f"{lot.code} is the customer's own and kept for {lot.belongs_to}. Choose another lot for this batch."
        )
    first = Lot.objects.filter(material_id=lot.material_id).drawable(on=on, orders=orders).first()
    if first is not None and first.pk != lot.pk:
        note = f"{note}. {first.code} would have been first to go.".removeprefix(". ")
    lot.grams_left -= grams
    lot.opened_on = lot.opened_on or on
    save_balance(lot, "opened_on")
    StockMove.objects.create(lot=lot, kind=StockMove.Kind.DRAW, grams=-grams, batch_id=batch_id, by=by, note=note[:300])
    return lot


@transaction.atomic
def give_back(*, lot_id: int, grams: Decimal, by: User, batch_id: int | None, note: str) -> Lot:
    """Put drawn grams back on a lot after a weighing was undone; a used-up lot is released again."""
    grams = round_grams(grams)
    lot = Lot.objects.select_for_update().get(pk=lot_id)
    if not grams:
        return lot
    lot.grams_left += grams
    save_balance(lot)
    StockMove.objects.create(
        lot=lot, kind=StockMove.Kind.GIVE_BACK, grams=grams, batch_id=batch_id, by=by, note=note[:300]
    )
    return lot


@transaction.atomic
def weigh_back(*, lot_id: int, grams: Decimal, by: User, reason: str) -> Lot:
    """Set what a lot holds to what the scale shows; the difference stands in the ledger.

    A lot the book had used up, but whose tub still holds something, is released again.
    """
    grams = round_grams(grams)
    lot = Lot.objects.select_for_update().get(pk=lot_id)
    if lot.status == LotState.REJECTED.value:
        raise StockRefusal(f"{lot.code} is rejected. It can only be thrown away or sent back.")
    if grams < 0:
        raise StockRefusal("A tub does not hold less than nothing. Type the grams that are left.")
    if grams > lot.received_grams * MOST_OVERFILL:
        raise StockRefusal(
            f"{format_grams(grams)} is more than the {format_grams(lot.received_grams)} that came. "
            "Take the weight of the tub off and weigh again."
        )
    difference = grams - lot.grams_left
    if not difference:
        return lot
    if not reason.strip():
        raise StockRefusal("Say in a few words why the count is off, such as spilled, or left in the tub.")
    before = lot.grams_left
    lot.grams_left = grams
    save_balance(lot)
    StockMove.objects.create(lot=lot, kind=StockMove.Kind.COUNT, grams=difference, by=by, note=reason.strip()[:300])
    text = f"{lot.code} holds {format_grams(grams)}: {reason.strip()}"[:400]
    note_event(by=by, verb="weigh_back", subject=lot, text=text, before={"grams": before}, after={"grams": grams})
    return lot


@transaction.atomic
def throw_away(
    *, lot_id: int, grams: Decimal, by: User, reason: str, is_return: bool = False, typed_once: UUID | None = None
) -> Lot:
    """Take grams out as waste, or back to the supplier; the only way out of a rejected lot.

    The same form sent twice has one effect.
    """
    grams = round_grams(grams)
    lot = Lot.objects.select_for_update().get(pk=lot_id)
    if typed_once is not None and StockMove.objects.filter(typed_once=typed_once).exists():
        return lot
    if not 0 < grams <= lot.grams_left:
        raise StockRefusal(f"{lot.code} holds {format_grams(lot.grams_left)}. Type at most that, and more than 0.")
    if not reason.strip():
        raise StockRefusal("Say in a few words why it goes.")
    lot.grams_left -= grams
    save_balance(lot)
    kind = StockMove.Kind.RETURN if is_return else StockMove.Kind.WASTE
    StockMove.objects.create(lot=lot, kind=kind, grams=-grams, by=by, note=reason.strip()[:300], typed_once=typed_once)
    text = f"{format_grams(grams)} of {lot.code} out: {reason.strip()}"[:400]
    note_event(by=by, verb="throw_away", subject=lot, text=text)
    return lot


def lot_number(on: date) -> str:
    """Take the next code for a lot; never used twice."""
    return f"L{on:%y}-{next_number(f'lot-{on:%y}'):03d}"


def save_balance(lot: Lot, *fields: str) -> None:
    """Save what a lot holds. A released lot with nothing left is used up; grams found again release it again."""
    if lot.status == LotState.RELEASED.value and not lot.grams_left:
        lot.status = LotState.USED_UP.value
    elif lot.status == LotState.USED_UP.value and lot.grams_left:
        lot.status = LotState.RELEASED.value
    lot.save(update_fields=["grams_left", "status", *fields])


def _day(day: date | None) -> str:
    return "" if day is None else f"{day:%b} {day.day}, {day.year}"
