"""What a piece made from a formula is made of: shares of the piece's weight, from the approved revision."""

from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

from formulas.declaration_records import material_grams
from formulas.models import Formula, FormulaRevision, Material, Part, PartIngredient
from formulas.records import reckon_revision

FOUR_PLACES = Decimal("0.0001")
HUNDRED = Decimal(100)


@dataclass(frozen=True)
class IngredientDraft:
    """One ingredient of a piece, percent of the piece's weight."""

    material: Material
    percent: Decimal


def formula_contents(revision: FormulaRevision) -> tuple[IngredientDraft, ...]:
    """Return the shares of the fresh piece, largest first; they add up to 100. Nothing when it cannot be reckoned."""
    result = reckon_revision(revision).result
    if result is None or result.batch_grams is None:
        return ()
    grams: dict[Material, Decimal] = {}
    for material, mass in material_grams(revision.lines.select_related("material"), result):
        found = material or Material.objects.filter(key="water").first()
        if found is not None:
            grams[found] = grams.get(found, Decimal(0)) + mass
    return shares_of(grams)


def shares_of(grams: dict[Material, Decimal]) -> tuple[IngredientDraft, ...]:
    """Return the percent of each material, cut to four places; what was cut off goes to the largest."""
    whole = sum(grams.values(), Decimal(0))
    shares = {material: (HUNDRED * mass / whole).quantize(FOUR_PLACES, ROUND_FLOOR) for material, mass in grams.items()}
    if not shares:
        return ()
    largest = max(shares, key=lambda material: shares[material])
    shares[largest] += HUNDRED - sum(shares.values(), Decimal(0))
    ordered = sorted(shares.items(), key=lambda item: (-item[1], item[0].name))
    return tuple(IngredientDraft(material, percent) for material, percent in ordered if percent > 0)


def approved_contents(formula: Formula) -> tuple[IngredientDraft, ...]:
    revision = formula.revisions.approved().first()
    return () if revision is None else formula_contents(revision)


def write_contents(part: Part, contents: tuple[IngredientDraft, ...]) -> None:
    """Replace what a part is said to be made of. The caller holds the transaction."""
    part.ingredients.all().delete()
    PartIngredient.objects.bulk_create(
        PartIngredient(part=part, material=row.material, percent=row.percent) for row in contents
    )
