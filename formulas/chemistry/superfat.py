"""Superfat as an interval: what is planned, how low and how high it may really be, and why."""

from collections.abc import Iterable
from decimal import Decimal

from formulas.chemistry.alkali import AlkaliEater, fat_mol, mol_left_for_fats, pure_mol, total_mol
from formulas.chemistry.constants import ALKALI_G_PER_MOL, MG_KOH_PER_MOL
from formulas.chemistry.records import Alkali, Fat, FormulaError, Spread
from formulas.chemistry.results import SuperfatInterval

ZERO = Decimal(0)


def superfat_fraction(fats: Iterable[Fat], alkalis: Iterable[Alkali], eaters: Iterable[AlkaliEater] = ()) -> Decimal:
    """Return the share of the fats' alkali demand that stays unfilled, with every figure as planned."""
    demand = fat_mol(fats).plan
    if demand <= 0:
        raise FormulaError("There are no fats to reckon a superfat on. Weigh the fats in first.")
    return 1 - (sum((pure_mol(alkali) for alkali in alkalis), ZERO) - total_mol(eaters)) / demand


def superfat_interval(
    fats: Iterable[Fat],
    alkalis: Iterable[Alkali],
    eaters: Iterable[AlkaliEater] = (),
    *,
    weighing_error_fraction: Decimal = ZERO,
) -> SuperfatInterval:
    """Return the superfat interval in percent for alkali that has its grams.

    Worst case: every SAP low, every purity high, alkali over-weighed and fats and acids under-weighed; and the
    reverse for the highest.
    """
    fats, alkalis, eaters = tuple(fats), tuple(alkalis), tuple(eaters)
    planned = superfat_fraction(fats, alkalis, eaters)
    demand, acids, error = fat_mol(fats), total_mol(eaters), weighing_error_fraction
    purest = sum((pure_mol(a, a.purity_fraction.high) for a in alkalis), ZERO)
    weakest = sum((pure_mol(a, a.purity_fraction.low) for a in alkalis), ZERO)
    lowest = 1 - (purest * (1 + error) - acids * (1 - error)) / (demand.low * (1 - error))
    highest = 1 - (weakest * (1 - error) - acids * (1 + error)) / (demand.high * (1 + error))
    variances = _variances(fats, alkalis, eaters, planned=planned, error=error)
    variance = sum((part for _, part in variances), ZERO)
    deviation = variance.sqrt()
    return SuperfatInterval(
        planned=100 * planned,
        lowest=100 * min(lowest, planned),
        highest=100 * max(highest, planned),
        smallest_safe_plan=100 * _smallest_safe_plan(demand, alkalis, acids, error),
        standard_deviation=100 * deviation,
        likely_lowest=100 * max(lowest, planned - 2 * deviation),
        likely_highest=100 * min(highest, planned + 2 * deviation),
        causes=tuple((name, part / variance) for name, part in variances if part),
    )


def _smallest_safe_plan(demand: Spread, alkalis: tuple[Alkali, ...], acids: Decimal, error: Decimal) -> Decimal:
    """Return the planned superfat at which the worst case is exactly zero, with the same alkali shares and purity."""
    left = mol_left_for_fats(alkalis, acids)
    left_in_all = sum(left.values(), ZERO)
    fats_excess = acids_excess = ZERO  # purest over planned purity, weighted by who neutralizes what
    for kind, mol in left.items():
        of_kind = [alkali for alkali in alkalis if alkali.kind == kind and alkali.grams]
        planned = sum((pure_mol(alkali) for alkali in of_kind), ZERO)
        if not planned:
            continue
        excess = sum((pure_mol(alkali, alkali.purity_fraction.high) for alkali in of_kind), ZERO) / planned
        fats_excess += excess * (mol / left_in_all if left_in_all else ZERO)
        acids_excess += excess * (planned - mol)
    room = demand.low * (1 - error) + acids * (1 - error) - acids_excess * (1 + error)
    if not fats_excess:
        return ZERO
    return 1 - room / (demand.plan * fats_excess * (1 + error))


def _variances(
    fats: tuple[Fat, ...],
    alkalis: tuple[Alkali, ...],
    eaters: tuple[AlkaliEater, ...],
    *,
    planned: Decimal,
    error: Decimal,
) -> list[tuple[str, Decimal]]:
    """Return each uncertain figure's share of the variance: rectangular, independent, first order; largest first."""
    demand = fat_mol(fats).plan
    parts: list[tuple[str, Decimal]] = []
    weighing = ZERO
    for fat in fats:
        per_mg = (1 - planned) * fat.grams / MG_KOH_PER_MOL / demand
        parts.append((f"SAP of {fat.name}", (per_mg * fat.sap_koh_mg_per_g.half_width) ** 2 / 3))
        weighing += (per_mg * fat.sap_koh_mg_per_g.plan * error) ** 2 / 3
    for alkali in alkalis:
        grams_of_demand = (alkali.grams or ZERO) / ALKALI_G_PER_MOL[alkali.kind] / demand
        parts.append((f"purity of {alkali.kind}", (grams_of_demand * alkali.purity_fraction.half_width) ** 2 / 3))
        weighing += (pure_mol(alkali) / demand * error) ** 2 / 3
    weighing += sum(((eater.mol / demand * error) ** 2 / 3 for eater in eaters), ZERO)
    parts.append(("weighing", weighing))
    return sorted(parts, key=lambda part: part[1], reverse=True)
