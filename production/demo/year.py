"""Play the orders of the year through the shop's own actions, oldest pour first."""

from datetime import date, timedelta
from decimal import Decimal

from orders.actions import LineWish, create_order, move_order, save_customer
from orders.models import Customer, Order
from orders.order_states import OrderState
from production.batches.actions.planning import plan_batches
from production.demo.bench import make_batch
from production.demo.book import Book
from production.demo.plays import PEOPLE, PLAYS, Play
from production.demo.rack import finish_order, make_parts
from production.demo.till import approve_sheet, open_page, show_sheet, take_deposit
from soapshop.models import User

# How long before the pour a batch is put on the plan.
PLANNED_AHEAD = timedelta(days=7)
BEFORE_THE_PLAN = ("enquiry", "quoted", "accepted", "cancelled")


def play_year(book: Book, *, today: date, by: User) -> None:
    customers = _customers(by=by)
    make_parts(book, today=today, by=by)
    for play in sorted(PLAYS, key=lambda play: 999 if play.poured is None else play.poured):
        order = _take(play, customers[play.customer], book, today=today, by=by)
        _play(play, order, today=today, by=by)


def _customers(*, by: User) -> dict[str, Customer]:
    return {
        person.name: save_customer(
            customer=Customer(name=person.name, email=person.email, avoid_groups=list(person.avoid), note=person.note),
            avoid_materials=(),
            by=by,
            is_new=True,
        )
        for person in PEOPLE
    }


def _take(play: Play, customer: Customer, book: Book, *, today: date, by: User) -> Order:
    wish = LineWish(
        design=book.designs[play.design],
        bars=play.bars,
        wording=play.wording,
        packaging="Paper band",
        price_per_bar=Decimal(play.price),
        part_bars={book.parts[key].pk: bars for key, bars in play.parts.items()},
    )
    terms = {
        "occasion": play.occasion,
        "event_date": None if play.event is None else today + timedelta(days=play.event),
        "needed_by": today + timedelta(days=play.needed),
        "hand_over": play.hand_over,
        "travel_days": play.travel_days,
        "note": play.note,
    }
    return create_order(customer=customer, terms=terms, lines=[wish], by=by)


def _play(play: Play, order: Order, *, today: date, by: User) -> None:
    """Move one order as far as its stage says."""
    if play.stage == "enquiry":
        return
    show_sheet(order, today=today, by=by)
    move_order(order_id=order.pk, to=OrderState.QUOTED, by=by)
    if play.stage == "quoted":
        open_page(order, today=today, by=by)
        return
    if play.stage == "cancelled":
        move_order(order_id=order.pk, to=OrderState.CANCELLED, by=by, reason="The event was moved to next year")
        return
    approve_sheet(order, today=today)
    take_deposit(order, today=today, by=by)
    if play.poured is None:
        return
    pour = today + timedelta(days=play.poured)
    planned_on = min(pour, today) - PLANNED_AHEAD if play.poured <= 0 else today
    batches = plan_batches(order_id=order.pk, today=planned_on, pour_on=pour, by=by)
    for batch in batches:
        make_batch(batch.pk, play.stage, pour=pour, today=today, by=by)
    finish_order(order, play.stage, [batch.pk for batch in batches], today=today, by=by)
