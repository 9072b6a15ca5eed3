"""What holds on the present day for batches made earlier: materials, contents of parts, safety reports, house rules."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from formulas.models import Material, MaterialAllergen, PartIngredient
from orders.avoid import Ingredient
from orders.records import ingredient_of
from production.batches.frozen import FrozenContents, FrozenMaterial
from production.batches.models import Batch
from production.batches.records import COPIED, plan_of
from production.labels.models import Assessment, MarketPerson
from production.labels.scents import AssessedFormula
from production.part_batches.contents import LotOnBars, OnBars, Shares, lots_on_bars
from soapshop.frozen_json import from_json
from soapshop.models import Workshop

NEEDS_A_REPORT = ("eu", "uk")


@dataclass(frozen=True)
class Answerable:
    """Who answers for the bars in one market, as it stands on the label."""

    name: str
    address_lines: tuple[str, ...]
    origin: str = ""


@dataclass(frozen=True)
class PresentDay:
    """Materials and contents of parts as they stand today, to mend what was missing when the batch was planned."""

    materials: Mapping[int, FrozenMaterial]
    part_contents: Mapping[int, Shares]
    part_lots: Mapping[OnBars, tuple[LotOnBars, ...]] = field(default_factory=dict)
    assessed: Mapping[tuple[int, str], AssessedFormula] = field(default_factory=dict)
    most_scent_percent: Decimal | None = None
    person: Answerable | None = None
    ingredients: Mapping[int, Ingredient] = field(default_factory=dict)  # as avoid-lists are held against them


def present_day(batches: Iterable[Batch], *, workshop: Workshop, market: str) -> PresentDay:
    """Read what holds today for all these batches: one query, and more for what was missing or is assessed."""
    batches = list(batches)
    plans = [plan_of(batch) for batch in batches]
    bare = {part.part_id for plan in plans for part in plan.parts if not part.ingredients}
    contents: dict[int, list[tuple[int, Decimal]]] = {}
    for item in PartIngredient.objects.filter(part_id__in=bare) if bare else ():
        contents.setdefault(item.part_id, []).append((item.material_id, item.percent))
    frozen = [material for plan in plans for material in plan.materials]
    frozen += [material for batch in batches for material in _in_own_soap(batch)]
    wanted = {material.material_id for material in frozen}
    lots = lots_on_bars(batch.pk for batch, plan in zip(batches, plans, strict=True) if plan.parts)
    wanted |= {material_id for own in lots.values() for lot in own for material_id, _ in lot.shares}
    wanted |= {material_id for items in contents.values() for material_id, _ in items}
    at_hand = {line.material_id: line.material for batch in batches for line in batch.weighings.all()}
    more = wanted - at_hand.keys()
    rows = [at_hand[pk] for pk in sorted(wanted & at_hand.keys())]
    rows += list(Material.objects.filter(pk__in=more)) if more else []
    known = {material.material_id for material in frozen if material.has_allergen_statement}
    shares = _stated_since([row.pk for row in rows if row.has_allergen_statement and row.pk not in known])
    return PresentDay(
        {row.pk: _as_it_stands(row, tuple(shares.get(row.pk, ()))) for row in rows},
        {part_id: tuple(items) for part_id, items in contents.items()},
        lots,
        _assessed(batches, market) if market in NEEDS_A_REPORT else {},
        workshop.most_scent_percent,
        _person(market),
        {row.pk: ingredient_of(row, "the bar") for row in rows},
    )


def _in_own_soap(batch: Batch) -> Iterable[FrozenMaterial]:
    """What soap of one's own that was weighed in is made of."""
    for line in batch.weighings.all():
        if line.lot is not None and line.lot.contents:
            yield from (item.material for item in from_json(FrozenContents, line.lot.contents).items)


def _assessed(batches: list[Batch], market: str) -> dict[tuple[int, str], AssessedFormula]:
    """The newest report of each design for this market."""
    found: dict[tuple[int, str], AssessedFormula] = {}
    designs = {batch.design_id for batch in batches}
    for row in Assessment.objects.filter(design_id__in=designs, market=market):
        found.setdefault((row.design_id, row.market), assessed_formula(row))
    return found


def _person(market: str) -> Answerable | None:
    row = MarketPerson.objects.filter(market=market).first() if market in MarketPerson.Market.values else None
    return Answerable(row.name, row.address_lines, row.origin) if row else None


def assessed_formula(row: Assessment) -> AssessedFormula:
    return AssessedFormula(
        assessor=row.assessor,
        report=row.report,
        assessed_on=row.assessed_on,
        formula_name=row.formula_name,
        revision_number=row.revision_number,
        most_scent_percent=row.most_scent_percent,
        share_of=row.share_of,  # type: ignore[arg-type]
    )


def _stated_since(material_ids: list[int]) -> dict[int, list[tuple[str, Decimal]]]:
    """The allergens of materials whose statement came after the batch was planned."""
    found: dict[int, list[tuple[str, Decimal]]] = {}
    rows = MaterialAllergen.objects.filter(material_id__in=material_ids).select_related("allergen")
    for share in rows if material_ids else ():
        found.setdefault(share.material_id, []).append((share.allergen.name, share.share_percent))
    return found


def _as_it_stands(material: Material, allergens: tuple[tuple[str, Decimal], ...]) -> FrozenMaterial:
    return FrozenMaterial(material.pk, allergens=allergens, **{field: getattr(material, field) for field in COPIED})
