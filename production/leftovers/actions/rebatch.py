"""Plan a rebatch: own soap is melted down, with or without additions, into a batch with a cure of its own."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal

from django.db import transaction

from formulas.models import Design, Material, Mold
from production.batches.asked import BatchRefusal
from production.batches.models import Batch
from production.batches.records import plan_of
from production.leftovers.own_batch import Added, Shape, Taken, batches_of, weigh_lines_of, write_own_batch
from production.leftovers.own_plan import SCRAPS, OwnAsk, judge_scents, own_plan, source_words
from production.lot_states import LotState, may_draw
from production.stock.models import Lot
from soapshop.audit import note_event
from soapshop.models import User, Workshop
from soapshop.numbering import next_number
from soapshop.units import format_grams

MOST_LOTS = 20
# A rebatch cures two to six weeks (common practice, no source).
LEAST_CURE_DAYS, MOST_CURE_DAYS = 7, 365


@transaction.atomic
def plan_rebatch(
    *,
    grams_by_lot: Mapping[str, Decimal],
    additions: Mapping[int, Decimal],
    design_id: int,
    mold_id: int,
    mold_count: int,
    bars: int,
    cure_days: int,
    least_cure_days: int,
    pour_on: date,
    by: User,
) -> Batch:
    """Plan a batch out of lots of own soap, by their codes, and of additions, by material.

    It inherits everything its parents hold. Stock is not touched; the weigh-out draws it, like that of any batch.
    """
    workshop = Workshop.current()
    soaps = _soaps(grams_by_lot, on=pour_on)
    added = _added(additions)
    if not LEAST_CURE_DAYS <= least_cure_days <= cure_days <= MOST_CURE_DAYS:
        raise BatchRefusal(
            f"A rebatch cures at least {LEAST_CURE_DAYS} days, and the least days are not more than the usual ones."
        )
    if not 1 <= mold_count <= 50 or not 1 <= bars <= 10_000:
        raise BatchRefusal("Say how many molds are filled and how many bars they give.")
    design, mold = Design.objects.get(pk=design_id), Mold.objects.get(pk=mold_id)
    parents = batches_of([taken.lot for taken in sorted(soaps, key=lambda taken: -taken.grams)])
    ask = OwnAsk(
        made_of=SCRAPS,
        product=design.name,
        identity=design.identity,
        sources=source_words(batch.number for batch in parents),
        mold_name=mold.name,
        mold_count=mold_count,
        bars=bars,
        cure_days=cure_days,
        least_cure_days=least_cure_days,
        soaps=tuple(taken.contents_taken for taken in soaps),
        additions=tuple(each.content for each in added),
    )
    judge_scents(ask)
    plan = own_plan(plan_of(parents[0]), ask, superfat_floor_percent=workshop.least_superfat_percent)
    shape = Shape(design, None, mold, mold_count, bars, cure_days, least_cure_days)
    number = f"B{pour_on:%y}-{next_number(f'batch-{pour_on:%y}'):03d}"
    batch = write_own_batch(number, plan, shape, weigh_lines_of(soaps, added, workshop), day=pour_on, by=by)
    text = f"Planned {batch} as a rebatch of {ask.sources}, {format_grams(plan.batter_grams, places=0)} in all."
    note_event(by=by, verb="plan_rebatch", subject=batch, text=text)
    return batch


def _soaps(grams_by_lot: Mapping[str, Decimal], *, on: date) -> list[Taken]:
    if not grams_by_lot or len(grams_by_lot) > MOST_LOTS:
        raise BatchRefusal(f"Choose at least one lot of own soap, and at most {MOST_LOTS}.")
    lots = {lot.code: lot for lot in Lot.objects.select_related("material").filter(code__in=grams_by_lot)}
    found = []
    for code, grams in grams_by_lot.items():
        lot = lots.get(code)
        if lot is None or not lot.contents:
            raise BatchRefusal(f"“{code[:24]}” is no lot of own soap. Put the scraps into stock on their batch first.")
        refusal = may_draw(LotState(lot.status))
        if refusal:
            raise BatchRefusal(f"{code}: {refusal}")
        if lot.is_out_of_date(on):
            raise BatchRefusal(f"{code} will be out of date by then. Choose another lot or an earlier day.")
        if not 0 < grams <= lot.grams_left:
            raise BatchRefusal(f"{code} holds {format_grams(lot.grams_left)}. Take at most that, and more than 0.")
        found.append(Taken(lot, grams))
    return found


def _added(additions: Mapping[int, Decimal]) -> list[Added]:
    materials = Material.objects.in_bulk(list(additions))
    for pk, grams in additions.items():
        material = materials.get(pk)
        if material is None or material.kind in Material.NO_INGREDIENT:
            raise BatchRefusal("One of the additions is not among the materials. Choose it from the list.")
        if material.kind == Material.Kind.ALKALI:
            raise BatchRefusal("No lye goes into soap that is made. To mend a soft soap, make a new batch beside it.")
        if grams <= 0:
            raise BatchRefusal(f"{material.name}: type the grams that go in.")
    return [Added(materials[pk], grams) for pk, grams in additions.items()]
