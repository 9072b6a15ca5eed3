"""Ordering the same again. Worked by hand."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from formulas.models import FormulaRevision, Portion
from orders.actions import OrderRefusal
from orders.agreement.repeat import changed_since, repeat_order
from orders.models import Order
from orders.money.actions import set_list_price
from orders.order_states import OrderState
from soapshop.clock import workshop_today
from tests.orders.money_builders import build_order

DAY = date(2026, 5, 12)


@pytest.fixture
def order(owner, workshop) -> Order:
    made = build_order(by=owner, stage=OrderState.ACCEPTED)
    made.lines.update(wording="Łucja & José")
    return made


def since(order: Order) -> list[str]:
    return changed_since(Order.objects.for_page().get(pk=order.pk))


def test_nothing_changed_and_the_same_lines_are_taken(owner, order):
    """case-C92: exactly like last time."""
    assert since(order) == []
    again = repeat_order(order_id=order.pk, needed_by=date(2026, 12, 1), by=owner, today=DAY)
    line, then = again.lines.get(), order.lines.get()
    assert (line.design, line.bars, line.wording, line.price_per_bar) == (
        then.design,
        36,
        "Łucja & José",
        Decimal("7.90"),
    )
    assert (again.state, again.customer) == (OrderState.ENQUIRY, order.customer)
    assert again.events.first().text == "Exactly as Order 1001 was."


def test_a_new_revision_a_new_color_and_a_new_price_are_named(owner, order):
    """case-C92: what has changed since is said before it is promised again."""
    design = order.lines.get().design
    FormulaRevision.objects.update(status="retired")
    FormulaRevision.objects.create(formula=design.formula, number=2, status="approved")
    Portion.objects.update(color_hex="#000000")
    set_list_price(design=design, price=Decimal("8.40"), by=owner)
    assert since(order) == [
        "Two Tides: revision of the formula 1 → 2",
        "Two Tides: the drawing was changed",
        "Two Tides: price $7.90 then, $8.40 on the list now",
    ]


def test_a_design_no_longer_made_is_refused(owner, order):
    design = order.lines.get().design
    design.is_shelved = True
    design.save()
    assert since(order) == ["Two Tides: it is no longer made"]
    with pytest.raises(OrderRefusal, match="Two Tides is no longer made"):
        repeat_order(order_id=order.pk, needed_by=date(2026, 12, 1), by=owner, today=DAY)


def test_the_page_refuses_a_day_gone_by_and_takes_one_to_come(owner_client, order):
    url = reverse("orders:order-repeat", args=[order.number])
    assert owner_client.get(url).status_code == 200
    for typed, sentence in (
        ("2020-01-01", "That day has passed. Give a day still to come."),
        ("", "By which day are the bars needed?"),
        ("soon", "Type a day."),
    ):
        answer = owner_client.post(url, {"needed_by": typed, "x": "1"})
        assert answer.context["form"].errors["needed_by"] == [sentence]
    day = workshop_today() + timedelta(days=90)
    assert owner_client.post(url, {"needed_by": day.isoformat()}).status_code == 302
    assert Order.objects.count() == 2
