"""Pieces on the shelf: made or bought, held and cleared, counted again, taken for a batch."""

from datetime import date
from uuid import UUID

from django.db import IntegrityError, transaction

from formulas.models import Part
from formulas.part_windows import PartWindowError, check_part_age, check_use_by, usual_use_by
from production.stock.actions.lots import StockRefusal
from production.stock.models import PartLot, PartMove
from soapshop.audit import note_event
from soapshop.models import User
from soapshop.numbering import next_number

# More pieces than a workshop makes at a time; past that, a digit was typed twice.
MOST_PIECES = 100_000


def make_part_lot(
    *,
    part: Part,
    pieces: int,
    made_on: date,
    use_by: date | None,
    by: User,
    note: str = "",
    is_wrapped: bool = True,
    typed_once: UUID | None = None,
) -> PartLot:
    """Put pieces of a part on the shelf, made here or bought. The same form sent twice gives one lot."""
    taken = PartLot.objects.filter(typed_once=typed_once).first() if typed_once else None
    if taken is not None:
        return taken
    try:
        return _make(part, pieces, made_on, use_by, by, note, typed_once, is_wrapped=is_wrapped)
    except IntegrityError:
        taken = PartLot.objects.filter(typed_once=typed_once).first() if typed_once else None
        if taken is None:
            raise
        return taken


@transaction.atomic
def _make(
    part: Part,
    pieces: int,
    made_on: date,
    use_by: date | None,
    by: User,
    note: str,
    typed_once: UUID | None,
    *,
    is_wrapped: bool,
) -> PartLot:
    if not 1 <= pieces <= MOST_PIECES:
        raise StockRefusal("A lot of parts has at least one piece and at most 100,000. Count them.")
    if part.is_work:
        raise StockRefusal(f"{part.name} is a stamp: work on the bar, not pieces on a shelf. Choose another part.")
    if use_by is not None and use_by < made_on:
        raise StockRefusal("The use-by day lies before the day the parts were made. Check both days.")
    if part.formula_id is not None:
        use_by = _own_use_by(made_on, use_by, is_wrapped=is_wrapped)
    lot = PartLot.objects.create(
        code=f"P{made_on:%y}-{next_number(f'part-{made_on:%y}'):03d}",
        part=part,
        made_on=made_on,
        use_by=use_by,
        pieces_made=pieces,
        pieces_left=pieces,
        is_wrapped=is_wrapped,
        note=note.strip()[:300],
        typed_once=typed_once,
    )
    PartMove.objects.create(lot=lot, pieces=pieces, by=by, note="Made")
    note_event(by=by, verb="make_part_lot", subject=lot, text=f"{pieces} {part.name} as {lot.code}.")
    return lot


def _own_use_by(made_on: date, use_by: date | None, *, is_wrapped: bool) -> date:
    """Return how long pieces made here keep; no day later than any of them does."""
    try:
        if use_by is not None:
            check_use_by(use_by, made_on=made_on)
    except PartWindowError as refusal:
        raise StockRefusal(str(refusal)) from refusal
    return use_by or usual_use_by(made_on, is_wrapped=is_wrapped)


@transaction.atomic
def look_at_parts(*, part_lot_id: int, on: date, words: str, by: User, is_wrapped: bool = True) -> PartLot:
    """Note that a lot was looked at, how it is, and whether it lies wrapped. Open pieces keep a day from then on.

    The use-by is only ever drawn closer; pieces that dried out are held or counted down.
    """
    lot = PartLot.objects.select_for_update(of=("self",)).select_related("part").get(pk=part_lot_id)
    if on < lot.made_on:
        raise StockRefusal(f"{lot.code} was made on a later day. Check the day.")
    if len(words.strip()) < 3:
        raise StockRefusal("Say in a few words how the pieces are, such as: soft, no sweat, smells fresh.")
    lot.looked_at_on, lot.is_wrapped = on, is_wrapped
    opened = usual_use_by(on, is_wrapped=False)
    if not is_wrapped and lot.part.formula_id is not None and (lot.use_by is None or opened < lot.use_by):
        lot.use_by = opened
    lot.save(update_fields=["looked_at_on", "is_wrapped", "use_by"])
    how = "wrapped" if is_wrapped else "lying open"
    note_event(by=by, verb="look_at_parts", subject=lot, text=f"Looked at {lot.code}, {how}: {words.strip()}"[:400])
    return lot


