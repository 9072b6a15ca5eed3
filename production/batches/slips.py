"""What can go otherwise at the bench without a weight of its own, and what it does to the bars. No Django."""

from dataclasses import dataclass
from datetime import date, timedelta

SEIZED = (
    "Thick batter keeps air and lines, and layers may come apart: expect fewer good bars. Look for wet or white "
    "pockets at the cut, and check the alkali before the release."
)
SKIPPED_CUT_LATE = "A loaf cut late is hard and may crack; plan for fewer good bars."


@dataclass(frozen=True)
class OrderToAsk:
    """An order that bars of this pot are planned for, and the last day on which another pour still serves it."""

    number: str
    pour_again_by: date


def last_pour_again(*, needed_by: date, travel_days: int, pack_days: int, cure_days: int) -> date:
    """Return the last day to pour once more, with its full cure, packing and way."""
    return needed_by - timedelta(days=travel_days + pack_days + cure_days)


def looks_words(orders: tuple[OrderToAsk, ...], *, today: date) -> str:
    """Say who must be asked about bars that look otherwise than agreed, and until when another pour is a choice."""
    if not orders:
        return "The bars look otherwise than drawn. No order waits for them: sell them as they are."
    told = "; ".join(f"{order.number}, {_until(order.pour_again_by, today)}" for order in orders[:3])
    return f"The bars look otherwise than agreed. Show a photo and ask before the cure is spent: order {told}."


def _until(day: date, today: date) -> str:
    if day < today:
        return "too late to pour again with a full cure"
    return f"last day to pour again {day:%b} {day.day}"


def scent_of_swap_words(letters: tuple[str, str], scented: frozenset[str]) -> str:
    """Two jugs change places: say so when one of them has scent and the other has none."""
    inside = [letter for letter in letters if letter in scented]
    if len(inside) != 1:
        return ""
    return f"The scent of jug {inside[0]} now lies where an unscented part was drawn."


def broken_words(*, broken: int, spares_left: int) -> str:
    """Say whether the spares make up for what broke; ``spares_left`` is what lies over, below 0 if short."""
    pieces = "1 piece" if broken == 1 else f"{broken} pieces"
    if spares_left >= 0:
        return f"{pieces} gone; the spares make up for it, {spares_left} are left."
    short = -spares_left
    return (
        f"{pieces} gone, {short} short: make more, or offer plain bars. "
        f"Without them {short} bar{'' if short == 1 else 's'} will not look as ordered."
    )


def skipped_words(label: str, *, is_cut: bool = False) -> str:
    late = f" {SKIPPED_CUT_LATE}" if is_cut else ""
    return f"“{label}” was not done as drawn. Look the bars over with that in mind before they are released.{late}"
