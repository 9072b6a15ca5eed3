"""What the order pages show."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import Count, Min, Q

from formulas.finishes import FinishError, FinishGroup, FinishWant, finish_groups
from formulas.spares import bars_with_spares
from orders.avoid import AvoidHit
from orders.models import Order, OrderLine, OrderQuerySet
from orders.order_states import BEFORE_PRODUCTION, CHANGEABLE, COURSE, MOVES, OrderState, may_move_by_hand
from orders.records import avoid_hits_of, avoid_list
from soapshop.models import Workshop

PAGE_SIZE = 20

SHAPES = {
    OrderState.ENQUIRY: "open",
    OrderState.QUOTED: "review",
    OrderState.ACCEPTED: "locked",
    OrderState.IN_PRODUCTION: "going",
    OrderState.READY: "ready",
    OrderState.PACKED: "done",
    OrderState.HANDED_OVER: "away",
    OrderState.CLOSED: "away",
    OrderState.CANCELLED: "struck",
}


@dataclass(frozen=True)
class OrderRow:
    order: Order
    shape: str
    bars: int
    designs: str
    is_late: bool


@dataclass(frozen=True)
class Stage:
    name: str
    note: str
    is_done: bool
    is_here: bool


@dataclass(frozen=True)
class LineView:
    line: OrderLine
    groups: tuple[FinishGroup, ...]
    part_names: dict[str, str]
    hits: tuple[AvoidHit, ...]
    poured: int = 0

    @property
    def finishes(self) -> list[tuple[str, int]]:
        return [
            (" + ".join(self.part_names[key] for key in group.part_keys) or "plain", group.bars)
            for group in self.groups
        ]


@dataclass(frozen=True)
class HandMove:
    """A button on the order: the stage it leads to, and what the person says by pressing it."""

    to: str
    words: str


@dataclass(frozen=True)
class Happening:
    at: datetime
    text: str
    by: str


HAND_WORDS = {
    OrderState.QUOTED: "Quote sent",
    OrderState.ACCEPTED: "Customer accepted",
    OrderState.CLOSED: "Close the order",
}


@dataclass(frozen=True)
class OrderPage:
    order: Order
    shape: str
    stages: tuple[Stage, ...]
    lines: tuple[LineView, ...]
    moves: tuple[HandMove, ...]
    can_cancel: bool
    can_change: bool
    bars: int
    total: Decimal
    unpriced: int
    avoided: tuple[str, ...]

    @property
    def poured(self) -> int:
        """Bars to pour for the order with the workshop's own spares, which nobody is billed for."""
        return sum(view.poured for view in self.lines)

    @property
    def holds_avoided(self) -> bool:
        return any(view.hits for view in self.lines)

    @property
    def is_over(self) -> bool:
        return self.order.state not in OPEN


@dataclass(frozen=True)
class OrderList:
    """One choice of orders to look at."""

    label: str
    states: tuple[OrderState, ...]


OPEN = tuple(state for state in COURSE if state not in (OrderState.HANDED_OVER, OrderState.CLOSED))
SHOWN: dict[str, OrderList] = {
    "open": OrderList("Open orders", OPEN),
    "enquiries": OrderList("Enquiries and quotes", (OrderState.ENQUIRY, OrderState.QUOTED)),
    "done": OrderList(
        "Handed over, closed, cancelled", (OrderState.HANDED_OVER, OrderState.CLOSED, OrderState.CANCELLED)
    ),
    "all": OrderList("All", tuple(OrderState)),
}


@dataclass(frozen=True)
class OrderCounts:
    """How the open orders stand, whatever list is looked at."""

    open: int
    late: int
    at_risk: int
    unanswered: int
    next_needed: date | None


def order_counts(*, today: date) -> OrderCounts:
    found = Order.objects.filter(status__in=OPEN).aggregate(
        open=Count("pk"),
        late=Count("pk", filter=Q(needed_by__lt=today)),
        at_risk=Count("pk", filter=Q(is_at_risk=True)),
        unanswered=Count("pk", filter=Q(status=OrderState.ENQUIRY)),
        next_needed=Min("needed_by", filter=Q(needed_by__gte=today)),
    )
    return OrderCounts(**found)


def shown_orders(which: str) -> OrderQuerySet:
    """Return the orders of one list, first needed first; finished ones newest first."""
    orders = Order.objects.filter(status__in=SHOWN[which].states).for_list()
    return orders.order_by("-needed_by", "-number") if which == "done" else orders.order_by("needed_by", "number")


def order_rows(orders: Iterable[Order], *, today: date) -> list[OrderRow]:
    """Return what a list shows of each order; two queries, those of the orders and of their lines."""
    shown = list(orders)
    lines: dict[int, list[tuple[int, str]]] = {order.pk: [] for order in shown}
    of_shown = OrderLine.objects.filter(order__in=lines).order_by("position", "pk")
    for order_id, bars, design in of_shown.values_list("order_id", "bars", "design__name"):
        lines[order_id].append((bars, design))
    return [
        OrderRow(
            order=order,
            shape=SHAPES[order.state],
            bars=sum(bars for bars, _ in lines[order.pk]),
            designs=", ".join(dict.fromkeys(design for _, design in lines[order.pk])),
            is_late=order.needed_by < today and order.state in OPEN,
        )
        for order in shown
    ]


def order_page(order: Order, *, workshop: Workshop) -> OrderPage:
    hits = avoid_hits_of(order)
    lines = tuple(_line_view(line, hits[line.pk], workshop) for line in order.lines.all())
    prices = [line.price for line in order.lines.all()]
    return OrderPage(
        order=order,
        shape=SHAPES[order.state],
        stages=_stages(order),
        lines=lines,
        moves=tuple(_by_hand(order)),
        can_cancel=order.state in BEFORE_PRODUCTION,
        can_change=order.state in CHANGEABLE,
        bars=sum(line.bars for line in order.lines.all()),
        total=sum((price for price in prices if price is not None), Decimal(0)),
        unpriced=prices.count(None),
        avoided=avoid_list(order.customer).words,
    )


def happenings(order: Order) -> tuple[Happening, ...]:
    """Return what happened to an order, newest first. Fetch it with ``for_page()``."""
    return tuple(
        Happening(event.at, event.text, event.by.display_name if event.by else "") for event in order.events.all()
    )


def _by_hand(order: Order) -> Iterator[HandMove]:
    """Yield the steps that a person takes on the order itself; cancelling stands apart."""
    for state in COURSE:
        if state in MOVES[order.state] and may_move_by_hand(order.state, state) is None:
            yield HandMove(state.value, HAND_WORDS[state])


def _line_view(line: OrderLine, hits: tuple[AvoidHit, ...], workshop: Workshop) -> LineView:
    names = {finish.part.key: finish.part.name for finish in line.finishes.all()}
    poured = bars_with_spares(line.bars, percent=workshop.bar_spare_percent, least=workshop.bar_spare_least)
    return LineView(line, _groups(line), names, hits, poured)


def _groups(line: OrderLine) -> tuple[FinishGroup, ...]:
    wants = tuple(
        FinishWant(finish.part.key, finish.bars, finish.part.attached_at, finish.part.kind)
        for finish in line.finishes.all()
    )
    try:
        return finish_groups(line.bars, wants)
    except FinishError:
        return ()


def _stages(order: Order) -> tuple[Stage, ...]:
    if order.state == OrderState.CANCELLED:
        return (Stage("Cancelled", "", is_done=True, is_here=True),)
    here = COURSE.index(order.state)
    return tuple(
        Stage(state.label, "", is_done=place < here, is_here=place == here) for place, state in enumerate(COURSE)
    )
