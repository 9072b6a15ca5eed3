"""The demo's parts, weigh-ins, releases and hand-overs."""

from datetime import date, timedelta

from orders.models import Order
from production.demo.book import Book
from production.stock.actions import make_part_lot
from soapshop.models import User


def make_parts(book: Book, *, today: date, by: User) -> None:
    """Put toppers and seals on the shelf, some for the orders of the year and a fresh lot."""
    for key, pieces, days_ago in (
        ("seal-knot", 200, 70),
        ("topper-shell", 40, 70),
        ("topper-star", 20, 70),
        ("seal-knot", 60, 5),
    ):
        made_on = today - timedelta(days=days_ago)
        make_part_lot(part=book.parts[key], pieces=pieces, made_on=made_on, use_by=made_on + timedelta(days=90), by=by)


def finish_order(order: Order, stage: str, batch_ids: list[int], *, today: date, by: User) -> None:
    return
