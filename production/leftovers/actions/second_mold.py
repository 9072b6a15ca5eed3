"""Pour on: batter of one pot, or of several, into a mold of its own, whose bars are a batch of their own."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from string import ascii_uppercase

from django.db import transaction
from django.utils import timezone

from formulas.models import Mold
from production.batch_states import BatchState
from production.batches.actions.writing import recompute_superfat
from production.batches.asked import BatchRefusal
from production.batches.contents import share_of
from production.batches.models import Batch, BatchFor, Weighing
from production.batches.records import plan_of
from production.batches.yields import yield_facts
from production.leftovers.contents_of import fresh_contents
from production.leftovers.own_batch import Shape, Taken, weigh_lines_of, write_own_batch
from production.leftovers.own_lots import BATTER, put_on_shelf
from production.leftovers.own_plan import BATTER as OF_BATTER
from production.leftovers.own_plan import OwnAsk, own_plan, source_words
from production.stock.actions import draw_from_lot
from soapshop.audit import note_event
from soapshop.models import User, Workshop
from soapshop.numbering import next_number
from soapshop.units import format_grams, round_grams

# Two scales that weigh the same batter differ a little (own reckoning, no source).
OVER_FRACTION = Decimal("0.005")
MOST_POTS = 4


@transaction.atomic
def fill_from_pots(
    *, grams_by_batch: Mapping[str, Decimal], mold_id: int, mold_count: int, bars: int, on: date, by: User
) -> Batch:
    """Fill a mold with batter of pots that are weighed out; the result is a batch in process, ready to be poured.

    From one pot it takes the pot's number with a letter, from several a number of its own. It inherits what each pot
    holds, by weight. What goes into this mold alone is then written down on its own bench page.
    """
    pots = _locked_pots(grams_by_batch, on=on)
    if not 1 <= mold_count <= 50 or not 1 <= bars <= 10_000:
        raise BatchRefusal("Say how many molds are filled and how many bars they give.")
    mold = Mold.objects.get(pk=mold_id)
    taken = [_take(batch, grams, on=on, by=by) for batch, grams in pots]
    biggest = max(pots, key=lambda pot: pot[1])[0]
    ask = OwnAsk(
        made_of=OF_BATTER,
        product=biggest.design.name,
        identity=biggest.design.identity,
        sources=source_words(batch.number for batch, _ in pots),
        mold_name=mold.name,
        mold_count=mold_count,
        bars=bars,
        cure_days=max(batch.cure_days for batch, _ in pots),
        least_cure_days=max(batch.least_cure_days for batch, _ in pots),
        soaps=tuple(each.contents_taken for each in taken),
    )
    floor = plan_of(biggest).superfat_floor_percent
    revisions = {batch.revision_id for batch, _ in pots}
    shape = Shape(
        biggest.design,
        biggest.revision if len(revisions) == 1 else None,
        mold,
        mold_count,
        bars,
        ask.cure_days,
        ask.least_cure_days,
    )
    lines = weigh_lines_of(taken, [], Workshop.current())
    number = _letter_after(pots[0][0]) if len(pots) == 1 else f"B{on:%y}-{next_number(f'batch-{on:%y}'):03d}"
    plan = own_plan(plan_of(biggest), ask, superfat_floor_percent=floor)
    batch = write_own_batch(number, plan, shape, lines, day=on, by=by)
    _weigh_in(batch, taken, on=on, by=by)
    for pot, _ in pots:
        _move_bars_asked_for(pot, batch)
    recompute_superfat(batch)
    for pot, grams in pots:
        text = f"{format_grams(grams)} of {pot} went into {mold.name} as {batch.number}."
        note_event(by=by, verb="fill_from_pots", subject=pot, text=text)
    return batch


def _locked_pots(grams_by_batch: Mapping[str, Decimal], *, on: date) -> list[tuple[Batch, Decimal]]:
    if not 1 <= len(grams_by_batch) <= MOST_POTS:
        raise BatchRefusal(f"Name one pot, or up to {MOST_POTS}, and the grams taken from each.")
    rows = Batch.objects.select_for_update(of=("self",)).select_related("design", "revision")
    batches = {batch.number: batch for batch in rows.filter(number__in=grams_by_batch).order_by("pk")}
    pots = []
    for number, grams in grams_by_batch.items():
        batch = batches.get(number)
        if batch is None:
            raise BatchRefusal(f"There is no batch {number[:20]}. Look at the ticket beside the pot.")
        _judge_pot(batch, round_grams(grams), on=on)
        pots.append((batch, round_grams(grams)))
    return pots


def _judge_pot(batch: Batch, grams: Decimal, *, on: date) -> None:
    is_fresh = batch.state == BatchState.IN_PROCESS or (batch.state == BatchState.POURED and batch.poured_on == on)
    if not is_fresh:
        raise BatchRefusal(
            f"{batch} is {batch.state.label.lower()}: it has no batter to pour. Batter goes on the day of its pour."
        )
    missing = [line.material.name for line in batch.weighings.select_related("material") if not line.is_weighed]
    if missing:
        raise BatchRefusal(f"{batch} is not weighed out: {', '.join(missing[:3])}. Weigh every line first.")
    superfat = recompute_superfat(batch)
    if superfat is None or superfat <= 0:
        raise BatchRefusal(f"{batch} is lye-heavy, or its superfat is not known. Do not pour it; look at its page.")
    facts = yield_facts(batch)
    there = facts.input_grams - facts.given_grams - (facts.in_molds_grams or Decimal(0))
    if not 0 < grams <= there + facts.input_grams * OVER_FRACTION:
        raise BatchRefusal(
            f"{format_grams(max(there, Decimal(0)), places=0)} of {batch} are not in a mold yet. Type at most that, "
            "and more than 0; or correct what is in its own mold."
        )


def _take(batch: Batch, grams: Decimal, *, on: date, by: User) -> Taken:
    contents = share_of(fresh_contents(batch), grams)
    note = f"Batter of {batch.number}"
    return Taken(put_on_shelf(batch, contents, which=BATTER, grams=grams, on=on, note=note, by=by), grams)


def _letter_after(pot: Batch) -> str:
    """Return the pot's number with the next letter; the pot's own mold counts as A."""
    stem = pot.number
    for letter in ascii_uppercase[1:]:
        if not Batch.objects.filter(number=f"{stem}-{letter}").exists():
            return f"{stem}-{letter}"
    raise BatchRefusal(f"{pot} has gone into 25 molds already. Weigh out another batch.")


def _weigh_in(batch: Batch, taken: list[Taken], *, on: date, by: User) -> None:
    """The batter was weighed as it went in: every line stands as it was poured."""
    lines = {line.lot_id: line for line in Weighing.objects.filter(batch=batch)}
    for each in taken:
        draw_from_lot(lot_id=each.lot.pk, grams=each.grams, on=on, by=by, batch_id=batch.pk, note="Into its own mold")
        line = lines[each.lot.pk]
        line.actual_grams, line.weighed_at, line.weighed_by = each.grams, timezone.now(), by
        line.save(update_fields=["actual_grams", "weighed_at", "weighed_by"])
    batch.status = BatchState.IN_PROCESS.value
    batch.save(update_fields=["status"])


def _move_bars_asked_for(pot: Batch, batch: Batch) -> None:
    """The bars that this mold takes from the pot take along what they were planned for."""
    moved = min(batch.planned_bars, pot.planned_bars - 1)
    if moved < 1 or pot.cut_on is not None:
        return
    pot.planned_bars -= moved
    pot.save(update_fields=["planned_bars"])
    left = pot.planned_bars
    for served in pot.serves.order_by("pk"):
        stays = min(served.bars, left)
        left -= stays
        if stays == served.bars:
            continue
        BatchFor.objects.create(batch=batch, line_id=served.line_id, bars=served.bars - stays)
        if stays:
            served.bars = stays
            served.save(update_fields=["bars"])
        else:
            served.delete()
