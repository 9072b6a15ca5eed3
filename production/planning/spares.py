"""How many to make so that enough are left: bars, toppers, seals, labels."""

import math
from decimal import Decimal


class SparesError(ValueError):
    """A count or share that cannot be used; the message is for people."""


def with_spares(wanted: int, *, spare_percent: Decimal, least_spares: int = 0) -> int:
    """Return the count to make: the spares are rounded up to whole pieces and never fewer than the least."""
    if wanted < 0 or spare_percent < 0 or least_spares < 0:
        raise SparesError("A count or a share of spares is below zero. Enter zero or more.")
    if wanted == 0:
        return 0
    return wanted + max(least_spares, math.ceil(wanted * spare_percent / 100))
