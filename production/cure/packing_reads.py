"""What the packing table shows of one order."""

from dataclasses import dataclass, field
from decimal import Decimal

from django.utils import timezone

from formulas.drawing import Picture
from orders.models import Order, OrderLine
from orders.money.hand_over import owed_before_hand_over
from orders.order_states import OrderState
from orders.pictures import finish_picture
from orders.records import read_for_drawing
from production.cure.actions.serving import SERVED, WAITING
from production.cure.bar_counts import Held
from production.cure.models import BarMove, Parcel
from production.cure.order_bars import LineNeed, OrderBars, bars_of_orders, for_bars
from production.cure.parcels import ParcelLot, parcel_lots
from soapshop.panels import Panel


@dataclass(frozen=True)
class DrawnNeed:
    """Bars of one finish as the packer picks them, with their face."""

    need: LineNeed
    picture: Picture


@dataclass(frozen=True)
class ParcelRow:
    """One parcel of the order with what lies in it."""

    parcel: Parcel
    lots: tuple[ParcelLot, ...]
    words: dict[tuple[int, str], str] = field(default_factory=dict)

    @property
    def contents(self) -> list[tuple[ParcelLot, str]]:
        """What lies in it, with each finish in words."""
        return [(lot, self.words.get((lot.line_id, lot.finish), lot.finish)) for lot in self.lots]

    @property
    def bars(self) -> int:
        return sum(lot.bars for lot in self.lots)

    @property
    def returned(self) -> int:
        return sum(lot.returned for lot in self.lots)

    @property
    def is_here(self) -> bool:
        return any(lot.packed for lot in self.lots)


@dataclass(frozen=True)
class PackingPage:
    """An order's bars and the one thing to do next: reserve, pack, hand over, or nothing ("")."""

    bars: OrderBars
    next_step: str
    parcels: tuple[ParcelRow, ...] = ()
    others: tuple[tuple[int, str], ...] = field(default=())
    owed: Decimal | None = None

    @property
    def drawn_needs(self) -> list[DrawnNeed]:
        read_for_drawing(need.line for need in self.bars.needs)
        return [_drawn(need, place) for place, need in enumerate(self.bars.needs)]

    @property
    def may_give_back(self) -> bool:
        return bool(self.bars.reserved or self.bars.packed)

    @property
    def may_swap(self) -> bool:
        return bool(self.others and self.bars.reserved and self.bars.order.state in WAITING)

    @property
    def returned(self) -> int:
        return sum(row.returned for row in self.parcels)

    @property
    def to_come(self) -> int:
        """Bars of an order that left in part and that the customer does not have yet."""
        return self.bars.bars - self.bars.shipped if self.bars.shipped or self.returned else 0

    @property
    def reserved_lots(self) -> list[tuple[str, str]]:
        return self._choices("reserved")

    @property
    def shipped_lots(self) -> list[tuple[str, str]]:
        return self._choices("shipped")

    def _choices(self, counted: str) -> list[tuple[str, str]]:
        return [
            (lot.key, _words(need, lot, getattr(lot, counted)))
            for need in self.bars.needs
            for lot in need.lots
            if getattr(lot, counted)
        ]


def _words(need: LineNeed, lot: Held, bars: int) -> str:
    return f"{need.line.design.name}, {need.words}, {lot.batch_number} ({bars})"


def packing_page(number: str) -> PackingPage | None:
    order = for_bars(Order.objects.filter(number=number)).first()
    return None if order is None else packing_of(order)


def packing_of(order: Order) -> PackingPage:
    bars = bars_of_orders([order])[order.pk]
    owed = owed_before_hand_over(order, today=timezone.localdate()) if bars.packed else None
    return PackingPage(bars, _next_step(bars), _parcels(order, bars), _others(order) if bars.reserved else (), owed)


def _parcels(order: Order, bars: OrderBars) -> tuple[ParcelRow, ...]:
    """Return the parcels that hold, or held, something."""
    parcels = list(order.parcels.select_related("packed_by", "handed_over_by").order_by("position"))
    lots = parcel_lots(BarMove.objects.filter(parcel__order=order)) if parcels else []
    words = {(need.line.pk, need.finish): need.words for need in bars.needs}
    rows = [ParcelRow(parcel, tuple(lot for lot in lots if lot.parcel_id == parcel.pk), words) for parcel in parcels]
    return tuple(row for row in rows if row.bars)


def _others(order: Order) -> tuple[tuple[int, str], ...]:
    """Return the lines of other orders that wait for a bar of the same design: number and words."""
    designs = {line.design_id for line in order.lines.all()}
    lines = (
        OrderLine.objects.filter(design_id__in=designs, order__status__in=[state.value for state in WAITING])
        .exclude(order=order)
        .select_related("order__customer", "design")
        .order_by("order__needed_by", "order__number", "position")
    )
    return tuple(
        (line.pk, f"{line.order}, {line.order.customer.name}: {line.bars} {line.design.name}") for line in lines
    )


def _drawn(need: LineNeed, place: int) -> DrawnNeed:
    keys = need.finish.split("+")
    parts = {finish.part.name for finish in need.line.finishes.all() if finish.part.key in keys}
    return DrawnNeed(need, finish_picture(need.line, key=f"need-{place}", parts=parts))


def _next_step(bars: OrderBars) -> str:
    """The next thing to do; an order that was handed over asks for nothing, even when some of it came back."""
    if bars.order.state not in SERVED:
        return ""
    if bars.missing:
        return "" if bars.order.state == OrderState.HANDED_OVER else "reserve"
    if bars.reserved:
        return "pack"
    return "hand_over" if bars.packed else ""


def order_panel(order: Order) -> Panel | None:
    """Show on the order's page what lies ready for it, once it was accepted."""
    if order.state not in (*SERVED, OrderState.CLOSED, OrderState.CANCELLED):
        return None
    page = packing_page(order.number)
    if page is None or (order.state in (OrderState.CLOSED, OrderState.CANCELLED) and not page.may_give_back):
        return None
    return Panel("production/cure/order_panel.html", {"page": page, "order": order}, rank=60)
