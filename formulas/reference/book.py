"""The reference data as a book to look materials up in, without a database."""

import re
from collections.abc import Iterable
from decimal import Decimal

from formulas.chemistry.records import Spread
from formulas.material_book import MaterialFigures
from formulas.reference.read import plain_name, read_reference
from formulas.reference.rows import MaterialRow

SCENTS = ("fragrance", "essential_oil")
# Unknown lye demand counts as none for these, as it does on the formula page; an acid's stays unknown.
LYE_EATER = "acid"
ZERO, ONE = Decimal(0), Decimal(1)


class ReferenceBook:
    """Finds a material by its name, one of its other names, or the same words in another order."""

    def __init__(self, materials: Iterable[MaterialRow] | None = None) -> None:
        rows = tuple(read_reference().materials if materials is None else materials)
        self._by_name = {plain_name(name): row for row in rows for name in (row.name, *row.aliases)}
        self._by_words: dict[tuple[str, ...], set[str]] = {}
        for name, row in self._by_name.items():
            self._by_words.setdefault(_words(name), set()).add(row.key)
        self._by_key = {row.key: row for row in rows}

    def row(self, name: str) -> MaterialRow | None:
        """Return the material, or None when no name fits or when the words fit more than one."""
        found = self._by_name.get(plain_name(name))
        if found is not None:
            return found
        keys = self._by_words.get(_words(name), set())
        return self._by_key[next(iter(keys))] if len(keys) == 1 else None

    def find(self, name: str) -> MaterialFigures | None:
        row = self.row(name)
        return None if row is None else figures_of(row)


def figures_of(row: MaterialRow) -> MaterialFigures:
    """Return what the chemistry asks of a material. A fat among the additions counts as all fat."""
    sap = _spread(row.sap_low, row.sap_plan, row.sap_high)
    is_fat = row.kind == "fat"
    demand = row.alkali_demand_g_naoh_per_g
    if demand is None and row.kind != LYE_EATER:
        demand = ZERO
    return MaterialFigures(
        sap_koh_mg_per_g=sap,
        iodine_value=row.iodine_value,
        density_g_per_ml=row.density_g_per_ml,
        gives_glycerol=row.gives_glycerol,
        acid_value=sap.plan if sap and row.is_free_acid else ZERO,
        unsaponifiable_fraction=_fraction(row.unsaponifiable_percent),
        fatty_acids_percent={acid: Decimal(share) for acid, share in row.fatty_acids_percent.items()},
        water_fraction=_fraction(row.water_percent),
        fat_fraction=ONE if is_fat else _fraction(row.fat_percent),
        fat_sap_koh_mg_per_g=sap if is_fat else _between(row.fat_sap_low, row.fat_sap_high),
        sugars_fraction=_fraction(row.sugars_percent),
        protein_fraction=_fraction(row.protein_percent),
        alcohol_fraction=_fraction(row.alcohol_percent),
        alkali_demand_g_naoh_per_g=demand,
        purity_fraction=_spread(
            _fraction(row.purity_low_percent), _fraction(row.purity_percent), _fraction(row.purity_high_percent)
        ),
        is_scent=row.kind in SCENTS,
    )


def _words(name: str) -> tuple[str, ...]:
    return tuple(sorted(re.findall(r"\w+", plain_name(name))))


def _fraction(percent: Decimal | None) -> Decimal | None:
    return None if percent is None else percent / 100


def _spread(low: Decimal | None, plan: Decimal | None, high: Decimal | None) -> Spread | None:
    return None if low is None or plan is None or high is None else Spread(low, plan, high)


def _between(low: Decimal | None, high: Decimal | None) -> Spread | None:
    return None if low is None or high is None else Spread.between(low, high)
