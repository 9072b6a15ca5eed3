"""Acids and other alkali eaters: grams of NaOH per gram, from formula and strength."""

from decimal import Decimal

from formulas.chemistry.constants import KOH_G_PER_MOL, NAOH_G_PER_MOL
from formulas.chemistry.records import FormulaError

ONE = Decimal(1)

# Molar mass in g/mol (IUPAC weights through molmass) and hydroxide taken up per molecule.
ACIDS: dict[str, tuple[Decimal, int]] = {
    "citric acid, anhydrous": (Decimal("192.1238"), 3),
    "citric acid monohydrate": (Decimal("210.1391"), 3),
    "lactic acid": (Decimal("90.0781"), 1),
    "acetic acid": (Decimal("60.0521"), 1),
    "tartaric acid": (Decimal("150.0870"), 2),
    "ascorbic acid": (Decimal("176.1244"), 1),
    "stearic acid": (Decimal("284.4780"), 1),
    "sodium hydrogen carbonate": (Decimal("84.0067"), 1),
    "EDTA, free acid": (Decimal("292.2431"), 4),
    "disodium EDTA dihydrate": (Decimal("372.2373"), 2),
}
SODIUM_CITRATE_G_PER_MOL = Decimal("258.0693")
SODIUM_CITRATE_DIHYDRATE_G_PER_MOL = Decimal("294.0999")


def alkali_demand_g_naoh_per_g(acid: str, strength_fraction: Decimal = ONE) -> Decimal:
    """Return grams of NaOH per gram of an acid, or of its solution of the given strength by mass."""
    if acid not in ACIDS:
        raise FormulaError(f"“{acid}” is not in the list of acids. Give its alkali demand in g NaOH per g.")
    return alkali_demand(*ACIDS[acid]) * strength_fraction


def alkali_demand(acid_g_per_mol: Decimal, acid_groups: int, *, alkali_g_per_mol: Decimal = NAOH_G_PER_MOL) -> Decimal:
    return acid_groups * alkali_g_per_mol / acid_g_per_mol


def as_koh(demand_g_naoh_per_g: Decimal) -> Decimal:
    """Return the same demand in grams of KOH."""
    return demand_g_naoh_per_g * KOH_G_PER_MOL / NAOH_G_PER_MOL


def sodium_citrate_grams(citric_acid_anhydrous_grams: Decimal, *, dihydrate: bool = False) -> Decimal:
    """Return the citrate that forms in place from citric acid."""
    salt = SODIUM_CITRATE_DIHYDRATE_G_PER_MOL if dihydrate else SODIUM_CITRATE_G_PER_MOL
    return citric_acid_anhydrous_grams * salt / ACIDS["citric acid, anhydrous"][0]
