"""The plan as a picture: a row for each batch, the bench and the rack by day, closed days and due days."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from production.plan.records import ShopPlan
from production.planning.plan_records import CUT, POUR, RELEASE, Plan, PlannedBatch, minutes_of

DAYS_SHOWN = 84
DAY_WIDTH, LABEL_WIDTH, ROW_HEIGHT, TOP = 10, 150, 20, 34
LOAD_HEIGHT = 60


@dataclass(frozen=True)
class Span:
    x: int
    width: int


@dataclass(frozen=True)
class Mark:
    x: int
    words: str


@dataclass(frozen=True)
class BoardRow:
    """One batch: its days in the mold and on the rack, and a mark for each other step."""

    key: str
    design: str
    is_new: bool
    is_moved: bool
    may_move: bool
    pour_on: date
    y: int
    in_mold: Span
    on_rack: Span
    marks: tuple[Mark, ...]
    words: str


@dataclass(frozen=True)
class LoadDay:
    """How full a day is. Heights are in the picture's own units, counted up from the bottom of its strip."""

    day: date
    x: int
    minutes: int
    room: int
    bench_height: int
    rack_bars: int
    rack_height: int

    @property
    def is_over(self) -> bool:
        return self.minutes > self.room


@dataclass(frozen=True)
class MoldStrip:
    """How many of one kind of mold are full on each day; `most` is the fullest day."""

    name: str
    owned: int
    y: int
    full: tuple[Span, ...]
    partly: tuple[Span, ...]
    most: int

    @property
    def is_over(self) -> bool:
        return self.most > self.owned


@dataclass(frozen=True)
class Board:
    rows: tuple[BoardRow, ...]
    molds: tuple[MoldStrip, ...]
    days: tuple[LoadDay, ...]
    weeks: tuple[Mark, ...]
    closed: tuple[Span, ...]
    dues: tuple[Mark, ...]
    width: int
    height: int
    molds_y: int
    bench_y: int
    rack_y: int
    rack_bars: int

    @property
    def busy_days(self) -> tuple[LoadDay, ...]:
        return tuple(day for day in self.days if day.minutes)


def board_of(shop: ShopPlan, plan: Plan, *, standing: Plan) -> Board:
    """Draw a plan; batches that stand otherwise now are marked as moved, those that are not there yet as new."""
    today = shop.asked.today
    last = today + timedelta(days=DAYS_SHOWN)
    before = {batch.key: batch for batch in standing.batches}
    shown = sorted(
        (each for each in plan.batches if each.on(RELEASE) >= today and each.on(POUR) < last),
        key=lambda each: (each.on(POUR), each.key),
    )
    rows = tuple(_row(shop, each, before, place) for place, each in enumerate(shown))
    molds_y = TOP + len(rows) * ROW_HEIGHT + 14
    molds = tuple(_mold_strips(shop, plan, molds_y))
    bench_y = molds_y + len(molds) * ROW_HEIGHT + LOAD_HEIGHT + 16
    days = tuple(_loads(shop, plan))
    return Board(
        rows=rows,
        molds=molds,
        days=days,
        weeks=tuple(Mark(_x(shop, day.day), f"{day.day:%b} {day.day.day}") for day in days if day.day.weekday() == 0),
        closed=tuple(
            Span(_x(shop, day), DAY_WIDTH)
            for day in (today + timedelta(days=ahead) for ahead in range(DAYS_SHOWN))
            if not shop.calendar.is_open(day)
        ),
        dues=tuple(
            Mark(_x(shop, line.due_on), f"{line.key} is due on {line.due_on:%b} {line.due_on.day}")
            for line in shop.asked.lines
            if today <= line.due_on < last
        ),
        width=LABEL_WIDTH + DAYS_SHOWN * DAY_WIDTH,
        height=bench_y + LOAD_HEIGHT + 26,
        molds_y=molds_y,
        bench_y=bench_y,
        rack_y=bench_y + LOAD_HEIGHT + 20,
        rack_bars=shop.asked.rack_bars,
    )


def _x(shop: ShopPlan, day: date) -> int:
    return LABEL_WIDTH + (day - shop.asked.today).days * DAY_WIDTH


