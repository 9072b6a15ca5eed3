"""How many more bars and parts to make than were ordered."""

from decimal import ROUND_CEILING, Decimal

# Rule of thumb for favors: 10 % up to 200 pieces, 5 % above (public maker threads; trade habit, no standard).
USUAL_PERCENT = Decimal(10)
LARGE_ORDER_PERCENT = Decimal(5)
LARGE_ORDER_BARS = 200
LEAST_SPARE_BARS = 2  # common practice, no source
FRAGILE_PERCENT = Decimal(25)  # toppers and piped pieces 15 to 25 %: common practice, no source
LEAST_FRAGILE_SPARES = 2  # common practice, no source
LEAST_SPARE_PARTS = 1  # common practice, no source
FRAGILE_KINDS = ("topper",)  # it stands out of the bar, so it breaks first


def usual_part_spares(kind: str) -> tuple[Decimal, int]:
    """Return percent and least count of spares for a kind of part: more for what breaks easily."""
    return (FRAGILE_PERCENT, LEAST_FRAGILE_SPARES) if kind in FRAGILE_KINDS else (USUAL_PERCENT, LEAST_SPARE_PARTS)


class SparesError(ValueError):
    """The count or the spares rule cannot be true. The message tells the mend."""


def bars_with_spares(bars: int, *, percent: Decimal = USUAL_PERCENT, least: int = LEAST_SPARE_BARS) -> int:
    """Return the bars to pour for so many ordered: the spares are rounded up to whole bars."""
    return _with_spares(bars, percent=percent, least=least, word="bars")


def parts_with_spares(count: int, *, percent: Decimal, least: int) -> int:
    """Return the pieces to make for so many needed; none are made when none are needed."""
    return _with_spares(count, percent=percent, least=least, word="pieces")


def usual_bars_to_pour(bars: int) -> int:
    """Return the bars to pour by the usual rule.

    Above 200 bars the share falls to 5 %, but never below the spares that 200 bars would get.
    """
    if bars <= LARGE_ORDER_BARS:
        return bars_with_spares(bars)
    floor = bars_with_spares(LARGE_ORDER_BARS) - LARGE_ORDER_BARS
    return bars_with_spares(bars, percent=LARGE_ORDER_PERCENT, least=floor)


def _with_spares(count: int, *, percent: Decimal, least: int, word: str) -> int:
    if count < 0:
        raise SparesError(f"There cannot be fewer than 0 {word}. Correct the count.")
    if not 0 <= percent <= 100 or least < 0:
        raise SparesError("Spares lie between 0 and 100 percent, and at least 0 pieces. Correct the spares rule.")
    if count == 0:
        return 0
    return count + max(int((count * percent / 100).to_integral_value(ROUND_CEILING)), least)
