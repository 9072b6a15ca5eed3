"""An order called off late: its bars with their parts lie free, its papers stay, its money is worked out by line."""

from datetime import date, timedelta
from decimal import Decimal

from orders.models import Order, OrderLine
from orders.money.actions import change_house_terms, record_payment
from orders.money.reads import cancellation_now
from orders.order_states import OrderState
from orders.papers.actions import issue_paper
from production.batches.actions.cancelling import cancel_order
from production.cure.actions.packing import pack_order
from production.cure.actions.reserving import allocate_bars
from tests.production.cure_builders import READY_DAY, make_cut, make_design, make_order, make_released, places

NEEDED = date(2026, 5, 20)


def test_a_packed_order_called_off_frees_all_and_keeps_its_papers(owner, workshop):
    """The shop keeps half of the price once work has begun: 8 bars at 7.90 are 63.20, half is 31.60, 50.00 was paid."""
    change_house_terms(wanted={"begun_percent_of_total": Decimal(50)}, by=owner)
    order = make_order(make_design(owner), 8, needed_by=NEEDED, by=owner, parts={"seal": 3})
    OrderLine.objects.filter(order=order).update(price_per_bar=Decimal("7.90"))
    batch = make_released(make_cut(order, by=owner, bars={"seal": 4, "plain": 7}), by=owner)
    allocate_bars(order_id=order.pk, today=READY_DAY, by=owner)
    pack_order(order_id=order.pk, by=owner, on=READY_DAY)
    told = {"kind": "payment", "on": READY_DAY, "amount": Decimal("50.00"), "way": "cash", "today": NEEDED}
    record_payment(order_id=order.pk, by=owner, **told)
    invoice = issue_paper(order_id=order.pk, kind="invoice", on=READY_DAY, by=owner)
    cancel_order(order_id=order.pk, reason="The hall burned down", by=owner)
    order = Order.objects.get(pk=order.pk)
    assert order.state == OrderState.CANCELLED
    assert places(batch) == {"plain": {"released": 7, "spoiled": 1}, "seal": {"released": 4}}
    assert (list(order.papers.all()), order.lines.count(), order.parcels.count()) == ([invoice], 1, 1)
    worked, _ = cancellation_now(order, today=NEEDED + timedelta(days=1))
    assert [(line.words, line.amount) for line in worked.lines] == [
        ("Price agreed", Decimal("63.20")),
        ("Paid so far, less what was paid back", Decimal("50.00")),
        ("Kept: 50 % of $63.20, for work on the bars has begun", Decimal("31.60")),
        ("Paid back to the customer", Decimal("18.40")),
    ]
