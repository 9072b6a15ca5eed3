"""Fatty acid make-up: SAP and iodine value from it, the blend's make-up, and what the groups mean in the pot."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from formulas.chemistry.constants import GLYCERYL_G_PER_MOL, IODINE_G_PER_MOL, MG_KOH_PER_MOL
from formulas.chemistry.figures import DOUBLE_BONDS, FATTY_ACIDS_G_PER_MOL, IODINE_FACTORS
from formulas.chemistry.records import Fat, FormulaError

ZERO = Decimal(0)
# A make-up that adds up to less than this leaves too much unnamed to reckon from; measured ones reach 99 %.
LEAST_KNOWN_PERCENT = Decimal(90)
Profile = Mapping[str, Decimal] | Iterable[tuple[str, Decimal]]


@dataclass(frozen=True)
class FattyAcidGroup:
    name: str
    acids: tuple[str, ...]
    words: str


# The wording is trade experience (common practice, no source).
FATTY_ACID_GROUPS = (
    FattyAcidGroup(
        "Short saturated",
        ("C4:0", "C6:0", "C8:0", "C10:0"),
        "Very soluble soaps: they foam fast, cleanse hard and can feel drying.",
    ),
    FattyAcidGroup(
        "Lauric and myristic",
        ("C12:0", "C14:0"),
        "Hard bars with quick, open lather, even in hard water. Much of it strips the skin.",
    ),
    FattyAcidGroup(
        "Palmitic and stearic",
        ("C16:0", "C18:0", "C20:0", "C22:0", "C24:0"),
        "Hard, long-lasting bars with low, creamy lather. They bring trace on sooner.",
    ),
    FattyAcidGroup(
        "Oleic",
        ("C16:1", "C18:1", "C20:1", "C22:1"),
        "Mild soap, slow to trace and soft when young. It hardens over a long cure; the lather is thin.",
    ),
    FattyAcidGroup(
        "Ricinoleic",
        ("C18:1-OH",),
        "From castor oil. It holds lather up and draws water; much of it leaves a bar tacky.",
    ),
    FattyAcidGroup(
        "Linoleic and linolenic",
        ("C18:2", "C18:3"),
        "Soft, mild soap. These acids go rancid first, so such bars keep a shorter time.",
    ),
)


def fatty_acid_name(text: str) -> str:
    """Return the name as used here ("C18:1-OH") for spellings such as "c18_1_oh" or "18:1"."""
    name = text.strip().upper().replace("_OH", "-OH").replace("_", ":")
    return name if name.startswith("C") else f"C{name}"


def named_percents(profile: Profile) -> dict[str, Decimal]:
    """Return the acids that are known here, by name; others (trace acids, "other") are left out."""
    pairs = profile.items() if isinstance(profile, Mapping) else profile
    named: dict[str, Decimal] = {}
    for text, percent in pairs:
        name = fatty_acid_name(text)
        if name in FATTY_ACIDS_G_PER_MOL and percent > 0:
            named[name] = named.get(name, ZERO) + percent
    return named


def mean_molar_mass(profile: Profile) -> Decimal:
    """Return the number average in g/mol; the weight average is wrong for mixed chain lengths."""
    named = named_percents(profile)
    if not named:
        raise FormulaError("This fat has no fatty acids on file. Enter its make-up first.")
    return sum(named.values(), ZERO) / sum((p / FATTY_ACIDS_G_PER_MOL[name] for name, p in named.items()), ZERO)


def sap_from_fatty_acids(profile: Profile, unsaponifiable_fraction: Decimal = ZERO) -> Decimal:
    """Return mg KOH/g of a neutral triglyceride of this make-up. Not for waxes."""
    return 3 * MG_KOH_PER_MOL / (3 * mean_molar_mass(profile) + GLYCERYL_G_PER_MOL) * (1 - unsaponifiable_fraction)


def iodine_value_from_fatty_acids(profile: Profile) -> Decimal:
    """Return g iodine per 100 g for acids bound in triglycerides."""
    return sum((p * IODINE_FACTORS.get(name, ZERO) for name, p in named_percents(profile).items()), ZERO)


def free_acid_iodine_factor(acid: str) -> Decimal:
    """Return the iodine value per percent of an acid that is not bound in a fat."""
    return DOUBLE_BONDS[acid] * IODINE_G_PER_MOL / FATTY_ACIDS_G_PER_MOL[acid]


def bound_acid_iodine_factor(acid: str) -> Decimal:
    """Return the iodine value per percent of an acid bound in a triglyceride, from molar masses alone."""
    triglyceride = 3 * FATTY_ACIDS_G_PER_MOL[acid] + GLYCERYL_G_PER_MOL
    return 3 * DOUBLE_BONDS[acid] * IODINE_G_PER_MOL / triglyceride


def has_make_up(fat: Fat) -> bool:
    return sum(named_percents(fat.fatty_acids_percent).values(), ZERO) >= LEAST_KNOWN_PERCENT


def iodine_value_of(fat: Fat) -> Decimal | None:
    """Return the given iodine value, else the one its make-up gives, else None."""
    if fat.iodine_value is not None:
        return fat.iodine_value
    return iodine_value_from_fatty_acids(fat.fatty_acids_percent) if has_make_up(fat) else None


def blend_iodine_value(fats: Iterable[Fat]) -> Decimal | None:
    """Return the mass-weighted mean; None when one fat's value is unknown."""
    total = grams = ZERO
    for fat in fats:
        value = iodine_value_of(fat)
        if value is None:
            return None
        total += fat.grams * value
        grams += fat.grams
    return total / grams if grams else None


def blend_sap(fats: Iterable[Fat]) -> Decimal | None:
    fats = tuple(fats)
    grams = sum((fat.grams for fat in fats), ZERO)
    return sum((fat.grams * fat.sap_koh_mg_per_g.plan for fat in fats), ZERO) / grams if grams else None


def blend_fatty_acids(fats: Iterable[Fat]) -> tuple[tuple[str, Decimal], ...] | None:
    """Return percent of each acid, the mass-weighted mean of the fats; None when one fat's make-up is unknown."""
    fats = tuple(fats)
    grams = sum((fat.grams for fat in fats), ZERO)
    if not grams or not all(has_make_up(fat) for fat in fats):
        return None
    blend: dict[str, Decimal] = dict.fromkeys(FATTY_ACIDS_G_PER_MOL, ZERO)
    for fat in fats:
        for name, percent in named_percents(fat.fatty_acids_percent).items():
            blend[name] += percent * fat.grams / grams
    return tuple((name, percent) for name, percent in blend.items() if percent)


def group_percents(profile: Profile) -> tuple[tuple[FattyAcidGroup, Decimal], ...]:
    """Return each group with its percent, in the order from hard and quick to soft and mild."""
    named = named_percents(profile)
    return tuple((group, sum((named.get(a, ZERO) for a in group.acids), ZERO)) for group in FATTY_ACID_GROUPS)
