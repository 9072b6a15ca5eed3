"""Figures and days as papers write them. The clock's zone and the page's language settings play no part."""

from datetime import date, datetime
from decimal import Decimal

from django.utils.dateformat import format as format_date


def grams_text(grams: Decimal) -> str:
    """The figure as it stands, with a comma at each thousand: "1,446.9"."""
    return f"{grams:,f}"


def day_text(day: date, *, has_year: bool = True) -> str:
    """ "Nov 24, 2026", or "Nov 24"."""
    return format_date(day, "M j, Y" if has_year else "M j")


def moment_text(moment: datetime) -> str:
    """ "Nov 24, 2026, 14:05", in whatever zone the moment is given."""
    return f"{day_text(moment)}, {moment:%H:%M}"
