"""At the bench: superfat from what was weighed, and the way back when it went wrong."""

from collections.abc import Iterable
from decimal import Context, Decimal, localcontext

from formulas.chemistry.alkali import AlkaliEater, eaters_among, fat_mol, pure_mol, total_mol
from formulas.chemistry.constants import MG_KOH_PER_MOL
from formulas.chemistry.mixing import fat_in
from formulas.chemistry.records import Additive, Alkali, AlkaliKind, Fat, FormulaError, Liquid, Spread
from formulas.chemistry.results import SuperfatInterval
from formulas.chemistry.superfat import superfat_interval

ZERO = Decimal(0)
PRECISE = Context(prec=40)


def superfat_from_actuals(
    *,
    fats_as_weighed: Iterable[Fat],
    alkalis_as_weighed: Iterable[Alkali],
    additives_as_weighed: Iterable[Additive] = (),
    liquids_as_weighed: Iterable[Liquid] = (),
    weighing_error_fraction: Decimal = ZERO,
) -> SuperfatInterval:
    """Return the superfat of what is in the pot. Alkalis and liquids carry their grams as weighed."""
    with localcontext(PRECISE):
        fats, eaters = _in_pot(fats_as_weighed, additives_as_weighed, liquids_as_weighed)
        alkalis = tuple(alkalis_as_weighed)
        return superfat_interval(fats, alkalis, eaters, weighing_error_fraction=weighing_error_fraction)


def alkali_in_solution(
    kind: AlkaliKind, *, solution_grams: Decimal, strength_fraction: Decimal, purity_fraction: Spread
) -> Alkali:
    """Return the alkali that so many grams of stock solution hold."""
    return Alkali(kind, purity_fraction=purity_fraction, grams=solution_grams * strength_fraction)


def rescue_fats(
    *,
    fats_as_weighed: Iterable[Fat],
    alkalis_as_weighed: Iterable[Alkali],
    additives_as_weighed: Iterable[Additive] = (),
    liquids_as_weighed: Iterable[Liquid] = (),
    wanted_superfat_fraction: Decimal,
    only: Fat | None = None,
) -> tuple[tuple[str, Decimal], ...]:
    """Return the grams of each fat to add: in the shares already weighed, or of one fat alone (its grams are ignored).

    Nothing to add gives zeros. The alkali stays as it is.
    """
    if not -1 < wanted_superfat_fraction < 1:
        raise FormulaError("The wanted superfat must be below 100 %. Type a percentage such as 5.")
    with localcontext(PRECISE):
        weighed = tuple(fats_as_weighed)
        fats, eaters = _in_pot(weighed, additives_as_weighed, liquids_as_weighed)
        net = sum((pure_mol(alkali) for alkali in alkalis_as_weighed), ZERO) - total_mol(eaters)
        missing = max(net / (1 - wanted_superfat_fraction) - fat_mol(fats).plan, ZERO)
        if only is not None:
            return ((only.name, missing * MG_KOH_PER_MOL / only.sap_koh_mg_per_g.plan),)
        in_shares = fat_mol(weighed).plan
        if not in_shares:
            raise FormulaError("No fats are weighed in yet. Name the fat to add.")
        return tuple((fat.name, fat.grams * missing / in_shares) for fat in weighed)


def _in_pot(
    fats: Iterable[Fat], additives: Iterable[Additive], liquids: Iterable[Liquid]
) -> tuple[tuple[Fat, ...], tuple[AlkaliEater, ...]]:
    parts: list[Additive | tuple[Liquid, Decimal]] = list(additives)
    parts += [(liquid, liquid.grams or ZERO) for liquid in liquids]
    carried = []
    for part in parts:
        source, grams = part if isinstance(part, tuple) else (part, part.grams)
        fat = fat_in(source, grams)
        if fat is not None:
            carried.append(fat)
    return (*fats, *carried), eaters_among(parts)


def free_alkali_percent(
    superfat_fraction: Decimal, *, naoh_at_zero_superfat_grams: Decimal, bar_grams: Decimal
) -> Decimal:
    """Return percent free NaOH in the bar before any of it turns to carbonate; 0 when fat is left over."""
    return 100 * max(-superfat_fraction, ZERO) * naoh_at_zero_superfat_grams / bar_grams


def superfat_at_free_alkali(
    free_alkali_percent: Decimal, *, naoh_at_zero_superfat_grams: Decimal, bar_grams: Decimal
) -> Decimal:
    """Return the superfat fraction (below zero) at which a bar would hold so much free NaOH."""
    return -free_alkali_percent / 100 * bar_grams / naoh_at_zero_superfat_grams


def alkali_for_other_superfat(
    alkali_grams: Decimal, *, planned_fraction: Decimal, wanted_fraction: Decimal, for_acids_grams: Decimal = ZERO
) -> Decimal:
    """Return the alkali for another superfat with the same fats. The part that acids take up does not change."""
    return (alkali_grams - for_acids_grams) * (1 - wanted_fraction) / (1 - planned_fraction) + for_acids_grams


def oils_for_other_superfat(oils_grams: Decimal, *, planned_fraction: Decimal, wanted_fraction: Decimal) -> Decimal:
    """Return the oils (same mix) for another superfat with the same alkali."""
    return oils_grams * (1 - planned_fraction) / (1 - wanted_fraction)
