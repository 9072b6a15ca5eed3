"""How much of each scent and dosed additive is in the oils, in the batter and in the finished bar.

The bar's share stands on its lowest weight, all water gone, because drying raises it. A limit that is not on file is
unknown, not unlimited.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal
from typing import Literal

from formulas.chemistry.balance import dose_percents
from formulas.chemistry.results import Finding
from formulas.chemistry.wording import ask, figure_text, name_text, note, stop
from formulas.label_rules.scent_limits import ScentCeiling, scent_use

Basis = Literal["oils", "portion_oils", "liquid", ""]
BASIS_WORDS = {"oils": "of oils", "portion_oils": "of oils", "liquid": "of liquid"}
CERTIFICATE = "the supplier's certificate"
HUNDRED, STEP = Decimal(100), Decimal("0.01")
ZERO = Decimal(0)


@dataclass(frozen=True)
class Dose:
    """One scent or additive as planned, with its limit on the bar and the range it is usually dosed in."""

    name: str
    grams: Decimal
    is_scent: bool = False
    limit_percent: Decimal | None = None
    limit_source: str = ""
    usual_low_percent: Decimal | None = None
    usual_high_percent: Decimal | None = None
    basis: Basis = ""


@dataclass(frozen=True)
class Pot:
    """The masses that doses are shares of, in grams; `lowest_cured_grams` is the batch without its water."""

    oils_grams: Decimal
    batter_grams: Decimal
    lowest_cured_grams: Decimal
    liquid_grams: Decimal = ZERO


@dataclass(frozen=True)
class DoseRow:
    name: str
    grams: Decimal
    percent_of_oils: Decimal
    percent_of_batter: Decimal
    percent_of_bar: Decimal
    is_scent: bool
    limit_percent: Decimal | None
    most_grams: Decimal | None
    share_of_scent_percent: Decimal | None  # of all scent together; None for what is no scent
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class DoseSheet:
    """All doses of a formula, what all its scents come to, and what a person must know before approving it."""

    rows: tuple[DoseRow, ...] = ()
    scent: DoseRow | None = None  # several scents added up
    findings: tuple[Finding, ...] = ()


def dose_sheet(doses: Iterable[Dose], pot: Pot, *, house_percent: Decimal | None = None) -> DoseSheet:
    """Set every dose against its limit on the bar and its usual range, and all scent against the house rule.

    ``house_percent`` is the most scent this workshop takes, in percent of the oils; None is no such rule.
    """
    doses = tuple(dose for dose in doses if dose.grams > 0)
    scents = tuple(dose for dose in doses if dose.is_scent)
    all_scent = sum((dose.grams for dose in scents), ZERO)
    rows = tuple(_row(dose, pot, all_scent) for dose in doses)
    findings = tuple(finding for row in rows for finding in row.findings)
    findings += _against_house(all_scent, pot, house_percent)
    if len(scents) < 2:
        return DoseSheet(rows, None, findings)
    together = _row(Dose("All scent", all_scent), pot, ZERO)
    return DoseSheet(rows, together, (*findings, _shared(scents)))


def _row(dose: Dose, pot: Pot, all_scent: Decimal) -> DoseRow:
    percents = dose_percents(dose.grams, oils=pot.oils_grams, batch=pot.batter_grams, cured=pot.lowest_cured_grams)
    most, findings = _against_limit(dose, pot) if dose.is_scent else (None, ())
    return DoseRow(
        name=dose.name,
        grams=dose.grams,
        percent_of_oils=percents["oils"],
        percent_of_batter=percents["batter"],
        percent_of_bar=percents["cured"],
        is_scent=dose.is_scent,
        limit_percent=dose.limit_percent if dose.is_scent else None,
        most_grams=most,
        share_of_scent_percent=HUNDRED * dose.grams / all_scent if dose.is_scent else None,
        findings=(*findings, *_against_usual(dose, pot)),
    )


def _against_limit(dose: Dose, pot: Pot) -> tuple[Decimal | None, tuple[Finding, ...]]:
    known = dose.limit_percent is not None
    ceiling = (
        ScentCeiling(CERTIFICATE, dose.limit_percent, dose.limit_source) if dose.limit_percent is not None else None
    )
    used = scent_use(
        dose.name, scent_grams=dose.grams, lowest_cured_mass_grams=pot.lowest_cured_grams, certificate=ceiling
    )
    name = name_text(dose.name)
    if not known:
        text = f"No limit on the finished bar is on file for {name}. Unknown is not unlimited."
        return None, (
            stop("scent-limit-unknown", text, "Enter the limit for bar soap from the supplier's certificate."),
        )
    if used.is_within:
        return used.most_grams, ()
    most = (HUNDRED * (used.most_grams or ZERO) / pot.oils_grams).quantize(STEP, ROUND_FLOOR)
    over = stop(
        "scent-over-limit",
        f"{name} makes {figure_text(used.use_percent)} % of the dried bar; {CERTIFICATE} allows "
        f"{figure_text(dose.limit_percent or ZERO)} %.",
        f"Use at most {figure_text(most)} % of the oils.",
    )
    return used.most_grams, (over,)


def _against_house(all_scent: Decimal, pot: Pot, house_percent: Decimal | None) -> tuple[Finding, ...]:
    """A rule the workshop gave itself: going over it is a decision, not a fault."""
    if house_percent is None or HUNDRED * all_scent <= house_percent * pot.oils_grams:
        return ()
    percent = HUNDRED * all_scent / pot.oils_grams
    text = (
        f"All scent makes {figure_text(percent)} % of the oils; the house rule allows {figure_text(house_percent)} %."
    )
    return (ask("scent-over-house-rule", text, "Use less, or write down why so much is right here."),)


def _against_usual(dose: Dose, pot: Pot) -> tuple[Finding, ...]:
    """Ask about more than the usual dose; less of it harms nothing and is only said."""
    whole = pot.liquid_grams if dose.basis == "liquid" else pot.oils_grams
    if not dose.basis or not whole:
        return ()
    percent, words, name = HUNDRED * dose.grams / whole, BASIS_WORDS[dose.basis], name_text(dose.name)
    low, high = dose.usual_low_percent, dose.usual_high_percent
    if high is not None and percent > high:
        return (
            ask(
                "dose-above-usual",
                f"{name}: {figure_text(percent)} % {words} is more than the usual {figure_text(high)} %.",
                "Check the figure and its unit, or write down why so much is right here.",
            ),
        )
    if low is not None and percent < low:
        text = f"{name}: {figure_text(percent)} % {words} is less than the usual {figure_text(low)} %."
        return (note("dose-below-usual", text, "It harms nothing, but may do nothing."),)
    return ()


def _shared(scents: tuple[Dose, ...]) -> Finding:
    names = [name_text(dose.name) for dose in scents]
    return note(
        "scents-share-substances",
        f"{', '.join(names[:-1])} and {names[-1]} stand beside each other in this bar.",
        "Each keeps its own limit. Where they share a restricted substance its shares add up: ask the supplier.",
    )
