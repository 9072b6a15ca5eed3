"""Put the names in their order: by weight, then the small ones, then allergens, colors last."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal

from formulas.declaration.records import AllergenLine, Entry, Group
from formulas.label_rules.rulebook import RuleSet

ZERO = Decimal()
WHOLE = Decimal(100)


@dataclass
class _Sum:
    name: str
    grams: Decimal = ZERO
    materials: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class Amount:
    """Grams of one named substance, before equal names are added up."""

    name: str
    grams: Decimal
    material: str
    is_color: bool = False


def ordered_entries(
    amounts: Iterable[Amount], allergens: Iterable[AllergenLine], rules: RuleSet, basis_grams: Decimal
) -> tuple[Entry, ...]:
    """Return the list in print order. Where any order is allowed, weight and then the alphabet decide."""
    plain, colors = _added_up(amounts)
    entries = [_entry(total, rules, basis_grams) for total in plain]
    present = {total.name.casefold() for total in plain}
    named = [a for a in allergens if a.is_declared and a.name.casefold() not in present]
    entries += [_allergen_entry(line, rules, basis_grams) for line in named]
    rank = {"main": 0, "low": 1, "allergen": 2, "color": 3}
    entries += [_color_entry(total, basis_grams, rules) for total in colors]
    return tuple(sorted(entries, key=lambda e: (rank[e.group], *_place(e))))


def is_low(grams: Decimal, basis_grams: Decimal, rules: RuleSet) -> bool:
    """Compare without dividing, so that exactly one percent is exactly one percent."""
    share, edge = WHOLE * grams, rules.low_percent * basis_grams
    return share <= edge if rules.has_low_edge else share < edge


def percent_of(grams: Decimal, basis_grams: Decimal) -> Decimal:
    return WHOLE * grams / basis_grams if basis_grams > 0 else ZERO


def _place(entry: Entry) -> tuple[Decimal, str]:
    """Allergens below the free limit stand in the alphabet; everything else by falling weight."""
    return (ZERO if entry.group == "allergen" else -entry.grams, entry.name.casefold())


def _added_up(amounts: Iterable[Amount]) -> tuple[list[_Sum], list[_Sum]]:
    plain: dict[str, _Sum] = {}
    colors: dict[str, _Sum] = {}
    for amount in amounts:
        book = colors if amount.is_color else plain
        total = book.setdefault(amount.name.casefold(), _Sum(amount.name))
        total.grams += amount.grams
        if amount.material not in total.materials:
            total.materials.append(amount.material)
    return [t for t in plain.values() if t.grams > 0], [t for t in colors.values() if t.grams > 0]


def _edge_words(rules: RuleSet) -> str:
    return f"{rules.low_percent} percent or less" if rules.has_low_edge else f"less than {rules.low_percent} percent"


def _entry(total: _Sum, rules: RuleSet, basis_grams: Decimal) -> Entry:
    group: Group = "low" if is_low(total.grams, basis_grams, rules) else "main"
    rule = f"{_edge_words(rules)}: any order after the rest" if group == "low" else "by falling weight"
    return Entry(
        total.name, total.grams, percent_of(total.grams, basis_grams), group, rule, tuple(sorted(total.materials))
    )


def _allergen_entry(line: AllergenLine, rules: RuleSet, basis_grams: Decimal) -> Entry:
    """An allergen that makes up as much as a main ingredient takes its place by weight; the others follow the rest."""
    group: Group = "allergen" if is_low(line.grams, basis_grams, rules) else "main"
    rule = f"allergen {line.rule}, held in {', '.join(line.sources)}"
    return Entry(line.name, line.grams, percent_of(line.grams, basis_grams), group, rule, line.sources)


def _color_entry(total: _Sum, basis_grams: Decimal, rules: RuleSet) -> Entry:
    percent = percent_of(total.grams, basis_grams)
    return Entry(total.name, total.grams, percent, "color", "colors last, in any order", tuple(sorted(total.materials)))
