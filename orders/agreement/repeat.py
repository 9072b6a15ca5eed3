"""Order the same again: what has changed since, and a new enquiry with the same lines."""

from collections.abc import Callable
from datetime import date
from typing import Any
from uuid import UUID

from django.db import transaction

from formulas.drawing import DrawnBar
from orders.actions import LineWish, OrderRefusal, create_order, note_order
from orders.models import ListPrice, Order
from orders.records import design_copy
from soapshop.frozen_json import from_json
from soapshop.models import User, Workshop
from soapshop.money import format_money

SinceReader = Callable[[Order], list[str]]
_readers: list[SinceReader] = []
# What is compared of the design as it was agreed, and how it is called.
COMPARED = (
    ("formula", "formula"),
    ("revision", "revision of the formula"),
    ("mold", "mold"),
    ("identity", "name on the label"),
)


def add_since_reader(reader: SinceReader) -> None:
    """Let a higher app say what else has changed since an order, such as lots and suppliers."""
    if reader not in _readers:
        _readers.append(reader)


def changed_since(order: Order) -> list[str]:
    """Return what is no longer as it was when the order was agreed, each as a sentence. Fetch with ``for_page()``."""
    found: list[str] = []
    currency = Workshop.current().currency
    listed = {price.design_id: price.price_per_bar for price in ListPrice.objects.all()}
    for line in order.lines.all():
        found += [f"{line.design.name}: {words}" for words in _design_changes(line.frozen_design, design_copy(line))]
        if line.design.is_shelved:
            found.append(f"{line.design.name}: it is no longer made")
        now = listed.get(line.design_id)
        if now is not None and line.price_per_bar is not None and now != line.price_per_bar:
            was = format_money(line.price_per_bar, currency=currency)
            found.append(
                f"{line.design.name}: price {was} then, {format_money(now, currency=currency)} on the list now"
            )
    return [*found, *(words for reader in _readers for words in reader(order))]


def _design_changes(then: dict[str, Any] | None, now: dict[str, Any]) -> list[str]:
    if then is None:
        return ["it was never agreed, so there is nothing to compare with"]
    found = [f"{words} {then[key]} → {now[key]}" for key, words in COMPARED if then.get(key) != now.get(key)]
    if then.get("rows") != now.get("rows") or _look(then, now) != _look(now, then):
        found.append("the drawing was changed")
    return found


def _look(one: dict[str, Any], other: dict[str, Any]) -> tuple[object, ...] | None:
    """Return how a copy looks, where both keep their drawing."""
    return from_json(DrawnBar, one["drawing"]).look if one.get("drawing") and other.get("drawing") else None


@transaction.atomic
def repeat_order(*, order_id: int, needed_by: date, by: User, today: date, typed_once: UUID | None = None) -> Order:
    """Take a new enquiry with the customer, hand-over, lines, wording, parts and prices of an earlier order."""
    if typed_once is not None and (taken := Order.objects.filter(typed_once=typed_once).first()) is not None:
        return taken
    if needed_by < today:
        raise OrderRefusal("That day has passed. Give a day still to come.")
    order = Order.objects.for_page().get(pk=order_id)
    shelved = [line.design.name for line in order.lines.all() if line.design.is_shelved]
    if shelved:
        raise OrderRefusal(f"{shelved[0]} is no longer made. Bring the design back, or take a new order without it.")
    wishes = [
        LineWish(
            design=line.design,
            bars=line.bars,
            wording=line.wording,
            packaging=line.packaging,
            price_per_bar=line.price_per_bar,
            part_bars={finish.part_id: finish.bars for finish in line.finishes.all()},
        )
        for line in order.lines.all()
    ]
    terms = {
        "occasion": order.occasion,
        "needed_by": needed_by,
        "hand_over": order.hand_over,
        "travel_days": order.travel_days,
        "note": order.note,
    }
    again = create_order(customer=order.customer, terms=terms, lines=wishes, by=by, typed_once=typed_once)
    changed = changed_since(order)
    words = f"As {order} was, except: {'; '.join(changed)}." if changed else f"Exactly as {order} was."
    note_order(order=again, by=by, verb="repeat_order", text=words[:400], after={"repeats": order.number})
    return again
