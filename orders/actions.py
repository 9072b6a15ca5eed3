"""Take orders, change them, and move them along."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.db import transaction

from formulas.finishes import FinishError, FinishWant, finish_groups
from formulas.models import Design, Material
from orders.models import Customer, LineFinish, Order, OrderEvent, OrderLine
from orders.order_states import OrderState, may_move
from orders.records import design_copy
from soapshop.audit import changed_fields, note_event
from soapshop.models import User
from soapshop.numbering import next_number

FIRST_ORDER_NUMBER = 1001
# Once bars are being packed, what was agreed is what lies in the parcel.
CHANGEABLE = (OrderState.ENQUIRY, OrderState.QUOTED, OrderState.ACCEPTED, OrderState.IN_PRODUCTION)


class OrderRefusal(Exception):
    """An order cannot be written or moved this way; the message says why and the mend."""


@dataclass(frozen=True)
class LineWish:
    """A line as a person asked for it. ``part_bars`` says on how many bars each part goes, by part id.

    Parts that a design carries on every bar are added when ``part_bars`` leaves them out.
    """

    design: Design
    bars: int
    wording: str = ""
    packaging: str = ""
    price_per_bar: Any = None
    part_bars: Mapping[int, int] | None = None


@transaction.atomic
def save_customer(
    *, customer: Customer, avoid_materials: Sequence[Material], by: User, is_new: bool = False
) -> Customer:
    """Write a customer, new or changed, with the materials to avoid."""
    customer.save()
    customer.avoid_materials.set(avoid_materials)
    verb = "create_customer" if is_new else "change_customer"
    note_event(by=by, verb=verb, subject=customer, text=f"Wrote down {customer.name}.")
    return customer


@transaction.atomic
def create_order(
    *, customer: Customer, terms: Mapping[str, Any], lines: Sequence[LineWish], by: User, typed_once: UUID | None = None
) -> Order:
    """Take an enquiry. The same form sent twice gives the same order once."""
    if typed_once is not None:
        taken = Order.objects.filter(typed_once=typed_once).first()
        if taken is not None:
            return taken
    if not lines:
        raise OrderRefusal("An order needs at least one line. Choose a design and say how many bars.")
    order = Order.objects.create(
        number=str(next_number("order", first=FIRST_ORDER_NUMBER)),
        customer=customer,
        typed_once=typed_once,
        created_by=by,
        **terms,
    )
    for position, wish in enumerate(lines, start=1):
        _write_line(OrderLine(order=order, position=position), wish)
    note_order(order=order, by=by, verb="create_order", text=f"Order taken for {customer.name}.")
    return order


@transaction.atomic
def change_terms(*, order_id: int, terms: Mapping[str, Any], by: User) -> Order:
    """Change dates, hand-over and notes; every change is kept with what it was."""
    order = _changeable(order_id)
    before, after = changed_fields(order, dict(terms))
    if not after:
        return order
    for field, wanted in after.items():
        setattr(order, field, wanted)
    order.save(update_fields=list(after))
    words = "; ".join(f"{_label(order, field)} {_said(before[field])} → {_said(after[field])}" for field in after)
    note_order(order=order, by=by, verb="change_terms", text=f"Changed: {words}.", before=before, after=after)
    return order


@transaction.atomic
def add_line(*, order_id: int, wish: LineWish, by: User) -> OrderLine:
    order = _changeable(order_id)
    line = _write_line(OrderLine(order=order, position=order.lines.count() + 1), wish)
    note_order(order=order, by=by, verb="add_line", text=f"Added {line.bars} bars of {line.design}.")
    return line


@transaction.atomic
def change_line(*, line_id: int, wish: LineWish, by: User) -> OrderLine:
    """Change the count, the wording, the price or the parts of a line."""
    line = OrderLine.objects.select_related("order", "design").get(pk=line_id)
    order = _changeable(line.order_id)
    line = OrderLine.objects.select_for_update().get(pk=line_id)
    said = [] if line.bars == wish.bars else [f"bars {line.bars} → {wish.bars}"]
    for field in ("wording", "packaging", "price_per_bar"):
        old, new = getattr(line, field), getattr(wish, field)
        if old != new:
            said.append(f"{_label(line, field)} {_said(old)} → {_said(new)}")
    parts_before = _finish_words(line)
    _write_line(line, wish)
    parts_after = _finish_words(line)
    if parts_before != parts_after:
        said.append(f"parts {parts_before} → {parts_after}")
    if said:
        text = f"{line.design}: {'; '.join(said)}."
        note_order(order=order, by=by, verb="change_line", text=text)
    return line


@transaction.atomic
def remove_line(*, line_id: int, by: User) -> Order:
    line = OrderLine.objects.select_related("order", "design").get(pk=line_id)
    order = _changeable(line.order_id)
    if order.lines.count() == 1:
        raise OrderRefusal("This is the order's only line. Cancel the order instead, or add another line first.")
    if order.state == OrderState.IN_PRODUCTION:
        raise OrderRefusal("This order is in production; its bars may be in a batch. Change the count of bars instead.")
    note_order(order=order, by=by, verb="remove_line", text=f"Took out {line.bars} bars of {line.design}.")
    line.delete()
    return order


@transaction.atomic
def move_order(*, order_id: int, to: OrderState, by: User | None, reason: str = "") -> Order:
    """Move an order along its course. Accepting freezes the designs as they are today."""
    order = Order.objects.select_for_update().get(pk=order_id)
    refusal = may_move(order.state, to)
    if refusal:
        raise OrderRefusal(refusal)
    if to == OrderState.CANCELLED and not reason.strip():
        raise OrderRefusal("Say in a few words why the order is cancelled. It stays in the book with that reason.")
    if to == OrderState.ACCEPTED:
        _freeze(order)
    before = order.state
    order.status = to.value
    order.save(update_fields=["status"])
    because = f": {reason.strip()}" if reason.strip() else ""
    text = f"{before.label} → {to.label}{because}."
    note_order(order=order, by=by, verb="move_order", text=text, before={"status": before.value})
    return order


@transaction.atomic
def promise_date(*, order_id: int, day: date, by: User) -> Order:
    order = _changeable(order_id)
    before = order.promised_date
    order.promised_date = day
    order.save(update_fields=["promised_date"])
    text = f"Promised for {day:%b} {day.day}, {day.year}."
    note_order(order=order, by=by, verb="promise_date", text=text, before={"promised_date": before})
    return order


def mark_risk(*, order: Order, is_at_risk: bool, text: str) -> None:
    """Note on the order's own row whether it is at risk; the app above judges that."""
    if (order.is_at_risk, order.risk_text) == (is_at_risk, text):
        return
    order.is_at_risk, order.risk_text = is_at_risk, text[:300]
    order.save(update_fields=["is_at_risk", "risk_text"])


