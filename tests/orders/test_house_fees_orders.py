"""Fees of the house on orders: charged by themselves, seen on the sheet, let go with a reason."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from orders.actions import OrderRefusal
from orders.agreement.actions import make_proof
from orders.agreement.records import kept_sheet
from orders.models import HouseTerms, OrderCharges, OrderEvent
from orders.money.actions import set_charges
from orders.money.reads import account_now
from tests.orders.money_builders import NEEDED_BY, build_order

QUOTED_ON = NEEDED_BY - timedelta(days=48)


@pytest.fixture
def terms(workshop):
    terms = HouseTerms.current()
    terms.rush_days, terms.rush_percent, terms.minimum_order = 49, Decimal(25), Decimal("300.00")
    terms.save()
    return terms


def fees(order, on: date):
    return [(line.name, line.quoted) for line in account_now(order, today=on).sum.lines if line.bars is None]


def test_a_rush_and_a_small_order_are_rows_of_the_sheet(owner, terms):
    order = build_order(by=owner)  # 36 x 7.90 = 284.40
    assert fees(order, QUOTED_ON - timedelta(days=1)) == [("Small order, up to $300.00", Decimal("15.60"))]
    proof = make_proof(order_id=order.pk, by=owner, today=QUOTED_ON)
    rows = [("Rush, 25 %", Decimal("71.10")), ("Small order, up to $300.00", Decimal("15.60"))]
    assert [(fee.name, fee.amount) for fee in kept_sheet(proof.frozen).fees] == rows


def test_a_quote_keeps_the_fees_of_its_day_while_it_is_good(owner, terms):
    order = build_order(by=owner)
    make_proof(order_id=order.pk, by=owner, today=QUOTED_ON - timedelta(days=1))
    assert [name for name, _ in fees(order, NEEDED_BY)] == ["Small order, up to $300.00"]
    again = OrderCharges.objects.get(order=order).valid_until + timedelta(days=1)
    with pytest.raises(OrderRefusal, match="Nothing has changed since version 1"):
        make_proof(order_id=order.pk, by=owner, today=again - timedelta(days=1))
    make_proof(order_id=order.pk, by=owner, today=again)
    assert OrderCharges.objects.get(order=order).quoted_on == again


def test_less_than_the_rule_needs_its_reason_and_leaves_its_row(owner, terms):
    order = build_order(by=owner)
    wanted = {"rush_fee": Decimal(0), "fee_words": ""}
    with pytest.raises(OrderRefusal, match=r"By the shop's rule the fee is \$71\.10 \(rush\)\. Say in a few words why"):
        set_charges(order_id=order.pk, wanted=wanted, by=owner, today=QUOTED_ON)
    set_charges(order_id=order.pk, wanted=wanted | {"fee_words": "Third order"}, by=owner, today=QUOTED_ON)
    assert fees(order, QUOTED_ON)[0] == ("Rush, let go", Decimal("0.00"))
    text = OrderEvent.objects.filter(order=order).first().text
    assert text == "Charges: rush none → 0; why less than the shop's rule none → Third order."


def test_the_box_left_empty_follows_the_rule_and_the_page_says_so(owner_client, owner, terms):
    order = build_order(by=owner)
    url = reverse("orders:charges-edit", args=[order.number])
    typed = {"tax_mode": "on_top", "deposit_percent": "50", "rush_fee": "5"}
    answer = owner_client.post(url, typed)
    assert [error[:40] for error in answer.context["charges_form"].non_field_errors()] == [
        "By the shop's rule the fee is $71.10 (ru"
    ]
    owner_client.post(url, typed | {"rush_fee": ""})
    page = owner_client.get(reverse("orders:order-money", args=[order.number])).context["page"]
    assert [(fee.name, fee.charged) for fee in page.house_fees] == [
        ("Rush, 25 %", Decimal("71.10")),
        ("Small order, up to $300.00", Decimal("15.60")),
    ]
