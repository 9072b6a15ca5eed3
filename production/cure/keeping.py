"""How long released bars are said to keep: the shortest of the plain habits of the trade.

All months here are common practice without a published source: ordinary soap is good for two years, and what is left
as free fat turns rancid first. Reports of makers range from 4 months (20 % superfat) to years. Retained bars that are
looked at once a year should replace these figures with the workshop's own.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from formulas.label_rules.months import add_months

USUAL_MONTHS = 24
# (superfat above this percent, months)
BY_SUPERFAT: tuple[tuple[Decimal, int], ...] = ((Decimal(12), 6), (Decimal(8), 12), (Decimal(5), 18))
SCENTED_MONTHS = 18
# A fat that is bound as soap no longer ages like oil, but the share left free does.
MONTHS_AFTER_FAT_DATE = 12
# Bars are to be sold, or looked at, this long before their day (own reckoning: time to sell what is left).
WARNING_DAYS = timedelta(days=60)
# With more free fat than this the first look is due much earlier: one lot of 20 % was half off at four months.
RICH_SUPERFAT_PERCENT, RICH_WARNING_MONTHS = Decimal(10), 3

PAST, NEAR = "Past its day", "Sell soon"


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


def warning_day(*, poured_on: date, best_before: date | None, superfat_percent: Decimal | None) -> date | None:
    """Return the day from which the bars are to be looked at; None when nothing says how long they keep."""
    days = [] if best_before is None else [best_before - WARNING_DAYS]
    if superfat_percent is not None and superfat_percent > RICH_SUPERFAT_PERCENT:
        days.append(add_months(poured_on, RICH_WARNING_MONTHS))
    return min(days, default=None)


def keeping_word(
    *, poured_on: date | None, best_before: date | None, superfat_percent: Decimal | None, today: date
) -> str:
    """Say in a word or two how near the end is; empty while there is time."""
    if best_before is not None and today > best_before:
        return PAST
    if poured_on is None:
        return ""
    warn_on = warning_day(poured_on=poured_on, best_before=best_before, superfat_percent=superfat_percent)
    return NEAR if warn_on is not None and today >= warn_on else ""


def shape_of(word: str) -> str:
    return "late" if word == PAST else "risk"
