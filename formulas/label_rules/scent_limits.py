"""How much of a scent a bar may hold. The limits are the user's own: certificate, assessment, house rule.

A share of the bar is worked on the lowest cured mass, because drying raises it. "The most you may use" is not "name
it on the label above": the allergen threshold is another figure and lives elsewhere.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

from formulas.label_rules.figures import amount
from formulas.label_rules.months import add_months
from formulas.label_rules.problems import Level, Problem
from formulas.label_rules.rows import LabelRuleError

WHOLE = Decimal(100)
BAR_SOAP_CATEGORY = "9"  # products rinsed off after body and hand exposure (read in a summary of the standards)
ShareOf = Literal["bar", "oils"]


@dataclass(frozen=True)
class ScentCeiling:
    """One ceiling: the certificate's, the assessed formula's or the workshop's own rule.

    `level` is what going over it means: a certificate stops, a house rule asks.
    """

    what: str
    percent: Decimal
    source: str = ""
    share_of: ShareOf = "bar"
    level: Level = "stop"


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
    oils_grams: Decimal = Decimal(),
    needs_certificate: bool = True,
) -> ScentUse:
    """Set the dose against the strictest ceiling. No certificate is not "no limit": it stops the release."""
    if lowest_cured_mass_grams <= 0:
        raise LabelRuleError(
            "The lowest cured weight must be above zero. Weigh cured bars or enter the expected weight."
        )
    wholes = {"bar": lowest_cured_mass_grams, "oils": oils_grams}
    ceilings = [c for c in (*((certificate,) if certificate else ()), *others) if wholes[c.share_of] > 0]
    limit = min(ceilings, key=lambda c: c.percent * wholes[c.share_of]) if ceilings else None
    is_known = certificate is not None or not needs_certificate
    problems: list[Problem] = [] if is_known else [_no_certificate(material)]
    over = [c for c in ceilings if WHOLE * scent_grams > c.percent * wholes[c.share_of]]
    most_grams = limit.percent / WHOLE * wholes[limit.share_of] if limit else None
    if limit is not None and most_grams is not None and over:
        share = WHOLE * scent_grams / wholes[limit.share_of]
        level: Level = "stop" if any(c.level == "stop" for c in over) else "ask"
        problems.append(
            Problem(
                level,
                "scent_over_limit",
                f"{material} makes {share:.4f} percent of the {limit.share_of}; "
                f"{limit.what} allows {limit.percent.normalize():f}.",
                f"Use at most {most_grams:.2f} g in this batch.",
            )
        )
    share = WHOLE * scent_grams / lowest_cured_mass_grams
    return ScentUse(share, limit, not over and is_known, most_grams, tuple(problems))


def _no_certificate(material: str) -> Problem:
    return Problem(
        "stop",
        "scent_limit_unknown",
        f"No limit is on file for {material}. Unknown is not unlimited.",
        "Ask the supplier for the certificate and enter its limit for bar soap.",
    )


def standard_dates(notified_on: date) -> tuple[date, date]:
    """Return from when an amendment binds new creations and existing ones."""
    new, existing = (amount(key, notified_on) for key in ("scent_new_creations_months", "scent_existing_months"))
    return add_months(notified_on, int(new)), add_months(notified_on, int(existing))
