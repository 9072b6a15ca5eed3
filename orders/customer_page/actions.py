"""Open and close a customer's private page."""

from datetime import date, timedelta

from django.db import transaction
from django.utils import timezone

from orders.actions import OrderRefusal, note_order
from orders.customer_page.keys import digest_of, key_of, new_seed
from orders.models import CustomerLink, Order
from soapshop.models import User

PURPOSE = "customer_page"
USUAL_DAYS = 60
LONGEST_DAYS = 366


@transaction.atomic
def open_link(*, order_id: int, expires_on: date | None, by: User, today: date) -> CustomerLink:
    """Make a new private address; any earlier one stops working."""
    order = Order.objects.select_for_update().get(pk=order_id)
    if not order.proofs.exists():
        raise OrderRefusal("There is no version of the sheet to show yet. Make one first.")
    expires_on = expires_on or today + timedelta(days=USUAL_DAYS)
    if not today <= expires_on <= today + timedelta(days=LONGEST_DAYS):
        raise OrderRefusal("The page can stay open from today up to a year. Choose a day in between.")
    order.customer_links.filter(closed_at__isnull=True).update(closed_at=timezone.now())
    seed = new_seed()
    link = CustomerLink.objects.create(
        order=order, seed=seed, digest=digest_of(key_of(seed, purpose=PURPOSE)), expires_on=expires_on, made_by=by
    )
    text = f"Opened the customer's page until {expires_on:%b} {expires_on.day}, {expires_on.year}."
    note_order(order=order, by=by, verb="open_link", text=text)
    return link


@transaction.atomic
def close_link(*, order_id: int, by: User) -> None:
    order = Order.objects.select_for_update().get(pk=order_id)
    if order.customer_links.filter(closed_at__isnull=True).update(closed_at=timezone.now()):
        note_order(order=order, by=by, verb="close_link", text="Closed the customer's page.")


def link_key(link: CustomerLink) -> str:
    return key_of(link.seed, purpose=PURPOSE)


def found_link(key: str, *, today: date) -> CustomerLink | None:
    """Return the open page behind an address; an unknown, closed or expired one is answered alike."""
    link = CustomerLink.objects.select_related("order__customer").filter(digest=digest_of(key)).first()
    return link if link is not None and link.is_open(today) else None
