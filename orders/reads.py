"""What the order pages show."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from formulas.finishes import FinishError, FinishGroup, FinishWant, finish_groups
from orders.avoid import AvoidHit, avoid_hits
from orders.models import Order, OrderLine, OrderQuerySet
from orders.order_states import COURSE, MOVES, OrderState
from orders.records import avoid_list, ingredients_of

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

    @property
    def finishes(self) -> list[tuple[str, int]]:
        return [
            (" + ".join(self.part_names[key] for key in group.part_keys) or "plain", group.bars)
            for group in self.groups
        ]


@dataclass(frozen=True)
class OrderPage:
    order: Order
    shape: str
    stages: tuple[Stage, ...]
    lines: tuple[LineView, ...]
    moves: tuple[OrderState, ...]
    can_cancel: bool
    bars: int
    total: Decimal | None

    @property
    def has_hits(self) -> bool:
        return any(line.hits for line in self.lines)


SHOWN: dict[str, tuple[OrderState, ...]] = {
    "open": (
        OrderState.ENQUIRY,
        OrderState.QUOTED,
        OrderState.ACCEPTED,
        OrderState.IN_PRODUCTION,
        OrderState.READY,
        OrderState.PACKED,
    ),
    "enquiries": (OrderState.ENQUIRY, OrderState.QUOTED),
    "done": (OrderState.HANDED_OVER, OrderState.CLOSED, OrderState.CANCELLED),
    "all": tuple(OrderState),
}


def shown_orders(which: str) -> OrderQuerySet:
    """Return the orders of one list, first needed first; finished ones newest first."""
    states = SHOWN.get(which, SHOWN["open"])
    orders = Order.objects.filter(status__in=states).for_list()
    return orders.order_by("-needed_by", "-number") if which == "done" else orders.order_by("needed_by", "number")


def order_rows(orders: Iterable[Order], *, today: date) -> list[OrderRow]:
    rows = []
    for order in orders:
        lines = order.lines.all()
        rows.append(
            OrderRow(
                order=order,
                shape=SHAPES[order.state],
                bars=sum(line.bars for line in lines),
                designs=", ".join(dict.fromkeys(line.design.name for line in lines)),
                is_late=order.needed_by < today and order.state in SHOWN["open"],
            )
        )
    return rows


def order_page(order: Order) -> OrderPage:
    wanted = avoid_list(order.customer)
    lines = []
    for line in order.lines.all():
        hits = () if wanted.is_empty else avoid_hits(wanted, ingredients_of(line.design))
        names = {finish.part.key: finish.part.name for finish in line.finishes.all()}
        lines.append(LineView(line, _groups(line), names, hits))
    prices = [line.price for line in order.lines.all()]
    return OrderPage(
        order=order,
        shape=SHAPES[order.state],
        stages=_stages(order),
        lines=tuple(lines),
        moves=tuple(state for state in COURSE if state in MOVES[order.state]),
        can_cancel=OrderState.CANCELLED in MOVES[order.state],
        bars=sum(line.bars for line in order.lines.all()),
        total=None if None in prices else sum((price for price in prices if price is not None), Decimal(0)),
    )


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
