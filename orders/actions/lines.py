"""The lines of an order: add, change, take out."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import Max, ProtectedError

from formulas.finishes import FinishError, FinishWant, finish_groups
from formulas.models import Design, Part
from orders.actions.writing import OrderRefusal, changeable_order, count_change, label_of, note_order, said
from orders.models import LineFinish, Order, OrderLine
from orders.order_states import OrderState
from orders.records import design_copy
from soapshop.models import User

GONE = "This line was taken out of the order meanwhile. Look at the order again."


@dataclass(frozen=True)
class LineWish:
    """A line as a person asked for it. ``part_bars`` says on how many bars each part goes, by part id.

    Parts that a design carries on every bar are added when ``part_bars`` is left out altogether.
    """

    design: Design
    bars: int
    wording: str = ""
    packaging: str = ""
    price_per_bar: Decimal | None = None
    part_bars: Mapping[int, int] | None = None


def add_line(*, order_id: int, wish: LineWish, by: User, typed_once: UUID | None = None) -> OrderLine:
    """Add a line to an order that can still change. The same form sent twice gives one line."""
    try:
        return _add(order_id, wish, by, typed_once)
    except IntegrityError:
        taken = OrderLine.objects.filter(typed_once=typed_once).first() if typed_once else None
        if taken is None:
            raise
        return taken


@transaction.atomic
def _add(order_id: int, wish: LineWish, by: User, typed_once: UUID | None) -> OrderLine:
    order = changeable_order(order_id)
    taken = OrderLine.objects.filter(typed_once=typed_once).first() if typed_once else None
    if taken is not None:
        return taken
    last = order.lines.aggregate(last=Max("position"))["last"] or 0
    line = write_line(OrderLine(order=order, position=last + 1, typed_once=typed_once), wish)
    _freeze_again(order, line)
    count_change(order)
    note_order(order=order, by=by, verb="add_line", text=f"Added {line.bars} bars of {line.design}.")
    return line


@transaction.atomic
def change_line(*, line_id: int, wish: LineWish, by: User, seen_saves: int | None = None) -> OrderLine:
    """Change the count, the wording, the price or the parts of a line."""
    found = OrderLine.objects.filter(pk=line_id).first()
    if found is None:
        raise OrderRefusal(GONE)
    order = changeable_order(found.order_id, seen_saves=seen_saves)
    line = OrderLine.objects.select_for_update().filter(pk=line_id).first()
    if line is None:
        raise OrderRefusal(GONE)
    changes = [] if line.bars == wish.bars else [f"bars {line.bars} → {wish.bars}"]
    for field in ("wording", "packaging", "price_per_bar"):
        old, new = getattr(line, field), getattr(wish, field)
        if old != new:
            changes.append(f"{label_of(line, field)} {said(old)} → {said(new)}")
    parts_before = _finish_words(line)
    write_line(line, wish)
    parts_after = _finish_words(line)
    if parts_before != parts_after:
        changes.append(f"parts {parts_before} → {parts_after}")
    if changes:
        _freeze_again(order, line)
        count_change(order)
        note_order(order=order, by=by, verb="change_line", text=f"{line.design}: {'; '.join(changes)}.")
    return line


@transaction.atomic
def remove_line(*, line_id: int, by: User) -> Order:
    """Take a line out of an order, as long as no batch holds its bars and another line is left."""
    line = OrderLine.objects.select_related("design").filter(pk=line_id).first()
    if line is None:
        raise OrderRefusal(GONE)
    order = changeable_order(line.order_id)
    if not order.lines.exclude(pk=line_id).exists():
        raise OrderRefusal("This is the order's only line. Cancel the order instead, or add another line first.")
    try:
        line.delete()
    except ProtectedError as held:
        raise OrderRefusal(
            f"Bars of {line.design} are planned or made for this line. "
            "Cancel their batch first, or change the count of bars instead."
        ) from held
    count_change(order)
    note_order(order=order, by=by, verb="remove_line", text=f"Took out {line.bars} bars of {line.design}.")
    return order


def write_line(line: OrderLine, wish: LineWish) -> OrderLine:
    """Save a line with its parts, once they fit the bars."""
    carried = {item.part_id: item for item in wish.design.parts.select_related("part")}
    asked = dict(wish.part_bars) if wish.part_bars is not None else {}
    if wish.part_bars is None:
        asked = {part_id: wish.bars for part_id, item in carried.items() if item.on_every_bar}
    asked = {part_id: bars for part_id, bars in asked.items() if bars}
    if set(asked) - set(carried):
        raise OrderRefusal(f"{wish.design} does not carry that part. Add the part to the design first.")
    _judge_parts(wish.bars, {carried[part_id].part: bars for part_id, bars in asked.items()})
    line.design, line.bars = wish.design, wish.bars
    line.wording, line.packaging, line.price_per_bar = wish.wording, wish.packaging, wish.price_per_bar
    line.save()
    line.finishes.all().delete()
    LineFinish.objects.bulk_create(LineFinish(line=line, part_id=pk, bars=bars) for pk, bars in asked.items())
    return line


def _judge_parts(bars: int, on_bars: Mapping[Part, int]) -> None:
    wants = tuple(FinishWant(part.name, count, part.attached_at, part.kind) for part, count in on_bars.items())
    try:
        finish_groups(bars, wants)
    except FinishError as refusal:
        raise OrderRefusal(str(refusal)) from refusal


def _freeze_again(order: Order, line: OrderLine) -> None:
    """A line changed after the acceptance is agreed anew."""
    if order.state in (OrderState.ACCEPTED, OrderState.IN_PRODUCTION):
        fresh = OrderLine.objects.select_related("design__formula", "design__mold").get(pk=line.pk)
        line.frozen_design = design_copy(fresh)
        line.save(update_fields=["frozen_design"])


def _finish_words(line: OrderLine) -> str:
    words = [f"{finish.part.name} on {finish.bars}" for finish in line.finishes.select_related("part")]
    return ", ".join(words) or "none"
