"""Gates on what was typed: what cannot be true is refused before anything is reckoned, with the likely slip."""

from collections.abc import Iterator
from decimal import Decimal

from formulas.chemistry.constants import HIGHEST_SUPERFAT_FRACTION, LARGEST_WEIGHING_ERROR_FRACTION
from formulas.chemistry.gates_alkali import judge_alkalis, judge_stock
from formulas.chemistry.gates_fats import judge_fats
from formulas.chemistry.gates_liquids import judge_additives, judge_liquids
from formulas.chemistry.numbers import is_number
from formulas.chemistry.records import FormulaSpec, LiquidRule
from formulas.chemistry.results import Finding
from formulas.chemistry.wording import figure_text, stop

BASES = ("lye_concentration", "liquid_to_lye", "percent_of_oils")


def judge_spec(spec: FormulaSpec) -> tuple[Finding, ...]:
    """Return the stop findings that make a formula impossible to reckon; empty when it can be reckoned."""
    return (
        *judge_fats(spec.fats),
        *_judge_superfat(spec),
        *judge_alkalis(spec.alkalis),
        *_judge_rule(spec.liquid_rule),
        *judge_liquids(spec.liquids),
        *judge_additives(spec.additives),
        *judge_stock(spec.stock_solution, spec.alkalis),
        *_judge_weighing(spec.weighing_error_fraction),
    )


def _judge_superfat(spec: FormulaSpec) -> Iterator[Finding]:
    superfat = spec.superfat_fraction
    if superfat is None:
        if not any(alkali.grams is not None for alkali in spec.alkalis):
            yield stop("superfat-missing", "This formula has no superfat.", "Type the superfat in percent, such as 5.")
    elif not is_number(superfat):
        yield stop("superfat-absurd", "The superfat is not a number.", "Type the superfat in percent, such as 5.")
    elif not -1 < superfat <= HIGHEST_SUPERFAT_FRACTION:
        yield stop(
            "superfat-absurd",
            f"A superfat of {figure_text(100 * superfat)} % is not a soap formula.",
            f"Type percent: 5 for five percent, at most {figure_text(100 * HIGHEST_SUPERFAT_FRACTION)}.",
        )
    if not is_number(spec.least_superfat_fraction) or not 0 <= spec.least_superfat_fraction < 1:
        yield stop("superfat-floor", "The least superfat of the workshop is not a percentage.", "Type 2 for 2 %.")


def _judge_rule(rule: LiquidRule) -> Iterator[Finding]:
    if rule.basis not in BASES:
        yield stop(
            "liquid-basis",
            "The liquid needs one basis: lye concentration, liquid to lye, or percent of oils.",
            "Choose one of the three. The other two follow from it.",
        )
    elif not is_number(rule.value) or not 0 < rule.value <= 1000:
        yield stop("liquid-value", "The amount of liquid is not a usable number.", "Type a number above zero.")
    elif rule.basis == "lye_concentration" and rule.value >= 100:
        yield stop(
            "liquid-value",
            f"A lye concentration of {figure_text(rule.value)} % leaves no water.",
            "Type the percent of alkali in the lye, such as 33.",
        )
    elif rule.basis != "liquid_to_lye" and rule.value <= 1:
        yield stop(
            "liquid-value-fraction",
            f"{figure_text(rule.value, 4)} % looks like a fraction typed for a percentage.",
            f"Type {figure_text(100 * rule.value)} if you mean {figure_text(100 * rule.value)} %.",
        )
    elif rule.basis == "liquid_to_lye" and rule.value > 10:
        yield stop(
            "liquid-ratio",
            f"{figure_text(rule.value)} parts of liquid to one of lye looks like a percentage typed for a ratio.",
            "Type the ratio, such as 2, or choose another basis.",
        )


def _judge_weighing(error: Decimal) -> Iterator[Finding]:
    if not is_number(error) or not 0 <= error <= LARGEST_WEIGHING_ERROR_FRACTION:
        yield stop(
            "weighing-error",
            "The weighing error must lie between 0 and 20 %.",
            "Type the error of your scale in percent, such as 0.5.",
        )