def note_order(*, order: Order, by: User | None, verb: str, text: str, **kept: Any) -> None:
    """Leave an event a person can read on the order, and the same in the audit trail."""
    OrderEvent.objects.create(order=order, by=by, text=text[:400])
    note_event(by=by, verb=verb, subject=order, text=f"{order}: {text}", **kept)


def _changeable(order_id: int) -> Order:
    order = Order.objects.select_for_update().get(pk=order_id)
    if order.state not in CHANGEABLE:
        raise OrderRefusal(f"{order} is {order.state.label.lower()}, so it can no longer be changed. Take a new order.")
    return order


def _write_line(line: OrderLine, wish: LineWish) -> OrderLine:
    carried = {item.part_id: item for item in wish.design.parts.select_related("part")}
    asked = dict(wish.part_bars) if wish.part_bars is not None else {}
    if wish.part_bars is None:
        asked = {part_id: wish.bars for part_id, item in carried.items() if item.on_every_bar}
    asked = {part_id: bars for part_id, bars in asked.items() if bars}
    stray = set(asked) - set(carried)
    if stray:
        raise OrderRefusal(f"{wish.design} does not carry that part. Add the part to the design first.")
    parts = {part_id: carried[part_id].part for part_id in asked}
    try:
        finish_groups(
            wish.bars,
            tuple(
                FinishWant(parts[pk].name, bars, parts[pk].attached_at, parts[pk].kind) for pk, bars in asked.items()
            ),
        )
    except FinishError as refusal:
        raise OrderRefusal(str(refusal)) from refusal
    line.design, line.bars = wish.design, wish.bars
    line.wording, line.packaging, line.price_per_bar = wish.wording, wish.packaging, wish.price_per_bar
    line.save()
    line.finishes.all().delete()
    LineFinish.objects.bulk_create(LineFinish(line=line, part_id=pk, bars=bars) for pk, bars in asked.items())
    return line


def _finish_words(line: OrderLine) -> str:
    words = [f"{finish.part.name} on {finish.bars}" for finish in line.finishes.select_related("part")]
    return ", ".join(words) or "none"


def _freeze(order: Order) -> None:
    for line in order.lines.select_related("design__formula", "design__mold").prefetch_related("finishes__part"):
        line.frozen_design = design_copy(line)
        line.save(update_fields=["frozen_design"])


def _label(row: Order | OrderLine, field: str) -> str:
    return str(row._meta.get_field(field).verbose_name)


def _said(figure: Any) -> str:
    if figure in (None, ""):
        return "nothing"
    return f"{figure:%b} {figure.day}, {figure.year}" if isinstance(figure, date) else str(figure)
