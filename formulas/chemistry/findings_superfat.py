"""Findings on superfat: lye-heavy formulas, worst cases below zero, and who is to blame."""

from collections.abc import Iterator
from decimal import Decimal

from formulas.chemistry.alkali import fat_mol, pure_mol, total_mol
from formulas.chemistry.constants import HIGH_SUPERFAT_FRACTION, SUPERFAT_MISMATCH_PERCENT
from formulas.chemistry.mixing import Mix
from formulas.chemistry.records import FormulaSpec
from formulas.chemistry.results import Finding, FormulaResult, SuperfatInterval
from formulas.chemistry.wording import ask, figure_text, rounded_up, stop

USUAL_SUPERFAT_FRACTION = Decimal("0.05")  # common practice, no source


def judge_superfat(spec: FormulaSpec, mix: Mix, result: FormulaResult) -> Iterator[Finding]:
    interval = result.superfat
    if interval is None:
        return
    if interval.planned <= 0:
        yield _lye_heavy(spec, mix, interval) if _has_typed_grams(spec) else _not_positive(interval)
        return
    if interval.planned >= 100:
        yield stop(
            "alkali-used-up",
            "The acids take up all the alkali; none is left for the fats.",
            "Weigh more alkali or less acid. Check the acid's grams.",
        )
        return
    yield from _judge_depths(interval)
    yield from _judge_plan(spec, interval)


def _has_typed_grams(spec: FormulaSpec) -> bool:
    return any(alkali.grams is not None for alkali in spec.alkalis)


def _not_positive(interval: SuperfatInterval) -> Finding:
    return stop(
        "superfat-not-positive",
        f"A superfat of {figure_text(interval.planned)} % leaves no fat to spare, so the smallest error leaves lye.",
        f"Plan at least {figure_text(rounded_up(max(interval.smallest_safe_plan, Decimal('0.1'))))} %.",
    )


def _lye_heavy(spec: FormulaSpec, mix: Mix, interval: SuperfatInterval) -> Finding:
    """Refuse alkali that the fats cannot take up, with the grams that they can."""
    weighed = " and ".join(f"{figure_text(a.grams or 0)} g {a.kind}" for a in mix.alkalis)
    wanted = spec.superfat_fraction if spec.superfat_fraction else USUAL_SUPERFAT_FRACTION
    in_pot = sum((pure_mol(alkali) for alkali in mix.alkalis), Decimal(0))
    right = (fat_mol(mix.fats).plan * (1 - wanted) + total_mol(mix.eaters)) / in_pot
    right_weights = " and ".join(f"{figure_text((a.grams or 0) * right)} g {a.kind}" for a in mix.alkalis)
    return stop(
        "lye-heavy",
        f"{weighed} is {figure_text(-interval.planned, 1)} % more than these fats can take up: "
        f"superfat {figure_text(interval.planned, 1)} %, lye-heavy.",
        f"For {figure_text(100 * wanted)} % superfat weigh {right_weights}. "
        "Check for a mis-copied figure, a fat left out, or alkali reckoned from the water.",
    )


def _judge_depths(interval: SuperfatInterval) -> Iterator[Finding]:
    if interval.lowest < 0:
        yield ask(
            "superfat-may-go-below-zero",
            f"At worst the superfat is {figure_text(interval.lowest)} %, which is lye-heavy. {main_cause(interval)}",
            way_out(interval),
        )
    if interval.likely_lowest < 0:
        yield ask(
            "superfat-likely-below-zero",
            f"Even the likely range reaches {figure_text(interval.likely_lowest)} % superfat, which is lye-heavy.",
            way_out(interval),
        )


def main_cause(interval: SuperfatInterval) -> str:
    """Return one sentence on the figure that makes most of the uncertainty; empty when there is none."""
    if not interval.causes:
        return ""
    name, share = interval.causes[0]
    return f"The {name} makes {figure_text(100 * share, 0)} % of the uncertainty."


def way_out(interval: SuperfatInterval) -> str:
    safe = f"plan at least {figure_text(rounded_up(interval.smallest_safe_plan))} % superfat"
    cause = interval.causes[0][0] if interval.causes else ""
    if cause.startswith("SAP of "):
        return f"Enter the certificate SAP of the lot of {cause.removeprefix('SAP of ')}, or {safe}."
    if cause.startswith("purity of "):
        return f"Enter the certificate purity of the {cause.removeprefix('purity of ')} lot, or {safe}."
    if cause:
        return f"Weigh on a finer scale or make a bigger batch, or {safe}."
    return f"{safe[0].upper()}{safe[1:]}."


def _judge_plan(spec: FormulaSpec, interval: SuperfatInterval) -> Iterator[Finding]:
    if interval.planned > 100 * HIGH_SUPERFAT_FRACTION:
        yield ask(
            "superfat-high",
            f"A superfat of {figure_text(interval.planned, 1)} % gives a soft bar that goes rancid early.",
            "Check the alkali and the fats. Keep it only if you mean it.",
        )
    if interval.planned < 100 * spec.least_superfat_fraction:
        yield ask(
            "superfat-below-floor",
            f"A superfat of {figure_text(interval.planned)} % is below the workshop's least, "
            f"{figure_text(100 * spec.least_superfat_fraction)} %.",
            "Plan more superfat, or write down why less is right here.",
        )
    named = spec.superfat_fraction
    if _has_typed_grams(spec) and named and abs(interval.planned - 100 * named) > SUPERFAT_MISMATCH_PERCENT:
        yield ask(
            "superfat-differs",
            f"This alkali gives {figure_text(interval.planned, 1)} % superfat, "
            f"not the {figure_text(100 * named, 1)} % that is named.",
            "Trust neither figure before you have checked the fats and the alkali.",
        )