@transaction.atomic
def use_parts(*, part_lot_id: int, pieces: int, on: date, batch_id: int, by: User, note: str = "") -> PartLot:
    """Take pieces for a batch from a lot that is not held, has rested, and is not past its use-by day."""
    lot = PartLot.objects.select_for_update(of=("self",)).select_related("part").get(pk=part_lot_id)
    if lot.is_held:
        raise StockRefusal(f"{lot.code} is on hold. Choose another lot of {lot.part.name}.")
    if lot.use_by is not None and lot.is_out_of_date(on):
        raise StockRefusal(f"{lot.code} was to be used by {lot.use_by:%b} {lot.use_by.day}. Make fresh pieces.")
    _judge_age(lot, on=on)
    if not 0 < pieces <= lot.pieces_left:
        raise StockRefusal(f"{lot.code} holds {_pieces(lot.pieces_left)}. Take at most that many, and at least one.")
    lot.pieces_left -= pieces
    lot.save(update_fields=["pieces_left"])
    PartMove.objects.create(lot=lot, pieces=-pieces, batch_id=batch_id, by=by, note=note[:300])
    return lot


def _judge_age(lot: PartLot, *, on: date) -> None:
    """Refuse pieces made here that must still rest; bought ones rested elsewhere."""
    part = lot.part
    if part.formula_id is None:
        return
    use_by = lot.use_by or usual_use_by(lot.made_on, is_wrapped=True)
    try:
        check_part_age(lot.code, made_on=lot.made_on, used_on=on, use_by=use_by, least_days=part.made_ahead_least_days)
    except PartWindowError as refusal:
        raise StockRefusal(str(refusal)) from refusal


@transaction.atomic
def break_parts(*, part_lot_id: int, pieces: int, batch_id: int, by: User) -> PartLot:
    """Write pieces out of a lot that broke before they were on the bars of a batch; the batch pays for them."""
    lot = PartLot.objects.select_for_update().get(pk=part_lot_id)
    if not 0 < pieces <= lot.pieces_left:
        raise StockRefusal(f"{lot.code} holds {_pieces(lot.pieces_left)}. Type at most that many, and at least one.")
    lot.pieces_left -= pieces
    lot.save(update_fields=["pieces_left"])
    PartMove.objects.create(lot=lot, pieces=-pieces, batch_id=batch_id, is_broken=True, by=by, note="Broke")
    return lot


@transaction.atomic
def count_parts(*, part_lot_id: int, pieces: int, reason: str, by: User) -> PartLot:
    """Set a part lot to what was counted; the difference stands in its ledger."""
    lot = PartLot.objects.select_for_update().get(pk=part_lot_id)
    if not 0 <= pieces <= lot.pieces_made:
        raise StockRefusal(f"{_pieces(lot.pieces_made)} were made as {lot.code}. Count from 0 to that many.")
    difference = pieces - lot.pieces_left
    if not difference:
        return lot
    if not reason.strip():
        raise StockRefusal("Say in a few words why the count is off, such as broken, or given away.")
    before = lot.pieces_left
    lot.pieces_left = pieces
    lot.save(update_fields=["pieces_left"])
    PartMove.objects.create(lot=lot, pieces=difference, by=by, note=reason.strip()[:300])
    text = f"{lot.code} holds {_pieces(pieces)}: {reason.strip()}"[:400]
    note_event(by=by, verb="count_parts", subject=lot, text=text, before={"pieces": before}, after={"pieces": pieces})
    return lot


@transaction.atomic
def hold_part_lot(*, part_lot_id: int, reason: str, by: User) -> PartLot:
    """Stop a part lot: nothing is taken from it until the hold is cleared."""
    lot = PartLot.objects.select_for_update().get(pk=part_lot_id)
    if lot.is_held:
        raise StockRefusal(f"{lot.code} already is on hold. Nothing was changed.")
    if not reason.strip():
        raise StockRefusal("Say in a few words why. Everybody who opens this lot will see it.")
    lot.is_held, lot.hold_reason = True, reason.strip()[:300]
    lot.save(update_fields=["is_held", "hold_reason"])
    note_event(by=by, verb="hold_part_lot", subject=lot, text=f"{lot.code} is on hold: {lot.hold_reason}")
    return lot


@transaction.atomic
def clear_part_lot(*, part_lot_id: int, reason: str, by: User) -> PartLot:
    """Lift the hold on a part lot with a few words why."""
    lot = PartLot.objects.select_for_update().get(pk=part_lot_id)
    if not lot.is_held:
        raise StockRefusal(f"{lot.code} is not on hold. Nothing was changed.")
    if not reason.strip():
        raise StockRefusal("Say in a few words why the hold is lifted.")
    before = lot.hold_reason
    lot.is_held, lot.hold_reason = False, ""
    lot.save(update_fields=["is_held", "hold_reason"])
    text = f"The hold on {lot.code} is lifted: {reason.strip()}"[:400]
    note_event(by=by, verb="clear_part_lot", subject=lot, text=text, before={"hold": before})
    return lot


def _pieces(count: int) -> str:
    return "1 piece" if count == 1 else f"{count:,} pieces"
