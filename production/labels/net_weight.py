"""The net weight on a label: a figure that still holds when the bar is handed over, cut down and never up.

Ounces and grams are cut from the lowest mean that is expected while the bars are on sale. Where the two printed figures
differ, the larger one is what an inspector holds the maker to: `must_hold_grams`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal
from fractions import Fraction

from formulas.label_rules.problems import Problem

# 16 CFR 500.19 (read): the factors that US labels are converted with.
OUNCE_GRAMS = Decimal("28.3495")
GRAM_OUNCES = Decimal("0.0352740")
OUNCES_PER_POUND = 16
# 21 CFR 701.13(d) (from memory): decimals to two places at most; fractions down to thirty-seconds.
MOST_OUNCE_PLACES = 2
FRACTION_DENOMINATORS = (2, 4, 8, 16, 32)
US_MARKETS = ("us_soap", "us_cosmetic")
WHOLE = Decimal(100)


class NetWeightError(ValueError):
    """A net weight that cannot be printed; the message is for people."""


@dataclass(frozen=True)
class NetStatement:
    """What is printed. `ounces` is None in markets that print grams alone."""

    text: str
    ounces: Decimal | None
    grams: Decimal
    must_hold_grams: Decimal
    market: str


def lowest_mean_grams(*, mean_at_pack_grams: Decimal, further_loss_percent: Decimal) -> Decimal:
    """Return the mean on the last day of sale. The loss is measured for this formula and wrapper, never assumed."""
    if not 0 <= further_loss_percent < WHOLE:
        raise NetWeightError("The loss still to come lies between 0 and 100 percent. Check the weighings.")
    return mean_at_pack_grams * (1 - further_loss_percent / WHOLE)


def net_statement(
    lowest_grams: Decimal, *, market: str, ounce_places: int = MOST_OUNCE_PLACES, fraction_of: int | None = None
) -> NetStatement:
    """Return the statement that bars of this lowest mean can hold.

    With two decimals both figures are cut from the weight itself. With fewer, or a fraction, the grams follow the
    printed ounces, so that the two figures say the same weight.
    """
    _refuse_no_weight(lowest_grams)
    if market not in US_MARKETS:
        grams = cut_grams(lowest_grams)
        return NetStatement(metric_text(grams), None, grams, grams, market)
    ounces = _cut_ounces(lowest_grams, _step(ounce_places, fraction_of))
    is_exact = ounce_places == MOST_OUNCE_PLACES and fraction_of is None
    grams = cut_grams(lowest_grams) if is_exact else cut_grams(ounces * OUNCE_GRAMS)
    return _us_statement(ounces, grams, market, fraction_of is not None)


def statement_for_ounces(ounces: Decimal, *, market: str, has_fraction: bool = False) -> NetStatement:
    """Return the statement for a chosen figure in ounces; the grams are cut from it."""
    _refuse_no_weight(ounces)
    if has_fraction:
        fraction_text(ounces)
    elif ounces != ounces.quantize(Decimal("0.01"), ROUND_FLOOR):
        raise NetWeightError(
            f"{plain(ounces)} oz has more than two decimals. "
            f"Print {plain(ounces.quantize(Decimal('0.01'), ROUND_FLOOR))} oz, or a fraction such as 1/8."
        )
    return _us_statement(ounces, cut_grams(ounces * OUNCE_GRAMS), market, has_fraction)


def cut_grams(grams: Decimal) -> Decimal:
    """Cut down to three figures, or two below 100 g."""
    _refuse_no_weight(grams)
    figures = 2 if grams < WHOLE else 3
    step = Decimal(1).scaleb(grams.adjusted() - figures + 1)
    return (grams / step).to_integral_value(ROUND_FLOOR) * step


def metric_text(grams: Decimal) -> str:
    return f"{plain(grams / 1000)} kg" if grams >= 1000 else f"{plain(grams)} g"


def fraction_text(ounces: Decimal) -> str:
    """Return a common fraction in lowest terms: halves down to thirty-seconds."""
    whole = int(ounces)
    rest = Fraction(ounces) - whole
    if not rest:
        return str(whole)
    if rest.denominator not in FRACTION_DENOMINATORS:
        raise NetWeightError(
            f"{plain(ounces)} oz is no half, quarter, eighth, sixteenth or thirty-second. Cut it down."
        )
    return f"{whole} {rest}" if whole else str(rest)


def plain(amount: Decimal) -> str:
    """Return a figure without trailing zeros or exponent."""
    return f"{amount.normalize():f}"


def weight_problem(printed: NetStatement, lowest_grams: Decimal) -> Problem | None:
    """Stop a label whose figure the bars cannot hold."""
    if lowest_grams >= printed.must_hold_grams:
        return None
    better = net_statement(lowest_grams, market=printed.market)
    return Problem(
        "stop",
        "net_weight_not_held",
        f"“{printed.text}” needs bars of {plain(printed.must_hold_grams)} g; "
        f"at the lowest they hold {plain(lowest_grams)} g.",
        f"Print “{better.text}”, or set the short bars aside and weigh again.",
    )


def short_bars(bars: Iterable[tuple[str, Decimal]], must_hold_grams: Decimal) -> tuple[str, ...]:
    """Return the marks of bars under the printed figure: seconds or samples, not for this label."""
    return tuple(mark for mark, grams in bars if grams < must_hold_grams)


def _step(ounce_places: int, fraction_of: int | None) -> Decimal:
    if fraction_of is not None:
        if fraction_of not in FRACTION_DENOMINATORS:
            raise NetWeightError(
                "Ounces are split in halves, quarters, eighths, sixteenths or thirty-seconds. Choose one."
            )
        return 1 / Decimal(fraction_of)
    if not 0 <= ounce_places <= MOST_OUNCE_PLACES:
        raise NetWeightError(f"Ounces are printed with at most {MOST_OUNCE_PLACES} decimals. Choose 0, 1 or 2.")
    return Decimal(1).scaleb(-ounce_places)


def _cut_ounces(grams: Decimal, step: Decimal) -> Decimal:
    """The two factors are not exact inverses: step down once more where the ounces would say a hair too much."""
    ounces = (grams * GRAM_OUNCES / step).to_integral_value(ROUND_FLOOR) * step
    if ounces * OUNCE_GRAMS > grams:
        ounces -= step
    if ounces <= 0:
        raise NetWeightError(f"{plain(grams)} g is too little to print in ounces. Print more decimals.")
    return ounces


def _us_statement(ounces: Decimal, grams: Decimal, market: str, has_fraction: bool) -> NetStatement:
    text = _us_text(ounces, metric_text(grams), market, has_fraction)
    return NetStatement(text, ounces, grams, max(grams, ounces * OUNCE_GRAMS), market)


def _us_text(ounces: Decimal, metric: str, market: str, has_fraction: bool) -> str:
    """Up to a pound ounces; above, soap counts in pounds and a cosmetic under four pounds shows both."""
    amount = fraction_text if has_fraction else plain
    if ounces < OUNCES_PER_POUND:
        return f"Net Wt {amount(ounces)} oz ({metric})"
    pounds, rest = divmod(ounces, OUNCES_PER_POUND)
    in_pounds = f"{plain(pounds)} lb" + (f" {amount(rest)} oz" if rest else "")
    if market == "us_cosmetic" and pounds < 4:
        return f"Net Wt {amount(ounces)} oz ({in_pounds}) {metric}"
    return f"Net Wt {in_pounds} ({metric})"


def _refuse_no_weight(amount: Decimal) -> None:
    if amount <= 0:
        raise NetWeightError("A net weight must be above zero. Weigh the bars.")
