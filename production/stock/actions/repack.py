"""Repack a lot: one tub into several, or several tubs of one material into one. What comes of it keeps its parents."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from production.batches.contents import share_of, together
from production.batches.frozen import FrozenContents
from production.lot_states import LotState, may_draw
from production.stock.actions.lots import StockRefusal, lot_number, save_balance
from production.stock.models import NO_SUPPLIER_LOT, Lot, Origin, StockMove
from soapshop.audit import note_event
from soapshop.frozen_json import from_json, to_json
from soapshop.models import User
from soapshop.units import format_grams, round_grams

LONGEST_WORDS = 60
FOUR_PLACES, THREE_PLACES, CENT = Decimal("0.0001"), Decimal("0.001"), Decimal("0.01")
ZERO = Decimal(0)
# More tubs than a shelf of a small workshop takes at a time.
MOST_TUBS = 20


@transaction.atomic
def repack_lots(
    *, grams_by_lot: Mapping[int, Decimal], into: Sequence[Decimal], on: date, by: User, typed_once: UUID | None = None
) -> tuple[Lot, ...]:
    """Take grams out of released lots of one material and fill new tubs with them; not a gram may go missing.

    Each new lot takes over the earliest use-by day, the supplier's lots and the certificates, and names its parents.
    The same form sent twice has one effect; the second time only the first tub is returned.
    """
    if typed_once is not None:
        first = Lot.objects.filter(typed_once=typed_once).first()
        if first is not None:
            return (first,)
    tubs = [round_grams(grams) for grams in into]
    sources = _judged(grams_by_lot, tubs, on=on)
    new = tuple(
        _fill_tub(sources, grams, on=on, by=by, typed_once=typed_once if place == 0 else None)
        for place, grams in enumerate(tubs)
    )
    codes = ", ".join(lot.code for lot in new)
    for lot, grams in sources:
        lot.grams_left -= grams
        lot.opened_on = lot.opened_on or on
        save_balance(lot, "opened_on")
        StockMove.objects.create(
            lot=lot, kind=StockMove.Kind.REPACK, grams=-grams, by=by, note=f"Repacked into {codes}"[:300]
        )
    taken = " and ".join(f"{format_grams(grams)} of {lot.code}" for lot, grams in sources)
    note_event(by=by, verb="repack_lots", subject=new[0], text=f"Repacked {taken} into {codes}."[:400])
    return new


def _judged(grams_by_lot: Mapping[int, Decimal], tubs: list[Decimal], *, on: date) -> list[tuple[Lot, Decimal]]:
    if not grams_by_lot or not tubs or any(grams <= 0 for grams in tubs):
        raise StockRefusal("Say what is taken out, and what each new tub holds. A tub holds more than nothing.")
    if len(grams_by_lot) > 1 and len(tubs) > 1:
        raise StockRefusal("Fill several lots into one tub, or one lot into several. Do the two one after the other.")
    if len(tubs) > MOST_TUBS:
        raise StockRefusal(f"That is more than {MOST_TUBS} tubs at a time. Repack them in two goes.")
    lots = {lot.pk: lot for lot in Lot.objects.select_for_update().filter(pk__in=grams_by_lot).order_by("pk")}
    sources = [(lots[pk], round_grams(grams)) for pk, grams in grams_by_lot.items() if pk in lots]
    if len(sources) < len(grams_by_lot):
        raise StockRefusal("One of these lots is not in the book. Look at the list of lots again.")
    if len({lot.material_id for lot, _ in sources}) > 1:
        raise StockRefusal("These lots are not of one material. Only tubs of the same material go together.")
    for lot, grams in sources:
        _judge_source(lot, grams, on=on)
    out, in_tubs = sum((grams for _, grams in sources), ZERO), sum(tubs, ZERO)
    if out != in_tubs:
        raise StockRefusal(
            f"{format_grams(out)} are taken out, but the tubs hold {format_grams(in_tubs)}. Weigh again; what was "
            "spilled is thrown away on the page of its lot first."
        )
    return sources


def _judge_source(lot: Lot, grams: Decimal, *, on: date) -> None:
    refusal = may_draw(LotState(lot.status))
    if refusal:
        raise StockRefusal(f"{lot.code}: {refusal}")
    if lot.is_out_of_date(on):
        raise StockRefusal(f"{lot.code} is out of date. Set its use-by day first, or throw it away.")
    if not 0 < grams <= lot.grams_left:
        raise StockRefusal(f"{lot.code} holds {format_grams(lot.grams_left)}. Take at most that, and more than 0.")


def _fill_tub(
    sources: list[tuple[Lot, Decimal]], grams: Decimal, *, on: date, by: User, typed_once: UUID | None
) -> Lot:
    """Make one new lot: all of several sources, or a part of the only one."""
    first = sources[0][0]
    all_out = sum((taken for _, taken in sources), ZERO)
    share = grams / all_out
    suppliers = {lot.supplier_id for lot, _ in sources}
    lot = Lot.objects.create(
        code=lot_number(on),
        material_id=first.material_id,
        supplier_id=first.supplier_id if len(suppliers) == 1 else None,
        supplier_lot=_listed(lot.supplier_lot for lot, _ in sources) or NO_SUPPLIER_LOT,
        status=first.status,
        received_on=min(lot.received_on for lot, _ in sources),
        expires_on=min((lot.expires_on for lot, _ in sources if lot.expires_on), default=None),
        opened_on=on,
        received_grams=grams,
        grams_left=grams,
        price=_shared_money(sources, "price", share),
        freight=_shared_money(sources, "freight", share),
        sap_certificate=_mean(sources, "sap_certificate", THREE_PLACES),
        purity_percent=_mean(sources, "purity_percent", FOUR_PLACES),
        color_certification=_listed(lot.color_certification for lot, _ in sources),
        contents=_contents(sources, share),
        typed_once=typed_once,
    )
    StockMove.objects.create(lot=lot, kind=StockMove.Kind.REPACK, grams=grams, by=by, note="Repacked")
    for source, taken in sources:
        Origin.objects.create(lot=lot, from_lot=source, grams=round_grams(taken * share), by=by)
    return lot


def _listed(words: Iterable[str]) -> str:
    """Return the different words in a row, as far as they fit; the parents know all of them."""
    text = ", ".join(dict.fromkeys(word for word in words if word))
    return text if len(text) <= LONGEST_WORDS else f"{text[: LONGEST_WORDS - 1]}…"


def _mean(sources: list[tuple[Lot, Decimal]], field: str, step: Decimal) -> Decimal | None:
    """Return the mean of a certificate's figure by weight; one tub without it leaves the mixture without."""
    figures = [(getattr(lot, field), grams) for lot, grams in sources]
    if any(figure is None for figure, _ in figures):
        return None
    total = sum((grams for _, grams in figures), ZERO)
    return (sum((figure * grams for figure, grams in figures), ZERO) / total).quantize(step)


def _shared_money(sources: list[tuple[Lot, Decimal]], field: str, share: Decimal) -> Decimal | None:
    figures = [(getattr(lot, field), grams, lot.received_grams) for lot, grams in sources]
    if any(figure is None for figure, _, _ in figures):
        return None
    whole = sum((figure * grams / received for figure, grams, received in figures), ZERO)
    return (whole * share).quantize(CENT)


def _contents(sources: list[tuple[Lot, Decimal]], share: Decimal) -> object:
    """Own soap stays own soap: the new tub holds what its parents held."""
    if not all(lot.contents for lot, _ in sources):
        return None
    soaps = (share_of(from_json(FrozenContents, lot.contents), grams * share) for lot, grams in sources)
    return to_json(together(soaps))
