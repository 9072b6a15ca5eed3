"""Alkalis, liquids and additives of a formula file."""

from decimal import Decimal

from formulas.chemistry.alkali import purity_from_range
from formulas.chemistry.constants import PLAIN_WATER_NAMES, UNSTATED_PURITY_LOWEST
from formulas.chemistry.records import Additive, Alkali, Liquid, Spread
from formulas.formula_file_json import Fields, Reading
from formulas.material_book import MaterialBook, MaterialFigures

ZERO, ONE = Decimal(0), Decimal(1)
ALKALI_WORDS = ("kind", "share_percent", "purity_percent", "purity_range_percent", "purity_is_certificate", "grams")
LIQUID_WORDS = (
    "material",
    "share_percent",
    "water_percent",
    "fat_percent",
    "fat_sap_koh_mg_per_g",
    "sugars_percent",
    "protein_percent",
    "alcohol_percent",
    "alkali_demand_g_naoh_per_g",
)
ADDITIVE_WORDS = (
    "material",
    "grams",
    "alkali_demand_g_naoh_per_g",
    "water_percent",
    "fat_percent",
    "fat_sap_koh_mg_per_g",
    "alcohol_percent",
    "is_scent",
    "stage",
)


def read_alkalis(reading: Reading, book: MaterialBook, fields: Fields) -> tuple[Alkali, ...]:
    lines = reading.lines(fields, "alkali")
    if not lines and fields.get("alkali") in (None, []):
        reading.refuse("no-alkali", "This formula has no alkali.", "Choose NaOH, KOH or both.")
    alkalis = []
    for line in lines:
        kind = reading.text(line, "kind", "Alkali") or ""
        where = kind or "Alkali"
        reading.mention_unknown_keys(line, ALKALI_WORDS, where)
        alkalis.append(
            Alkali(
                kind=kind,  # type: ignore[arg-type]  # the gates refuse any other word
                share_fraction=_share(reading, line, where, lines, has_weight=line.get("grams") is not None),
                purity_fraction=_purity(reading, book, line, kind),
                purity_is_certificate=bool(reading.truth(line, "purity_is_certificate", where)),
                grams=reading.number(line, "grams", where),
            )
        )
    return tuple(alkalis)


def _share(reading: Reading, line: Fields, where: str, lines: list[Fields], *, has_weight: bool = False) -> Decimal:
    """Return the share; one line alone may leave it out, and so may a line that has its grams."""
    share = reading.fraction(line, "share_percent", where)
    if share is None and line.get("share_percent") is None and len(lines) > 1 and not has_weight:
        reading.refuse("share-missing", f"{where}: its share is missing.", 'Write "share_percent" with a number.')
    return ONE if share is None else share


def _purity(reading: Reading, book: MaterialBook, line: Fields, kind: str) -> Spread:
    """Return the purity. A range alone, or nothing at all, is dosed on the end that cannot be lye-heavy."""
    percent = reading.fraction(line, "purity_percent", kind)
    limits = reading.spread(line, "purity_range_percent", kind)
    if limits is not None:
        low, high = limits.low / 100, limits.high / 100
        return purity_from_range(low, high) if percent is None else Spread(low, percent, high)
    if percent is not None:
        return Spread.exactly(percent)
    known = book.find(kind) if kind else None
    if known is not None and known.purity_fraction is not None:
        return known.purity_fraction
    return purity_from_range(UNSTATED_PURITY_LOWEST.get(kind, ONE), ONE)


def read_liquids(reading: Reading, book: MaterialBook, fields: Fields) -> tuple[Liquid, ...]:
    lines = reading.lines(fields, "liquids")
    found = (_liquid(reading, book, line, lines) for line in lines)
    return tuple(liquid for liquid in found if liquid is not None)


def _liquid(reading: Reading, book: MaterialBook, line: Fields, lines: list[Fields]) -> Liquid | None:
    name = reading.material(line, "Liquid")
    reading.mention_unknown_keys(line, LIQUID_WORDS, name)
    known = book.find(name) or MaterialFigures()
    share = _share(reading, line, name, lines)
    water = _first(reading.fraction(line, "water_percent", name), known.water_fraction)
    if water is None and name.lower() in PLAIN_WATER_NAMES:
        water = ONE
    fat = _first(reading.fraction(line, "fat_percent", name), known.fat_fraction)
    demand = _first(reading.number(line, "alkali_demand_g_naoh_per_g", name), known.alkali_demand_g_naoh_per_g)
    fat_sap = reading.spread(line, "fat_sap_koh_mg_per_g", name) or known.fat_sap_koh_mg_per_g
    sugars = _first(reading.fraction(line, "sugars_percent", name), known.sugars_fraction)
    protein = _first(reading.fraction(line, "protein_percent", name), known.protein_fraction)
    alcohol = _first(reading.fraction(line, "alcohol_percent", name), known.alcohol_fraction)
    if water is None:
        if line.get("water_percent") is None:
            reading.refuse_unknown(name, "Give its water and fat in percent.")
        return None
    return Liquid(
        name=name,
        share_fraction=share,
        water_fraction=water,
        fat_fraction=fat or ZERO,
        fat_sap_koh_mg_per_g=fat_sap,
        sugars_fraction=sugars,
        protein_fraction=protein,
        alcohol_fraction=alcohol,
        alkali_demand_g_naoh_per_g=demand or ZERO,
    )


def read_additives(reading: Reading, book: MaterialBook, fields: Fields) -> tuple[Additive, ...]:
    found = (_additive(reading, book, line) for line in reading.lines(fields, "additives"))
    return tuple(additive for additive in found if additive is not None)


def _additive(reading: Reading, book: MaterialBook, line: Fields) -> Additive | None:
    name = reading.material(line, "Additive")
    reading.mention_unknown_keys(line, ADDITIVE_WORDS, name)
    figures = book.find(name)
    known = figures or MaterialFigures()
    grams = reading.number(line, "grams", name)
    if line.get("grams") is None:
        reading.refuse("additive-grams", f"{name}: its grams are missing.", 'Write "grams" with a number.')
    demand = reading.number(line, "alkali_demand_g_naoh_per_g", name)
    if figures is None and line.get("alkali_demand_g_naoh_per_g") is None:
        reading.refuse_unknown(name, 'Give "alkali_demand_g_naoh_per_g": 0 unless it is an acid.')
    water = _first(reading.fraction(line, "water_percent", name), known.water_fraction)
    fat = _first(reading.fraction(line, "fat_percent", name), known.fat_fraction)
    fat_sap = reading.spread(line, "fat_sap_koh_mg_per_g", name) or known.fat_sap_koh_mg_per_g
    alcohol = _first(reading.fraction(line, "alcohol_percent", name), known.alcohol_fraction)
    is_scent = reading.truth(line, "is_scent", name)
    stage = reading.text(line, "stage", name) or ""
    if grams is None:
        return None
    return Additive(
        name=name,
        grams=grams,
        alkali_demand_g_naoh_per_g=_first(demand, known.alkali_demand_g_naoh_per_g),
        water_fraction=water or ZERO,
        fat_fraction=fat or ZERO,
        fat_sap_koh_mg_per_g=fat_sap,
        fat_acid_value=known.acid_value,
        fat_gives_glycerol=known.gives_glycerol,
        alcohol_fraction=alcohol,
        is_scent=known.is_scent if is_scent is None else is_scent,
        stage=stage,
    )


def _first(in_file: Decimal | None, in_book: Decimal | None) -> Decimal | None:
    return in_book if in_file is None else in_file
