"""Ends, trims and spoiled bars into stock; and a whole batch given up to be made over."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from production.bar_ledger import BarState
from production.batch_states import BatchState, may_move
from production.batches.actions.writing import locked_batch
from production.batches.asked import BatchRefusal
from production.batches.contents import ContentsError
from production.batches.models import Batch
from production.cure.actions.bars import stop_bars
from production.cure.actions.promises import warn_orders
from production.cure.models import Release
from production.leftovers.contents_of import fresh_contents, fresh_grams_left, kept_fraction, soap_of
from production.leftovers.own_lots import SCRAPS, put_on_shelf
from production.stock.models import Lot
from production.today.actions import refresh_risks
from soapshop.audit import note_event
from soapshop.models import User
from soapshop.units import format_grams, round_grams

BEFORE_THE_POUR = (BatchState.PLANNED, BatchState.IN_PROCESS, BatchState.CANCELLED)
GIVEN_UP = (BatchState.REJECTED, BatchState.SCRAPPED)
# Two scales that weigh the same soap differ a little (own reckoning, no source).
OVER_FRACTION = Decimal("0.005")
PAID_WITH_ITS_BATCH = Decimal(0)


@transaction.atomic
def stock_scraps(
    *, batch_id: int, grams: Decimal, what: str, on: date, by: User, typed_once: UUID | None = None
) -> Lot:
    """Put soap that is no bar on the shelf as a lot of its own, with what it is made of and the batch it came of.

    More than the batch can have left over is refused. The same form sent twice has one effect.
    """
    batch = locked_batch(batch_id)
    taken = Lot.objects.filter(typed_once=typed_once).first() if typed_once else None
    if taken is not None:
        return taken
    if batch.state in BEFORE_THE_POUR:
        raise BatchRefusal(f"{batch} is {batch.state.label.lower()}: there is no soap of it yet. Pour it first.")
    if batch.state in GIVEN_UP:
        raise BatchRefusal(f"{batch} is {batch.state.label.lower()}. To make it over, choose rework on its page.")
    return _put(batch, round_grams(grams), what.strip() or "Ends and trims", on=on, by=by, typed_once=typed_once)


@transaction.atomic
def rework_batch(*, batch_id: int, grams: Decimal, words: str, on: date, by: User) -> Lot:
    """Give a whole batch up to be made over: its bars become one lot of own soap, to be rebatched.

    Only an owner decides it; the batch itself can never be released again.
    """
    batch = locked_batch(batch_id)
    refusal = may_move(batch.state, BatchState.REWORKED)
    if refusal:
        raise BatchRefusal(refusal)
    if not by.is_owner:
        raise BatchRefusal("Only an owner decides on rework. Ask the owner to look at this batch.")
    if len(words.strip()) < 3:
        raise BatchRefusal("Say in a sentence why the batch is made over, and what is to be put right.")
    if batch.poured_on is None:
        raise BatchRefusal(f"{batch} was never poured. Write off what was weighed, or go on weighing.")
    reason = f"Rework: {words.strip()}"
    decision = Release.objects.create(batch=batch, decision=Release.Decision.REJECTED, words=reason[:400], by=by)
    taken = stop_bars(batch, to_state=BarState.SPOILED, decision=decision, by=by, note=f"{batch} is made over")
    batch.status, batch.hold_reason, batch.held_from = BatchState.REWORKED.value, "", ""
    batch.save(update_fields=["status", "hold_reason", "held_from"])
    lot = _put(batch, round_grams(grams), reason, on=on, by=by)
    warn_orders(batch, taken, text=f"{batch} is made over", by=by)
    refresh_risks(today=on)
    return lot


def _put(batch: Batch, grams: Decimal, what: str, *, on: date, by: User, typed_once: UUID | None = None) -> Lot:
    if grams <= 0:
        raise BatchRefusal("Scraps weigh more than nothing. Type what the scale shows.")
    if batch.poured_on is not None and on < batch.poured_on:
        raise BatchRefusal("That day lies before the pour. Check the day.")
    whole = fresh_contents(batch)
    kept = kept_fraction(batch, whole, on=on)
    room = fresh_grams_left(batch, whole, on=on) + whole.grams * OVER_FRACTION
    if grams / kept > room:
        raise BatchRefusal(
            f"{batch} can have at most {format_grams(max(room * kept, Decimal(0)), places=0)} beside its bars. "
            "Weigh again, or count its spoiled bars first."
        )
    try:
        contents = soap_of(whole, grams, kept=kept)
    except ContentsError as refusal:
        raise BatchRefusal(str(refusal)) from refusal
    hold = f"{batch} is on hold: {batch.hold_reason}" if batch.state == BatchState.HELD else ""
    lot = put_on_shelf(
        batch,
        contents,
        which=SCRAPS,
        grams=grams,
        on=on,
        note=what,
        by=by,
        hold_reason=hold,
        price=PAID_WITH_ITS_BATCH,
        typed_once=typed_once,
    )
    text = f"{format_grams(grams)} of {batch} into stock as {lot.code}: {what}"
    note_event(by=by, verb="stock_scraps", subject=batch, text=text[:400])
    return lot
