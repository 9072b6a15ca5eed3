"""Gates on alkali: kinds, shares, purity, typed grams, and the stock solution."""

from collections.abc import Iterator
from decimal import Decimal

from formulas.chemistry.constants import (
    ALKALI_G_PER_MOL,
    PURITY_HIGHEST,
    PURITY_LOWEST,
    STRONGEST_LYE_PERCENT,
)
from formulas.chemistry.numbers import adds_up, is_in_order, is_mass, is_number, is_spread_of_numbers
from formulas.chemistry.records import Alkali, StockSolution
from formulas.chemistry.results import Finding
from formulas.chemistry.wording import figure_text, name_text, stop


def judge_alkalis(alkalis: tuple[Alkali, ...]) -> Iterator[Finding]:
    if not alkalis:
        yield stop("no-alkali", "This formula has no alkali.", "Choose NaOH, KOH or both.")
        return
    kinds = [alkali.kind for alkali in alkalis]
    unknown = [kind for kind in kinds if kind not in ALKALI_G_PER_MOL]
    if unknown:
        yield stop("alkali-kind", f"“{name_text(unknown[0])}” is not an alkali for soap.", "Choose NaOH or KOH.")
        return
    if len(set(kinds)) < len(kinds):
        yield stop("alkali-twice", "The same alkali stands there twice.", "Keep one line for NaOH and one for KOH.")
    for alkali in alkalis:
        yield from _judge_purity(alkali)
    if any(alkali.grams is not None for alkali in alkalis):
        yield from _judge_typed_grams(alkalis)
    else:
        yield from _judge_shares(alkalis)


def _judge_shares(alkalis: tuple[Alkali, ...]) -> Iterator[Finding]:
    shares = tuple(alkali.share_fraction for alkali in alkalis)
    if not all(is_number(share) and 0 < share <= 1 for share in shares):
        yield stop(
            "alkali-share",
            "Each alkali needs a share above 0 and at most 100 %.",
            "Take an alkali out if it has no share.",
        )
    elif not adds_up(shares):
        total = figure_text(100 * sum(shares, Decimal(0)))
        yield stop(
            "alkali-share-sum",
            f"The shares of the alkalis add up to {total} %, not 100 %.",
            "Shares are of the fat that each alkali neutralizes. Make them add up to 100.",
        )


def _judge_typed_grams(alkalis: tuple[Alkali, ...]) -> Iterator[Finding]:
    for alkali in alkalis:
        if alkali.grams is None:
            yield stop(
                "alkali-grams",
                f"{alkali.kind} has no grams while the other alkali has.",
                "Give grams for both, or for neither and let the superfat decide.",
            )
        elif not is_mass(alkali.grams):
            yield stop("alkali-grams", f"The grams of {alkali.kind} cannot be weighed.", "Type grams above zero.")


def _judge_purity(alkali: Alkali) -> Iterator[Finding]:
    purity = alkali.purity_fraction
    figures = (purity.low, purity.plan, purity.high)
    if not is_spread_of_numbers(purity):
        yield stop("purity-missing", f"{alkali.kind}: the purity is not a number.", "Type percent, such as 98.")
    elif not all(PURITY_LOWEST <= figure <= PURITY_HIGHEST for figure in figures):
        worst = next(figure for figure in figures if not PURITY_LOWEST <= figure <= PURITY_HIGHEST)
        slip = "Type percent, such as 98, not a fraction such as 0.98."
        if worst > PURITY_HIGHEST:
            slip = "Nothing is purer than 100 %. Check the decimal point."
        yield stop("purity-implausible", f"{alkali.kind}: a purity of {figure_text(100 * worst)} % cannot be.", slip)
    elif not is_in_order(purity):
        yield stop(
            "purity-range",
            f"{alkali.kind}: the purity range is upside down, or the planned purity lies outside it.",
            "Type the lowest purity first, then the highest.",
        )


def judge_stock(stock: StockSolution | None, alkalis: tuple[Alkali, ...]) -> Iterator[Finding]:
    if stock is None:
        return
    if stock.kind not in {alkali.kind for alkali in alkalis}:
        yield stop(
            "stock-kind",
            f"The stock solution is {name_text(stock.kind)}, but the formula does not use that alkali.",
            "Choose the stock solution of the formula's own alkali.",
        )
    strongest = STRONGEST_LYE_PERCENT.get(stock.kind, Decimal(52))
    if not is_number(stock.strength_fraction) or not Decimal("0.01") <= stock.strength_fraction <= strongest / 100:
        yield stop(
            "stock-strength",
            f"A stock solution holds 1 to {strongest} % {name_text(stock.kind)}; more does not stay dissolved.",
            "Type its strength in percent by weight, such as 50.",
        )
