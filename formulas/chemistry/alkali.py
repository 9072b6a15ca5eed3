"""How much alkali: what fats and acids take up, and what to weigh for it.

An amount of alkali is in mol of hydroxide here; acids are neutralized in full before any fat.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from formulas.chemistry.constants import ALKALI_G_PER_MOL, KOH_G_PER_MOL, MG_KOH_PER_MOL, NAOH_G_PER_MOL
from formulas.chemistry.records import Additive, Alkali, Fat, FormulaError, Liquid, Spread

ZERO = Decimal(0)
ONE = Decimal(1)


@dataclass(frozen=True)
class AlkaliEater:
    """Something that takes up alkali before the fats do."""

    name: str
    mol: Decimal


def naoh_grams_for(grams: Decimal, sap_koh_mg_per_g: Decimal) -> Decimal:
    """Return the pure NaOH that the whole of one fat takes up."""
    return grams * sap_koh_mg_per_g / MG_KOH_PER_MOL * NAOH_G_PER_MOL


def koh_grams_for(grams: Decimal, sap_koh_mg_per_g: Decimal) -> Decimal:
    """Return the pure KOH that the whole of one fat takes up: the meaning of SAP."""
    return grams * sap_koh_mg_per_g / 1000


def saponification_equivalent(sap_koh_mg_per_g: Decimal) -> Decimal:
    """Return the grams of fat that one mole of alkali saponifies."""
    if sap_koh_mg_per_g <= 0:
        raise FormulaError("A SAP value must be above zero. Check the fat's figure.")
    return MG_KOH_PER_MOL / sap_koh_mg_per_g


def fat_mol(fats: Iterable[Fat]) -> Spread:
    """Return the alkali that the fats can take up: all SAP values low, as planned, all high."""
    low = plan = high = ZERO
    for fat in fats:
        low += fat.grams * fat.sap_koh_mg_per_g.low
        plan += fat.grams * fat.sap_koh_mg_per_g.plan
        high += fat.grams * fat.sap_koh_mg_per_g.high
    return Spread(low / MG_KOH_PER_MOL, plan / MG_KOH_PER_MOL, high / MG_KOH_PER_MOL)


def eaters_among(parts: Iterable[Additive | tuple[Liquid, Decimal]]) -> tuple[AlkaliEater, ...]:
    """Return those additives and poured liquids that take up alkali. An unknown demand counts as none."""
    found = []
    for part in parts:
        source, grams = part if isinstance(part, tuple) else (part, part.grams)
        demand = source.alkali_demand_g_naoh_per_g
        if demand and grams:
            found.append(AlkaliEater(source.name, grams * demand / NAOH_G_PER_MOL))
    return tuple(found)


def total_mol(eaters: Iterable[AlkaliEater]) -> Decimal:
    return sum((eater.mol for eater in eaters), ZERO)


def with_weights(alkalis: Iterable[Alkali], *, for_fats_mol: Decimal, for_acids_mol: Decimal) -> tuple[Alkali, ...]:
    """Return the alkalis with the grams to weigh, purity applied.

    Acids go to the NaOH where there is any, so that the KOH share of the fats stays as written.
    """
    alkalis = tuple(alkalis)
    neutralizer = _neutralizer(alkalis)
    weighed = []
    for alkali in alkalis:
        mol = alkali.share_fraction * for_fats_mol + (for_acids_mol if alkali is neutralizer else ZERO)
        grams = mol * ALKALI_G_PER_MOL[alkali.kind] / alkali.purity_fraction.plan
        weighed.append(replace(alkali, grams=grams))
    return tuple(weighed)


def _neutralizer(alkalis: tuple[Alkali, ...]) -> Alkali:
    sodas = (alkali for alkali in alkalis if alkali.kind == "NaOH" and alkali.share_fraction > 0)
    return next(sodas, max(alkalis, key=lambda alkali: alkali.share_fraction))


def weighed_grams(alkalis: Iterable[Alkali], kind: str | None = None) -> Decimal:
    """Return the alkali as weighed, of one kind or of all."""
    return sum((a.grams or ZERO for a in alkalis if kind in (None, a.kind)), ZERO)


def pure_grams(alkalis: Iterable[Alkali], kind: str) -> Decimal:
    return sum(((a.grams or ZERO) * a.purity_fraction.plan for a in alkalis if a.kind == kind), ZERO)


def pure_mol(alkali: Alkali, purity_fraction: Decimal | None = None) -> Decimal:
    purity = alkali.purity_fraction.plan if purity_fraction is None else purity_fraction
    return (alkali.grams or ZERO) * purity / ALKALI_G_PER_MOL[alkali.kind]


def mol_left_for_fats(alkalis: Iterable[Alkali], for_acids_mol: Decimal) -> dict[str, Decimal]:
    """Return by kind what is left after the acids took theirs, NaOH first."""
    alkalis = tuple(alkalis)
    left: dict[str, Decimal] = {}
    still_to_take = for_acids_mol
    for kind in ALKALI_G_PER_MOL:  # NaOH stands first
        of_kind = sum((pure_mol(alkali) for alkali in alkalis if alkali.kind == kind), ZERO)
        taken = min(of_kind, still_to_take)
        left[kind] = of_kind - taken
        still_to_take -= taken
    return left


def split_by_mass(mol: Decimal, *, naoh_mass_fraction: Decimal) -> Mapping[str, Decimal]:
    """Return grams of pure NaOH and KOH for an alkali demand, where the split is by weight of pure alkali.

    This is the other reading of "90/10"; it is not the split by share of the fat neutralized.
    """
    mol_per_gram = naoh_mass_fraction / NAOH_G_PER_MOL + (1 - naoh_mass_fraction) / KOH_G_PER_MOL
    grams = mol / mol_per_gram
    return {"NaOH": grams * naoh_mass_fraction, "KOH": grams * (1 - naoh_mass_fraction)}


def equivalent_share_of_mass_split(naoh_mass_fraction: Decimal) -> Decimal:
    """Return the share of the fat that NaOH neutralizes when pure alkali is split by weight."""
    naoh = naoh_mass_fraction / NAOH_G_PER_MOL
    return naoh / (naoh + (1 - naoh_mass_fraction) / KOH_G_PER_MOL)


def purity_from_range(low: Decimal, high: Decimal) -> Spread:
    """Return the purity to plan with when a label gives only a range: the high end cannot turn a batch lye-heavy."""
    return Spread(low, high, high)
