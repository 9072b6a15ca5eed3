"""Parts that planned pours still lack, with the days to make them on: ahead of the pour, but not too far."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_CEILING

from formulas.models import Part
from production.planning.calendar import WorkDays
from production.stock.needs import needs_of_parts, part_needs, part_supplies
from production.stock.shortages import Shortage, shortages


@dataclass(frozen=True)
class PartToMake:
    """Pieces missing for the first pour that lacks them and those after it; `minutes` are bench minutes for all."""

    part: Part
    pieces: int
    first_on: date
    last_on: date
    batches: tuple[str, ...]
    minutes: int


def parts_to_make(calendar: WorkDays, *, today: date) -> tuple[PartToMake, ...]:
    """Return what is missing, the most pressing first; three queries, whatever the number of batches."""
    short = shortages(part_supplies(today=today), needs_of_parts(part_needs(), today=today))
    rows = (_to_make(part, short[part.pk], calendar) for part in Part.objects.filter(pk__in=short))
    return tuple(sorted(rows, key=lambda row: (row.last_on, row.part.name)))


def _to_make(part: Part, short: Shortage, calendar: WorkDays) -> PartToMake:
    """A part rests its least days before the pour and is no older than its most days on it."""
    pieces = int(short.amount)
    minutes = (part.minutes_per_piece * pieces).to_integral_value(rounding=ROUND_CEILING)
    return PartToMake(
        part,
        pieces,
        first_on=short.on - timedelta(days=part.made_ahead_most_days),
        last_on=calendar.previous_open(short.on - timedelta(days=part.made_ahead_least_days)),
        batches=short.batches,
        minutes=0 if part.is_bought else int(minutes),
    )