def _span(shop: ShopPlan, first: date, last: date) -> Span:
    """The days from first up to last, cut off at both ends of the picture."""
    start = max(_x(shop, first), LABEL_WIDTH)
    end = min(_x(shop, last), LABEL_WIDTH + DAYS_SHOWN * DAY_WIDTH)
    return Span(start, max(end - start, 0))


def _row(shop: ShopPlan, batch: PlannedBatch, before: dict[str, PlannedBatch], place: int) -> BoardRow:
    stood = before.get(batch.key)
    pour, cut, release = (batch.on(key) for key in (POUR, CUT, RELEASE))
    others = [(key, day) for key, day in batch.days if key not in (POUR, CUT, RELEASE) and day >= shop.asked.today]
    return BoardRow(
        key="new" if stood is None else batch.key,
        design=batch.design,
        is_new=stood is None,
        is_moved=stood is not None and set(stood.days) != set(batch.days),
        may_move=batch in shop.asked.movable,
        pour_on=pour,
        y=TOP + place * ROW_HEIGHT,
        in_mold=_span(shop, pour, cut),
        on_rack=_span(shop, cut, release),
        marks=tuple(
            Mark(_x(shop, day) + DAY_WIDTH // 2, f"{key}: {day:%b} {day.day}")
            for key, day in others
            if (day - shop.asked.today).days < DAYS_SHOWN
        ),
        words=f"pour {pour:%b} {pour.day}, cut {cut:%b} {cut.day}, release {release:%b} {release.day}",
    )


def _mold_strips(shop: ShopPlan, plan: Plan, top: int) -> Iterator[MoldStrip]:
    """A strip for each kind of mold that the plan fills."""
    ways = {(design.key, way.mold): way for design in shop.asked.designs for way in design.yields}
    used: defaultdict[str, Counter[date]] = defaultdict(Counter)
    for batch in plan.batches:
        way = ways[batch.design, batch.mold]
        for ahead in range((batch.on(CUT) - batch.on(POUR)).days):
            day = batch.on(POUR) + timedelta(days=ahead)
            if shop.asked.today <= day < shop.asked.today + timedelta(days=DAYS_SHOWN):
                used[way.mold_type][day] += way.filled
    owned = dict(shop.asked.molds)
    for place, (name, days) in enumerate(sorted(used.items())):
        there = owned.get(name, 0)
        yield MoldStrip(
            name,
            there,
            top + place * ROW_HEIGHT,
            full=tuple(Span(_x(shop, day), DAY_WIDTH) for day, count in sorted(days.items()) if count >= there),
            partly=tuple(Span(_x(shop, day), DAY_WIDTH) for day, count in sorted(days.items()) if count < there),
            most=max(days.values()),
        )


def _loads(shop: ShopPlan, plan: Plan) -> list[LoadDay]:
    asked = shop.asked
    designs = {design.key: design for design in asked.designs}
    minutes: Counter[date] = Counter()
    rack: Counter[date] = Counter()
    for batch in plan.batches:
        design = designs[batch.design]
        bars = next(way.gross_bars for way in design.yields if way.mold == batch.mold)
        for step in design.steps:
            minutes[batch.on(step.key)] += minutes_of(step, bars)
        for ahead in range(max((batch.on(RELEASE) - batch.on(CUT)).days, 0)):
            rack[batch.on(CUT) + timedelta(days=ahead)] += bars
    lines = {line.key: line for line in asked.lines}
    for key, day in plan.packs:
        line = lines[key]
        minutes[day] += -(-designs[line.design].pack_tenths_per_bar * line.bars // 10)
    room = {each.day: each.minutes for each in asked.bench}
    most = max((*room.values(), *minutes.values(), 1))
    fullest = max((asked.rack_bars, *rack.values(), 1))
    return [
        LoadDay(
            day,
            _x(shop, day),
            minutes[day],
            room.get(day, 0),
            minutes[day] * LOAD_HEIGHT // most,
            rack[day],
            rack[day] * LOAD_HEIGHT // fullest,
        )
        for day in (asked.today + timedelta(days=ahead) for ahead in range(DAYS_SHOWN))
    ]
