"""How much of a scent a bar may hold. The limit is the user's own, from the supplier's certificate; none is invented.

The share is worked on the lowest cured mass, because drying raises it. "The most you may use" is not "name it on the
label above": the allergen threshold is another figure and lives elsewhere.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from formulas.label_rules.figures import amount
from formulas.label_rules.months import add_months
from formulas.label_rules.problems import Problem
from formulas.label_rules.rows import LabelRuleError

WHOLE = Decimal(100)
BAR_SOAP_CATEGORY = "9"  # products rinsed off after body and hand exposure (read in a summary of the standards)


@dataclass(frozen=True)
class ScentCeiling:
    """One ceiling on the finished bar: the certificate's, the assessed formula's or the workshop's own."""

    what: str
    percent: Decimal
    source: str = ""


@dataclass(frozen=True)
class ScentUse:
    use_percent: Decimal
    limit: ScentCeiling | None  # the strictest one
    is_within: bool
    most_grams: Decimal | None
    problems: tuple[Problem, ...]


def scent_use(
    material: str,
    *,
    scent_grams: Decimal,
    lowest_cured_mass_grams: Decimal,
    certificate: ScentCeiling | None,
    others: Iterable[ScentCeiling] = (),
) -> ScentUse:
    """Set the dose against the strictest ceiling. No certificate is not "no limit": it stops the release."""
    if lowest_cured_mass_grams <= 0:
        raise LabelRuleError(
            "The lowest cured weight must be above zero. Weigh cured bars or enter the expected weight."
        )
    share = WHOLE * scent_grams / lowest_cured_mass_grams
    ceilings = [*((certificate,) if certificate else ()), *others]
    limit = min(ceilings, key=lambda c: c.percent) if ceilings else None
    problems: list[Problem] = []
    if certificate is None:
        problems.append(
            Problem(
                "stop",
                "scent_limit_unknown",
                f"No limit is on file for {material}. Unknown is not unlimited.",
                "Ask the supplier for the certificate and enter its limit for bar soap.",
            )
        )
    is_within = limit is None or WHOLE * scent_grams <= limit.percent * lowest_cured_mass_grams
    if limit is not None and not is_within:
        most = limit.percent / WHOLE * lowest_cured_mass_grams
        problems.append(
            Problem(
                "stop",
                "scent_over_limit",
                f"{material} makes {share:.4f} percent of the bar; {limit.what} allows {limit.percent.normalize():f}.",
                f"Use at most {most:.2f} g in this batch.",
            )
        )
    most_grams = limit.percent / WHOLE * lowest_cured_mass_grams if limit else None
    return ScentUse(share, limit, is_within and certificate is not None, most_grams, tuple(problems))


def standard_dates(notified_on: date) -> tuple[date, date]:
    """Return from when an amendment binds new creations and existing ones."""
    new, existing = (amount(key, notified_on) for key in ("scent_new_creations_months", "scent_existing_months"))
    return add_months(notified_on, int(new)), add_months(notified_on, int(existing))
