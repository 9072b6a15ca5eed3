"""An order that will be late or short: what the dates still allow, worked out one choice at a time. Pure."""

from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True)
class TroubleFacts:
    """Bars of an order, and the days that a new pour would take."""

    today: date
    needed_by: date
    travel_days: int
    pack_days: int
    cure_days: int
    least_cure_days: int
    bars: int
    missing: int
    ready: int  # reserved or packed for this order
    free_alike: int  # released bars of the same design and finish that no order has
    free_plain: int  # released plain bars of the same design that no order has
    bars_coming: int  # planned or in cure for this order
    coming_on: date | None  # when the last of them has cured
    price_of_missing: str  # written out, such as "$15.80"; empty when a price is missing

    @property
    def ready_by(self) -> date:
        """The last day on which bars may leave the rack and still be in hand in time."""
        return self.needed_by - timedelta(days=self.travel_days + self.pack_days)


@dataclass(frozen=True)
class Choice:
    """One way out. ``offer`` is how it is said to the customer; empty for what the shop does by itself."""

    name: str
    is_open: bool
    why: str
    offer: str = ""


def choices(facts: TroubleFacts) -> tuple[Choice, ...]:
    """Return every way out with its reason, also those that the dates no longer allow."""
    if not facts.missing:
        return ()
    return (
        _spares(facts),
        _second_pour(facts),
        _plain_bars(facts),
        _part_delivery(facts),
        _later_day(facts),
        _credit(facts),
    )


def _spares(facts: TroubleFacts) -> Choice:
    if not facts.free_alike:
        return Choice("Bars from the shelf", False, "No released bar of this design and finish is free.")
    taken = min(facts.free_alike, facts.missing)
    return Choice("Bars from the shelf", True, f"{_bars(taken)} alike lie free: reserve them for this order.")


def _second_pour(facts: TroubleFacts) -> Choice:
    usual = facts.today + timedelta(days=facts.cure_days)
    least = facts.today + timedelta(days=facts.least_cure_days)
    if usual <= facts.ready_by:
        last = facts.ready_by - timedelta(days=facts.cure_days)
        return Choice("A second pour", True, f"It cures in time when poured by {_day(last)}.")
    if least <= facts.ready_by:
        last = facts.ready_by - timedelta(days=facts.least_cure_days)
        return Choice(
            "A second pour",
            True,
            f"Poured by {_day(last)} it has the least cure of {facts.least_cure_days} days, not the usual "
            f"{facts.cure_days}. An owner decides, and the label says best from when.",
            f"a fresh pour, handed over in time with a note to let the bars rest until "
            f"{_day(facts.today + timedelta(days=facts.cure_days))}",
        )
    over = (least - facts.ready_by).days
    return Choice(
        "A second pour", False, f"Poured today it would be ready {_days(over)} too late. Soap cannot be hurried."
    )


def _plain_bars(facts: TroubleFacts) -> Choice:
    if not facts.free_plain:
        return Choice("Plain bars instead", False, "No plain bar of this design is free.")
    taken = min(facts.free_plain, facts.missing)
    return Choice(
        "Plain bars instead",
        True,
        f"{_bars(taken)} of this design without parts lie free.",
        f"{_bars(taken)} of the same design without the part on top, in time",
    )


def _part_delivery(facts: TroubleFacts) -> Choice:
    now = facts.ready + min(facts.free_alike, facts.missing)
    if not now or now >= facts.bars:
        return Choice("Part now, the rest later", False, "There is nothing ready to hand over first.")
    rest = _first_day(facts)
    return Choice(
        "Part now, the rest later",
        True,
        f"{_bars(now)} can go now, {_bars(facts.bars - now)} about {_day(rest)}.",
        f"{_bars(now)} in time and the other {facts.bars - now} about {_day(rest)}, delivery on us",
    )


def _later_day(facts: TroubleFacts) -> Choice:
    day = _first_day(facts)
    return Choice(
        "A later day",
        True,
        f"All {facts.bars} bars can be in hand about {_day(day)}.",
        f"all {_bars(facts.bars)} together about {_day(day)}",
    )


def _credit(facts: TroubleFacts) -> Choice:
    if not facts.price_of_missing:
        return Choice(
            "Money back",
            True,
            "Credit the missing bars; the lines have no price yet.",
            "money back for the missing bars",
        )
    has_some = facts.missing < facts.bars
    kept = f"the {_bars(facts.bars - facts.missing)} we have, and {facts.price_of_missing} back for the rest"
    return Choice(
        "Money back",
        True,
        f"The {_bars(facts.missing)} missing come to {facts.price_of_missing}, tax included. Write a credit note.",
        kept if has_some else "all your money back",
    )


def _first_day(facts: TroubleFacts) -> date:
    """Return when the rest can be in hand: from what is curing for this order, else from a pour today."""
    covered = facts.bars_coming >= facts.missing and facts.coming_on is not None
    cured = facts.coming_on if covered and facts.coming_on else facts.today + timedelta(days=facts.cure_days)
    return max(cured, facts.today) + timedelta(days=facts.pack_days + facts.travel_days)


def _bars(count: int) -> str:
    return f"{count} bar{'' if count == 1 else 's'}"


def _days(count: int) -> str:
    return f"{count} day{'' if count == 1 else 's'}"


def _day(day: date) -> str:
    return f"{day:%b} {day.day}, {day.year}"
