"""What the page of one batch in cure shows."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import QuerySet

from formulas.drawing import CurvePoint, CurveRange, Picture, bar_cross_section_svg, cure_curve_svg
from production.batch_states import BatchState
from production.batches.models import Batch
from production.batches.pictures import drawn_bar
from production.cure.actions.review import TIME_ALONE
from production.cure.bars_reads import Ledger
from production.cure.facts import Reason
from production.cure.forecast import Forecast, forecast_loss, forecast_weight
from production.cure.keeping import Keeping
from production.cure.keeping_reads import keeping_of
from production.cure.models import CureWeighing, Release
from production.cure.rack_rows import RackRow, finish_counts, newest_release, rack_row
from production.cure.ranges import DayRange, Range
from production.cure.records import CuringBatch, curing_batches, marked_bars, with_its_teachers
from production.cure.weights import in_order
from soapshop.models import AuditEvent
from soapshop.units import format_grams

BAND_STEP_DAYS, LEAST_DAYS_SHOWN, MOST_EVENTS = 3, 49, 40


@dataclass(frozen=True)
class WeighingRow:
    weighing: CureWeighing
    day: int
    loss_percent: Decimal | None


@dataclass(frozen=True)
class WeighDay:
    """What the marked bars weighed on one day, in the order of the marks; None for a bar not weighed that day."""

    on: date
    day: int
    rows: tuple[WeighingRow | None, ...]


@dataclass(frozen=True)
class CurveRow:
    """One weighing day behind the picture: the mean of the marked bars and what the forecast says for that day."""

    on: date
    day: int
    bars: int
    mean_grams: Decimal
    expected: Range | None


@dataclass(frozen=True)
class CurePage:
    row: RackRow
    ledger: Ledger
    picture: Picture
    curve: Picture | None
    curve_rows: tuple[CurveRow, ...]
    weighings: tuple[WeighingRow, ...]
    weight_when_ready: Range | None
    lost_by_ready: Range | None
    notes: tuple[Reason, ...]
    keeping: Keeping
    release: Release | None
    events: tuple[AuditEvent, ...]

    @property
    def curing(self) -> CuringBatch:
        return self.row.curing

    @property
    def ready_days(self) -> DayRange | None:
        return self.curing.ready_days

    @property
    def marks(self) -> list[str]:
        return sorted({row.weighing.bar_mark for row in self.weighings})

    @property
    def weigh_days(self) -> list[WeighDay]:
        """The weighings as a table: newest day first, one column for each marked bar."""
        by_place = {(row.weighing.on, row.weighing.bar_mark): row for row in self.weighings}
        days = {row.weighing.on: row.day for row in self.weighings}
        return [WeighDay(on, day, tuple(by_place.get((on, mark)) for mark in self.marks)) for on, day in days.items()]

    @property
    def is_cut(self) -> bool:
        return self.row.batch.cut_on is not None

    @property
    def may_release(self) -> bool:
        return self.row.batch.state in (BatchState.CURING, BatchState.READY_FOR_REVIEW) and (
            not self.row.why or self.is_early
        )

    @property
    def is_early(self) -> bool:
        """Only time and weight are missing and the least cure is over: a reasoned release is open to the owner."""
        facts, why = self.curing.facts, self.row.why
        past_least = self.curing.readiness.day_of_cure >= facts.least_cure_days
        return bool(why) and past_least and all(reason.code in TIME_ALONE for reason in why)


def cure_page(number: str, *, today: date) -> CurePage | None:
    batch, teachers = with_its_teachers(number, today=today)
    if batch is None:
        return None
    curing = curing_batches([batch], today=today, finished=teachers)[0]
    counts = finish_counts(batch)
    row = rack_row(curing, counts)
    ready_on = curing.ready_days.expected if curing.ready_days else row.ready_on
    curve_rows = _curve_rows(curing)
    has_weight = curing.forecast is not None and curing.forecast.fresh_grams is not None
    return CurePage(
        row=row,
        ledger=Ledger(counts),
        picture=bar_cross_section_svg(drawn_bar(curing.plan)),
        curve=_curve(curing, curve_rows, ready_on) if has_weight else None,
        curve_rows=curve_rows,
        weighings=_weighing_rows(batch),
        weight_when_ready=forecast_weight(curing.forecast, ready_on) if has_weight and curing.forecast else None,
        lost_by_ready=forecast_loss(curing.forecast, ready_on) if curing.forecast else None,
        notes=tuple(reason for reason in curing.readiness.reasons if not reason.blocks),
        keeping=keeping_of(batch),
        release=newest_release(batch),
        events=tuple(_events(batch)),
    )


def _events(batch: Batch) -> QuerySet[AuditEvent]:
    events = AuditEvent.objects.filter(subject_type=batch._meta.label_lower, subject_id=str(batch.pk))
    return events.select_related("by")[:MOST_EVENTS]


def _weighing_rows(batch: Batch) -> tuple[WeighingRow, ...]:
    """Return every weighing, newest first, with what the bar had lost since its first."""
    rows = list(batch.cure_weighings.all())
    first: dict[str, CureWeighing] = {}
    for row in rows:
        if not row.is_set_aside:
            first.setdefault(row.bar_mark, row)
    poured_on = batch.poured_on or batch.pour_on
    found = [WeighingRow(row, (row.on - poured_on).days, _lost(first.get(row.bar_mark), row)) for row in rows]
    return tuple(sorted(found, key=lambda each: (each.weighing.on, each.weighing.bar_mark), reverse=True))


def _lost(first: CureWeighing | None, row: CureWeighing) -> Decimal | None:
    if first is None or first.pk == row.pk or row.is_set_aside:
        return None
    return (first.grams - row.grams) / first.grams * 100


def _curve_rows(curing: CuringBatch) -> tuple[CurveRow, ...]:
    """Return the mean weight on each day on which every marked bar was weighed.

    A mean over other bars than the day before would jump although nothing dried.
    """
    by_day: dict[date, list[Decimal]] = {}
    bars = marked_bars(curing.batch.cure_weighings.all())
    for bar in bars:
        for weighing in in_order(bar):
            by_day.setdefault(weighing.on, []).append(weighing.grams)
    return tuple(
        CurveRow(
            on=on,
            day=(on - curing.facts.poured_on).days,
            bars=len(grams),
            mean_grams=sum(grams, Decimal(0)) / len(grams),
            expected=forecast_weight(curing.forecast, on) if curing.forecast else None,
        )
        for on, grams in sorted(by_day.items())
        if len(grams) == len(bars)
    )


def _curve(curing: CuringBatch, rows: tuple[CurveRow, ...], ready_on: date) -> Picture | None:
    forecast = curing.forecast
    if forecast is None:
        return None
    poured_on = curing.facts.poured_on
    ready_day = (ready_on - poured_on).days
    last_day = max([LEAST_DAYS_SHOWN, ready_day + 7, *(row.day for row in rows)])
    return cure_curve_svg(
        tuple(CurvePoint(row.day, row.mean_grams) for row in rows),
        _band(forecast, poured_on, last_day),
        ready_day=ready_day,
        title=f"Weight of the marked bars of {curing.batch.number}",
    )


def _band(forecast: Forecast, poured_on: date, last_day: int) -> tuple[CurveRange, ...]:
    first = (forecast.cut_on - poured_on).days
    days = [*range(first, last_day, BAND_STEP_DAYS), last_day]
    ranges = [(day, forecast_weight(forecast, poured_on + timedelta(days=day))) for day in days]
    return tuple(CurveRange(day, each.low, each.expected, each.high) for day, each in ranges)


def last_weights(page: CurePage) -> dict[str, str]:
    """Return what each marked bar weighed last, in words, by mark."""
    found: dict[str, str] = {}
    for row in reversed(page.weighings):
        weighing = row.weighing
        found[weighing.bar_mark] = f"{format_grams(weighing.grams)} on {weighing.on:%b} {weighing.on.day}"
    return dict(sorted(found.items()))
