"""How long released bars are said to keep: the shortest of the plain habits of the trade.

All months here are common practice without a published source: ordinary soap is good for two years, and what is left
as free fat turns rancid first. Reports of makers range from 4 months (20 % superfat) to years. Retained bars that are
looked at once a year should replace these figures with the workshop's own.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from formulas.label_rules.months import add_months

USUAL_MONTHS = 24
# (superfat above this percent, months)
BY_SUPERFAT: tuple[tuple[Decimal, int], ...] = ((Decimal(12), 6), (Decimal(8), 12), (Decimal(5), 18))
SCENTED_MONTHS = 18
# A fat that is bound as soap no longer ages like oil, but the share left free does.
MONTHS_AFTER_FAT_DATE = 12


@dataclass(frozen=True)
class KeepingFacts:
    """`superfat_percent` is what the weighings give; `first_fat_on` the earliest use-by day of its fats."""

    poured_on: date
    superfat_percent: Decimal | None = None
    has_scent: bool = False
    first_fat_on: date | None = None


@dataclass(frozen=True)
class Keeping:
    best_before: date
    because: str


def best_before(facts: KeepingFacts) -> Keeping:
    """Return the proposed day and what set it; the owner may write another."""
    found = [Keeping(add_months(facts.poured_on, USUAL_MONTHS), f"{USUAL_MONTHS} months from the pour")]
    for above, months in BY_SUPERFAT:
        if facts.superfat_percent is not None and facts.superfat_percent > above:
            words = f"{months} months from the pour, because the superfat is above {above} %"
            found.append(Keeping(add_months(facts.poured_on, months), words))
            break
    if facts.has_scent:
        words = f"{SCENTED_MONTHS} months from the pour, because the scent fades"
        found.append(Keeping(add_months(facts.poured_on, SCENTED_MONTHS), words))
    if facts.first_fat_on is not None:
        words = f"{MONTHS_AFTER_FAT_DATE} months after the first use-by date among its fats"
        found.append(Keeping(add_months(facts.first_fat_on, MONTHS_AFTER_FAT_DATE), words))
    return min(found, key=lambda keeping: keeping.best_before)
