"""Take orders from a file, all or none; renew the calendar's address."""

from collections.abc import Sequence
from datetime import date

from django.db import transaction
from django.utils import timezone

from formulas.models import Design
from orders.actions import LineWish, OrderRefusal, create_order, save_customer
from orders.customer_page.keys import digest_of, key_of, new_seed
from orders.interchange.order_file import FileFault, FileRow
from orders.models import CalendarAddress, Customer, Order
from soapshop.audit import note_event
from soapshop.models import AuditEvent, User

PURPOSE = "calendar"


@transaction.atomic
def take_file(*, rows: Sequence[FileRow], digest: str, by: User) -> list[Order]:
    """Write every order of the file as an enquiry. The same file is not taken twice."""
    if AuditEvent.objects.filter(verb="take_file", after__digest=digest).exists():
        raise OrderRefusal("The orders of this file are in the book already. Choose another file.")
    designs = {design.name: design for design in Design.objects.filter(name__in={row.design for row in rows})}
    orders = [_take(group, designs, by) for group in by_order(rows).values()]
    numbers = ", ".join(order.number for order in orders)
    text = f"Took {len(orders)} orders from a file: {numbers}."
    note_event(by=by, verb="take_file", subject=orders[0], text=text, after={"digest": digest})
    return orders


def by_order(rows: Sequence[FileRow]) -> dict[str, list[FileRow]]:
    found: dict[str, list[FileRow]] = {}
    for row in rows:
        found.setdefault(row.order, []).append(row)
    return found


def _take(group: list[FileRow], designs: dict[str, Design], by: User) -> Order:
    head = group[0]
    customer = Customer.objects.filter(name=head.customer, email=head.email).first()
    if customer is None:
        new = Customer(name=head.customer, email=head.email)
        customer = save_customer(customer=new, avoid_materials=(), by=by, is_new=True)
    wishes = [
        LineWish(designs[row.design], row.bars, row.wording, row.packaging, price_per_bar=row.price_per_bar)
        for row in group
    ]
    terms = {
        "occasion": head.occasion,
        "event_date": head.event,
        "needed_by": head.needed_by,
        "note": f"From a file, order {head.order}.",
    }
    return create_order(customer=customer, terms=terms, lines=wishes, by=by)


def past_days(rows: Sequence[FileRow], *, today: date) -> list[FileFault]:
    """Return the lines whose day has gone by: an order is taken for a day still to come."""
    return [
        FileFault(row.line, "needed_by", f"{row.needed_by.isoformat()} has passed. Give a day still to come.")
        for row in rows
        if row.needed_by < today
    ]


@transaction.atomic
def renew_calendar(*, by: User) -> CalendarAddress:
    """Make a new private address for the feed; the old one stops working."""
    CalendarAddress.objects.filter(closed_at__isnull=True).update(closed_at=timezone.now())
    seed = new_seed()
    address = CalendarAddress.objects.create(seed=seed, digest=digest_of(key_of(seed, purpose=PURPOSE)), made_by=by)
    note_event(by=by, verb="renew_calendar", subject=address, text="Made a new address for the calendar feed.")
    return address


def calendar_key(address: CalendarAddress) -> str:
    return key_of(address.seed, purpose=PURPOSE)


def is_calendar_key(key: str) -> bool:
    return CalendarAddress.objects.filter(digest=digest_of(key), closed_at__isnull=True).exists()
