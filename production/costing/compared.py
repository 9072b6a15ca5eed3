"""What a change of a formula does to the cost of its materials, at the newest landed prices."""

from dataclasses import dataclass
from decimal import Decimal

from formulas.models import FormulaLine, FormulaRevision
from formulas.reads.comparison import Comparison
from formulas.reads.revisions import weigh_rows
from formulas.records import ONE_KILOGRAM, reckon_revision
from production.costing.prices import todays_prices
from soapshop.panels import Panel


@dataclass(frozen=True)
class MaterialCost:
    """What the materials of a batch of 1 kg of oils cost; ``unpriced`` names those without a price."""

    cost: Decimal
    unpriced: tuple[str, ...]


def compared_costs(comparison: Comparison) -> Panel:
    older, newer = material_cost(comparison.older), material_cost(comparison.newer)
    unpriced = tuple(dict.fromkeys((*older.unpriced, *newer.unpriced)))
    context = {"older": older, "newer": newer, "unpriced": unpriced, "difference": newer.cost - older.cost}
    return Panel("production/costing/compared.html", context)


def material_cost(revision: FormulaRevision) -> MaterialCost:
    lines: list[FormulaLine] = list(revision.lines.all())
    by_name = {line.material.name: line.material_id for line in lines}
    prices = todays_prices(by_name.values())
    result = reckon_revision(revision).result
    if result is None or not result.is_computed:
        return MaterialCost(Decimal(0), tuple(by_name))
    cost, unpriced = Decimal(0), []
    for row in weigh_rows(lines, result, ONE_KILOGRAM):
        price = prices.get(by_name.get(row.name, 0))
        if price is None:
            unpriced.append(row.name)
        else:
            cost += row.grams * price
    return MaterialCost(cost, tuple(unpriced))
