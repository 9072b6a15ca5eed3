"""The list of labels: every batch with bars in the house, page by page, in a fixed few queries.

Working out a list of ingredients takes several milliseconds a batch, so what was judged is remembered until something
it stands on has changed: an event of the batch, of a material, a part, a design or the settings, or the day. The page
of a batch always judges anew, and nothing is printed by what is remembered here.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Case, CharField, F, IntegerField, OuterRef, Q, QuerySet, Subquery, Sum, Value, When
from django.db.models.functions import Cast, Coalesce
from django.utils.functional import SimpleLazyObject

from formulas.label_rules.problems import Problem
from production.bar_ledger import OUT_OF_SALE, BarState
from production.batch_states import BatchState
from production.batches.models import Batch, BatchFor
from production.cure.models import BarMove
from production.labels.decided import answers_of
from production.labels.declared import batch_labels
from production.labels.desk import printed_counts
from production.labels.present import present_day
from production.labels.reads import batch_for_labels, plain_ask, served_lines
from production.labels.sheets import PreparedLabel, prepared_from
from soapshop.models import AuditEvent, Workshop

ROWS_A_PAGE = 25
MOST_REMEMBERED = 2000  # batches; more than lie in the house of any small workshop
WITH_BARS = (
    BatchState.POURED,
    BatchState.CUT,
    BatchState.CURING,
    BatchState.READY_FOR_REVIEW,
    BatchState.RELEASED,
    BatchState.HELD,
)
NO_LONGER_HERE = tuple(state.value for state in (BarState.SHIPPED, *OUT_OF_SALE))
FILTERS = {
    "": WITH_BARS,
    "released": (BatchState.RELEASED,),
    "waiting": (BatchState.POURED, BatchState.CUT, BatchState.CURING, BatchState.READY_FOR_REVIEW),
    "held": (BatchState.HELD,),
}
ABOUT_A_BATCH = "production.batch"
ABOUT_ALL_BATCHES = (
    "formulas.material",
    "formulas.part",
    "formulas.design",
    "soapshop.workshop",
    "production.marketperson",
)


@dataclass(frozen=True)
class FinishRow:
    """One finish of a batch in the list: how many labels it needs, has, and what stops it."""

    key: str
    name: str
    bars: int
    printed: int
    net_weight: str
    stop: Problem | None
    more_stops: int
    asks: int

    @property
    def is_ready(self) -> bool:
        return self.stop is None

    @property
    def is_printed(self) -> bool:
        return self.printed >= self.bars


@dataclass(frozen=True)
class BatchRow:
    number: str
    product: str
    for_whom: str
    finishes: tuple[FinishRow, ...]


@dataclass(frozen=True)
class _Listed:
    """One batch of the page, before its labels are judged."""

    pk: int
    number: str
    status: str
    bars_cut: int | None
    last_event_at: datetime | None  # of this batch
    last_about_all_at: datetime | None  # of whatever concerns every batch


@dataclass(frozen=True)
class _Judged:
    product: str
    finishes: tuple[FinishRow, ...]


Standing = tuple[object, ...]
_remembered: dict[int, tuple[Standing, _Judged]] = {}


def label_page(shown: str, number: str | None, *, workshop: Workshop, on: date) -> Page[BatchRow]:
    """One page of the list, judged for the workshop's own market and style."""
    page = _page_of(_batches_with_bars(shown), number)
    listed = [_Listed(*figures) for figures in page.object_list]  # type: ignore[misc]
    page.object_list = _rows(listed, workshop=workshop, on=on)
    return page


def _page_of(batches: QuerySet[Batch], number: str | None) -> Page[BatchRow]:
    """A shop whose bars fit on one page is read without counting them first."""
    events = AuditEvent.objects.order_by("-at").values("at")
    of_batch = events.filter(subject_type=ABOUT_A_BATCH, subject_id=Cast(OuterRef("pk"), CharField()))
    of_all = events.filter(subject_type__in=ABOUT_ALL_BATCHES)
    known = batches.annotate(last_event_at=Subquery(of_batch[:1]), last_about_all_at=Subquery(of_all[:1]))
    listed = known.values_list("pk", "number", "status", "bars_cut", "last_event_at", "last_about_all_at")
    first = list(listed[: ROWS_A_PAGE + 1]) if number in (None, "", "1") else []
    if 0 < len(first) <= ROWS_A_PAGE:
        return Paginator(first, ROWS_A_PAGE).get_page(1)  # type: ignore[return-value]
    return Paginator(listed, ROWS_A_PAGE).get_page(number)  # type: ignore[return-value]


