"""The SAP range to plan with, from what was seen in sources and what is only remembered. In mg KOH for each gram."""

from dataclasses import dataclass
from decimal import Decimal

# A range this narrow is one or two old samples, not certainty: own judgment, no source.
TINY_FRACTION = Decimal("0.01")
# It is widened to at least this much on either side: own judgment, no source.
LEAST_FRACTION = Decimal("0.02")

Range = tuple[Decimal, Decimal]


@dataclass(frozen=True)
class PlannedSap:
    low: Decimal
    plan: Decimal
    high: Decimal
    status: str  # "seen", "computed" or "from memory": where the plan comes from


def plan_sap(
    *,
    seen: Range | None,
    recalled: Range | None = None,
    from_make_up: Decimal | None = None,
    chosen: Decimal | None = None,
    seen_status: str = "seen",
) -> PlannedSap | None:
    """Plan with the middle of the seen range; the worst case is the union of all that is seen or remembered.

    Without a seen range the remembered one stands in, then the value computed from the fatty acids. ``chosen`` sets the
    plan by hand. None when nothing is known.
    """
    if seen is not None:
        base, status = seen, seen_status
    elif recalled is not None:
        base, status = recalled, "from memory"
    elif from_make_up is not None:
        base, status = (from_make_up, from_make_up), "computed"
    else:
        return None
    middle = (base[0] + base[1]) / 2
    plan = middle if chosen is None else chosen
    ranges = [known for known in (seen, recalled) if known is not None] or [base]
    low = min(known[0] for known in ranges)
    high = max(known[1] for known in ranges)
    if (base[1] - base[0]) / 2 < middle * TINY_FRACTION:
        low = min(low, plan * (1 - LEAST_FRACTION))
        high = max(high, plan * (1 + LEAST_FRACTION))
    return PlannedSap(min(low, plan), plan, max(high, plan), status)
