"""The workshop's own day, for commands; pages have it from the time zone that the middleware activates."""

from datetime import date
from zoneinfo import ZoneInfo

from django.utils import timezone

from soapshop.models import Workshop


def workshop_today() -> date:
    """Return the date in the workshop's time zone, whatever zone the machine runs in."""
    return timezone.localdate(timezone=ZoneInfo(Workshop.current().time_zone))