def _batches_with_bars(shown: str) -> QuerySet[Batch]:
    """Batches that may need labels: poured and not all gone; released ones first, the newest pour first."""
    outside = (*NO_LONGER_HERE, BarState.MADE.value)
    is_out = Q(to_state__in=NO_LONGER_HERE) & ~Q(from_state__in=outside)
    is_back = Q(from_state__in=NO_LONGER_HERE) & ~Q(to_state__in=outside)
    signed = Case(When(is_out, then=F("bars")), When(is_back, then=-F("bars")), default=Value(0))
    gone = BarMove.objects.filter(batch=OuterRef("pk")).order_by().values("batch").annotate(total=Sum(signed))
    states = [state.value for state in FILTERS.get(shown, WITH_BARS)]
    is_waiting = Case(
        When(status=BatchState.RELEASED.value, then=Value(0)), default=Value(1), output_field=IntegerField()
    )
    return (
        Batch.objects.filter(status__in=states)
        .annotate(gone=Coalesce(Subquery(gone.values("total")), 0))
        .exclude(status=BatchState.RELEASED.value, gone__gte=F("bars_cut"))
        .order_by(is_waiting, "-poured_on", "number")
    )


def _rows(listed: list[_Listed], *, workshop: Workshop, on: date) -> list[BatchRow]:
    keys = [each.pk for each in listed]
    served, printed = _served(keys), printed_counts(keys)
    house = (workshop.market, workshop.declaration_style, on)
    standings: dict[int, Standing] = {
        each.pk: (each, tuple(map(_as_it_stands, served.get(each.pk, ()))), *house) for each in listed
    }
    judged = {pk: kept[1] for pk in keys if (kept := _remembered.get(pk)) and kept[0] == standings[pk]}
    judged |= _judge_anew([pk for pk in keys if pk not in judged], standings, served, workshop=workshop, on=on)
    return [
        BatchRow(
            each.number,
            judged[each.pk].product,
            ", ".join(dict.fromkeys(row.line.order.customer.name for row in served.get(each.pk, ()))),
            tuple(_with_printed(finish, each.pk, printed) for finish in judged[each.pk].finishes),
        )
        for each in listed
    ]


def _served(keys: Iterable[int]) -> dict[int, list[BatchFor]]:
    """For whom each batch is made, and when it is handed over."""
    found: dict[int, list[BatchFor]] = {}
    for row in served_lines().filter(batch__in=list(keys)):
        found.setdefault(row.batch_id, []).append(row)
    return found


def _as_it_stands(row: Any) -> tuple[object, ...]:
    """What of an order and its customer a label depends on."""
    order = row.line.order
    customer = order.customer
    return customer.name, tuple(customer.avoid_groups), row.avoided_id, order.promised_date, order.needed_by


def _judge_anew(
    keys: list[int],
    standings: dict[int, Standing],
    served: dict[int, list[BatchFor]],
    *,
    workshop: Workshop,
    on: date,
) -> dict[int, _Judged]:
    """Work these out from their rows, and remember them."""
    batches = list(batch_for_labels(with_orders=False).filter(pk__in=keys)) if keys else []
    if not batches:
        return {}
    present = present_day(batches, workshop=workshop, market=workshop.market)
    answers: Any = SimpleLazyObject(lambda: answers_of(batches))  # read where there is a question
    found = {}
    for batch in batches:
        labels = batch_labels(
            batch,
            present,
            market=workshop.market,  # type: ignore[arg-type]
            style=workshop.declaration_style,  # type: ignore[arg-type]
            on=on,
            served=served.get(batch.pk, ()),
        )
        finishes = []
        for finish in labels.finishes:
            ask = plain_ask(finish.key, workshop=workshop, copies=finish.bars)
            finishes.append(_finish_row(prepared_from(batch, labels, ask, workshop=workshop, on=on, answers=answers)))
        found[batch.pk] = _Judged(labels.plan.product, tuple(finishes))
    if len(_remembered) > MOST_REMEMBERED:
        _remembered.clear()
    _remembered.update({pk: (standings[pk], judged) for pk, judged in found.items()})
    return found


def _finish_row(prepared: PreparedLabel) -> FinishRow:
    stops = prepared.stops
    return FinishRow(
        key=prepared.finish.key,
        name=prepared.finish.name,
        bars=prepared.finish.bars,
        printed=0,
        net_weight=prepared.net.text,
        stop=stops[0] if stops else None,
        more_stops=max(len(stops) - 1, 0),
        asks=len(prepared.asks),
    )


def _with_printed(finish: FinishRow, pk: int, printed: Counter[tuple[int, str]]) -> FinishRow:
    count = printed[pk, finish.key]
    return replace(finish, printed=count) if count else finish
