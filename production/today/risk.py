"""Whether an order will be right and on time, judged from its batches; each finding says what can still be done.

Days are calendar days. Bars must be cured and released ``pack_days`` before they leave, and leave ``travel_days``
before they are needed.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

# A line that is in no batch yet becomes a worry this many days before its pour-by day (workshop habit, no source).
WORRY_DAYS = 3


@dataclass(frozen=True)
class BatchAtStake:
    """What one batch gives one order line: ``planned`` bars not given out yet, of which it can give ``can_give``.

    ``ready_on`` is the end of the full cure, ``least_ready_on`` that of the least; both None once bars are released.
    """

    number: str
    planned: int
    can_give: int
    ready_on: date | None = None
    least_ready_on: date | None = None
    is_held: bool = False
    hold_reason: str = ""


@dataclass(frozen=True)
class LineAtStake:
    """One order line: bars ordered, bars already given to it, and the batches that still owe it some."""

    design: str
    bars: int
    given: int
    cure_days: int
    least_cure_days: int
    batches: tuple[BatchAtStake, ...] = ()

    @property
    def open_bars(self) -> int:
        return max(self.bars - self.given - sum(batch.planned for batch in self.batches), 0)


@dataclass(frozen=True)
class OrderAtStake:
    """``is_ready`` when the book says that all its bars are there: ready or packed."""

    number: str
    needed_by: date
    travel_days: int
    pack_days: int
    is_ready: bool
    lines: tuple[LineAtStake, ...]

    @property
    def leaves_on(self) -> date:
        return self.needed_by - timedelta(days=self.travel_days)

    @property
    def ready_by(self) -> date:
        """The last day on which cured and released bars still get packed in time."""
        return self.leaves_on - timedelta(days=self.pack_days)

    @property
    def is_all_given(self) -> bool:
        return all(line.given >= line.bars for line in self.lines)


@dataclass(frozen=True)
class Risk:
    """One thing that threatens an order, and the mend. ``is_lost`` when the day cannot be kept any more."""

    text: str
    mend: str
    is_lost: bool = False

    @property
    def sentence(self) -> str:
        return f"{self.text} {self.mend}"


def judge_order(order: OrderAtStake, *, today: date) -> tuple[Risk, ...]:
    """Return what threatens the order, lost days first; nothing when it is well."""
    found = [*_departure(order, today), *_taken_bars(order)]
    for line in order.lines:
        found += _missing_batches(order, line, today)
        for batch in line.batches:
            found += _batch(order, line, batch, today)
    return tuple(sorted(found, key=lambda risk: not risk.is_lost))


def _departure(order: OrderAtStake, today: date) -> Iterator[Risk]:
    if order.leaves_on >= today:
        return
    late = (today - order.leaves_on).days
    mend = (
        "Hand it over now, and tell the customer."
        if order.is_all_given
        else "Tell the customer today and agree on a new day."
    )
    yield Risk(f"It should have left on {_day(order.leaves_on)}, {_days(late)} ago.", mend, is_lost=True)


def _taken_bars(order: OrderAtStake) -> Iterator[Risk]:
    """The book says ready, but bars were never kept for the order, or were taken from it by a hold."""
    missing = sum(max(line.bars - line.given, 0) for line in order.lines)
    if order.is_ready and missing:
        verb = "is" if missing == 1 else "are"
        yield Risk(
            f"The book says it is ready, but {_bars(missing)} {verb} not kept for it.",
            "Reserve bars on its page, or agree on a part delivery.",
        )


def _missing_batches(order: OrderAtStake, line: LineAtStake, today: date) -> Iterator[Risk]:
    if not line.open_bars or order.is_ready:
        return
    pour_by, last_pour = _last_pours(order, line)
    bars = f"{_bars(line.open_bars)} of {line.design} {'is' if line.open_bars == 1 else 'are'} in no batch"
    if today > last_pour:
        yield Risk(
            f"{bars}, and since {_day(last_pour)} not even the least cure fits.",
            "Agree on a later day or a part delivery, then plan the pour.",
            is_lost=True,
        )
    elif today > pour_by:
        yield Risk(
            f"{bars}, and the last day for the full cure was {_day(pour_by)}.",
            f"Pour by {_day(last_pour)} with the least cure of {_days(line.least_cure_days)}.",
        )
    elif (pour_by - today).days <= WORRY_DAYS:
        yield Risk(f"{bars}, and the last day to pour is {_day(pour_by)}.", "Plan its batches now.")


def _batch(order: OrderAtStake, line: LineAtStake, batch: BatchAtStake, today: date) -> Iterator[Risk]:
    if not batch.planned:
        return
    if batch.is_held:
        yield _held(order, line, batch, today)
        return
    short = batch.planned - batch.can_give
    if short > 0:
        yield _short(order, line, batch, short, today)
    if batch.ready_on is not None and batch.ready_on > order.ready_by:
        yield _late_cure(order, batch, batch.ready_on)


def _held(order: OrderAtStake, line: LineAtStake, batch: BatchAtStake, today: date) -> Risk:
    pour_by, last_pour = _last_pours(order, line)
    reason = f" ({batch.hold_reason.rstrip('.')})" if batch.hold_reason else ""
    text = f"{batch.number} is on hold{reason}; {_bars(batch.planned)} of {line.design} hang on it."
    if today <= pour_by:
        return Risk(text, f"Decide on it, or pour again by {_day(pour_by)}.")
    if today <= last_pour:
        return Risk(text, f"Decide on it, or pour again by {_day(last_pour)} with the least cure.")
    return Risk(text, "Decide on it and warn the customer: a new pour would come too late.")


def _short(order: OrderAtStake, line: LineAtStake, batch: BatchAtStake, short: int, today: date) -> Risk:
    _, last_pour = _last_pours(order, line)
    text = f"{batch.number} gives {_bars(short)} of {line.design} too few."
    less = f"agree on {line.bars - short} of {line.bars} bars"
    if today <= last_pour:
        return Risk(text, f"Take free bars, pour {short} more by {_day(last_pour)}, or {less}.")
    return Risk(text, f"Take free bars, or {less}: a new pour would come too late.")


def _late_cure(order: OrderAtStake, batch: BatchAtStake, ready_on: date) -> Risk:
    late = (ready_on - order.ready_by).days
    text = f"{batch.number} is cured on {_day(ready_on)}, {_days(late)} too late to pack."
    if batch.least_ready_on is not None and batch.least_ready_on <= order.ready_by:
        return Risk(text, f"It may leave after the least cure, from {_day(batch.least_ready_on)}.")
    return Risk(text, "Agree on a later day with the customer.", is_lost=True)


def _last_pours(order: OrderAtStake, line: LineAtStake) -> tuple[date, date]:
    """Return the last day to pour for the full cure and for the least."""
    full, least = timedelta(days=line.cure_days), timedelta(days=line.least_cure_days)
    return order.ready_by - full, order.ready_by - least


def _day(day: date) -> str:
    return f"{day:%a, %b} {day.day}"


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"


def _bars(count: int) -> str:
    return "1 bar" if count == 1 else f"{count} bars"
