"""A formula as the workshop can weigh it: lye down, the rest to the nearest step, and the superfat that results."""

from dataclasses import dataclass, replace
from decimal import Decimal

from formulas.chemistry.compute import compute_formula
from formulas.chemistry.records import Additive, FormulaSpec
from formulas.chemistry.results import FormulaResult, SuperfatInterval
from formulas.weighing import round_to_step, smallest_dose_grams

ZERO = Decimal(0)


@dataclass(frozen=True)
class ScaleSteps:
    """Steps of the workshop's scales in grams, and the accepted error of each kind of dose as a fraction."""

    lye_grams: Decimal
    fat_grams: Decimal
    dose_grams: Decimal
    finest_grams: Decimal
    alkali_fraction: Decimal
    fat_fraction: Decimal
    liquid_fraction: Decimal
    dose_fraction: Decimal
    minor_fraction: Decimal


@dataclass(frozen=True)
class RoundedLine:
    name: str
    exact_grams: Decimal
    rounded_grams: Decimal
    smallest_grams: Decimal  # the least that the finest scale weighs within the accepted error

    @property
    def is_too_small(self) -> bool:
        return self.rounded_grams < self.smallest_grams


@dataclass(frozen=True)
class RoundedBatch:
    lines: tuple[RoundedLine, ...]
    superfat: SuperfatInterval

    @property
    def too_small(self) -> tuple[RoundedLine, ...]:
        return tuple(line for line in self.lines if line.is_too_small)


def rounded_batch(spec: FormulaSpec, result: FormulaResult, steps: ScaleSteps) -> RoundedBatch | None:
    """Round every dose, work the lye out again for the rounded oils, round it down. None where nothing is left."""
    weighed = replace(
        spec,
        fats=tuple(replace(fat, grams=round_to_step(fat.grams, steps.fat_grams)) for fat in spec.fats),
        additives=tuple(replace(item, grams=round_to_step(item.grams, steps.dose_grams)) for item in spec.additives),
    )
    first = compute_formula(weighed)
    lye = _lye_lines(spec, first, steps) if first.is_computed else {}
    if not lye:
        return None
    strength = spec.stock_solution.strength_fraction if spec.stock_solution else Decimal(1)
    in_stock = spec.stock_solution.kind if spec.stock_solution else ""
    alkalis = tuple(
        replace(alkali, grams=lye[alkali.kind] * (strength if alkali.kind == in_stock else 1))
        for alkali in spec.alkalis
    )
    final = compute_formula(replace(weighed, alkalis=alkalis, superfat_fraction=None))
    if final.superfat is None:
        return None
    return RoundedBatch((*_lye_shown(spec, result, lye, steps), *_others(spec, weighed, result, steps)), final.superfat)


def _lye_lines(spec: FormulaSpec, result: FormulaResult, steps: ScaleSteps) -> dict[str, Decimal]:
    """Return by kind what the scale shows: dry alkali, or the ready solution that brings it. One line a kind."""
    grams = {"NaOH": result.naoh_grams or ZERO, "KOH": result.koh_grams or ZERO}
    if spec.stock_solution is not None:
        grams[spec.stock_solution.kind] = result.stock_solution_grams or ZERO
    kinds = [alkali.kind for alkali in spec.alkalis]
    if len(set(kinds)) < len(kinds):
        return {}
    return {kind: round_to_step(grams[kind], steps.lye_grams, kind="lye") for kind in kinds}


def _lye_shown(
    spec: FormulaSpec, result: FormulaResult, lye: dict[str, Decimal], steps: ScaleSteps
) -> list[RoundedLine]:
    exact = {"NaOH": result.naoh_grams or ZERO, "KOH": result.koh_grams or ZERO}
    names = {kind: kind for kind in lye}
    if spec.stock_solution is not None:
        exact[spec.stock_solution.kind] = result.stock_solution_grams or ZERO
        names[spec.stock_solution.kind] = f"{spec.stock_solution.kind} solution"
    least = _smallest(steps, steps.alkali_fraction)
    return [RoundedLine(names[kind], exact[kind], grams, least) for kind, grams in lye.items()]


def _others(spec: FormulaSpec, weighed: FormulaSpec, result: FormulaResult, steps: ScaleSteps) -> list[RoundedLine]:
    least_fat, least_liquid = _smallest(steps, steps.fat_fraction), _smallest(steps, steps.liquid_fraction)
    lines = [
        RoundedLine(name, grams, round_to_step(grams, steps.fat_grams), least_liquid)
        for name, grams in result.liquids
        if grams
    ]
    lines += [
        RoundedLine(fat.name, fat.grams, rounded.grams, least_fat)
        for fat, rounded in zip(spec.fats, weighed.fats, strict=True)
    ]
    lines += [
        RoundedLine(item.name, item.grams, rounded.grams, _smallest(steps, _tolerance(item, steps)))
        for item, rounded in zip(spec.additives, weighed.additives, strict=True)
    ]
    return lines


def _tolerance(item: Additive, steps: ScaleSteps) -> Decimal:
    """Scents and acids count in full; colors, clays and the like may stray more."""
    return steps.dose_fraction if item.is_scent or item.alkali_demand_g_naoh_per_g else steps.minor_fraction


def _smallest(steps: ScaleSteps, tolerance_fraction: Decimal) -> Decimal:
    return smallest_dose_grams(
        scale_min_grams=ZERO, sd_grams=None, step_grams=steps.finest_grams, tolerance_fraction=tolerance_fraction
    )
