"""What is on the shelf for the pours to come, and when more of it can be there."""

from collections import Counter, defaultdict
from collections.abc import Mapping
from datetime import date, timedelta

from django.db.models import Max, prefetch_related_objects

from formulas.models import Design, FormulaRevision
from production.batches.asked import BatchAsk, BatchRefusal
from production.batches.proposal import SIZED_FROM
from production.batches.sizing import size_batch
from production.batches.weigh_out import WeighRules
from production.planning.plan_records import Supply
from production.stock.models import Lot
from soapshop.models import Workshop

# From the order to the door where the supplier's days are not entered (common practice, no source).
USUAL_LEAD_DAYS = 14
# More than any pour can use: what can be bought does not run short once its delivery days have passed.
PLENTY_MG = 10**10
MILLIGRAMS = 1000

Uses = dict[str, tuple[tuple[str, int], ...]]


def supplies_for(
    designs: list[Design],
    revisions: Mapping[int, FormulaRevision],
    workshop: Workshop,
    *,
    today: date,
    only_for: Mapping[str, int],
) -> tuple[tuple[Supply, ...], Uses]:
    """Return the supplies of all materials the shop keeps lots of, and what each design draws a bar.

    `only_for` names the order of each design that one order alone waits for: what its customer brought is drawn first.
    """
    prefetch_related_objects(list(revisions.values()), "lines__material__allergen_shares__allergen")
    prefetch_related_objects(designs, *SIZED_FROM)
    rules = WeighRules.of(workshop)
    draws = {
        design.name: _milligrams_a_bar(design, revisions[design.formula_id], workshop, rules)
        for design in designs
        if design.formula_id in revisions
    }
    wanted = {material for found in draws.values() for material in found}
    lead = dict(
        Lot.objects.filter(material_id__in=wanted)
        .values("material_id")
        .annotate(days=Max("supplier__lead_days"))
        .values_list("material_id", "days")
    )
    on_hand: defaultdict[int, int] = defaultdict(int)
    names: dict[int, str] = {}
    for lot in Lot.objects.filter(material_id__in=wanted).select_related("material"):
        names[lot.material_id] = lot.material.name
    for lot in Lot.objects.drawable(on=today).filter(material_id__in=wanted):
        on_hand[lot.material_id] += int(lot.grams_left * MILLIGRAMS)
    supplies = tuple(
        Supply(names[pk], on_hand[pk], ((today + timedelta(days=days or USUAL_LEAD_DAYS), PLENTY_MG),))
        for pk, days in sorted(lead.items())
    )
    brought = _brought(wanted, set(only_for.values()), today)
    supplies += tuple(
        Supply(_own_name(names[pk], order_id), milligrams, ((today + timedelta(days=USUAL_LEAD_DAYS), PLENTY_MG),))
        for (pk, order_id), milligrams in sorted(brought.items())
    )
    uses = {
        name: tuple(
            (_own_name(names[pk], only_for[name]) if (pk, only_for.get(name, 0)) in brought else names[pk], milligrams)
            for pk, milligrams in sorted(found.items())
            if pk in names
        )
        for name, found in draws.items()
    }
    return supplies, uses


def _brought(materials: set[int], orders: set[int], today: date) -> Counter[tuple[int, int]]:
    """What customers brought for these orders, by material and order."""
    found: Counter[tuple[int, int]] = Counter()
    lots = Lot.objects.drawable(on=today, orders=orders).filter(material_id__in=materials, belongs_to__isnull=False)
    for lot in lots:
        if lot.belongs_to_id is not None:
            found[lot.material_id, lot.belongs_to_id] += int(lot.grams_left * MILLIGRAMS)
    return found


def _own_name(material: str, order_id: int) -> str:
    return f"{material}, the customer's own ({order_id})"


def _milligrams_a_bar(design: Design, revision: FormulaRevision, workshop: Workshop, rules: WeighRules) -> Counter[int]:
    """Size one mold of the design and share its grams out over the bars; what cannot be sized draws nothing."""
    bars = design.mold.usable_bars
    found: Counter[int] = Counter()
    try:
        sized = size_batch(BatchAsk(design, revision, design.mold, 1, 0), workshop=workshop, rules=rules)
    except BatchRefusal:
        return found
    for line in sized.lines:
        found[line.material_id] += -(-int(line.planned_grams * MILLIGRAMS) // bars)
    return found
