"""Money through the pages: the account, payments, charges, cancellation. Figures worked by hand."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.actions import OrderRefusal, move_order
from orders.models import HouseTerms, ListPrice, Order, OrderCharges, Payment, TaxRate
from orders.money.actions import close_order, record_payment, save_tax_rate, set_charges, settle_cancellation
from orders.money.payments import PaymentRefused
from orders.money.reads import account_now, cancellation_now
from orders.order_states import OrderState
from orders.papers.actions import issue_paper
from soapshop.clock import workshop_today
from soapshop.models import AuditEvent
from tests.orders.money_builders import build_customer, build_order

DAY = date(2026, 5, 12)


def pay(order: Order, amount: str, *, by, kind: str = "payment", **more):
    return record_payment(
        order_id=order.pk, kind=kind, on=DAY, amount=Decimal(amount), way="cash", by=by, today=DAY, **more
    )


def test_a_payment_stands_on_the_account_and_in_the_book(owner_client, owner):
    order = build_order(by=owner, stage=OrderState.ACCEPTED)  # 36 x 7.90 = 284.40
    url = reverse("orders:payment-add", args=[order.number])
    sent = {"kind": "payment", "amount": "142.20", "on": "2026-05-12", "way": "transfer", "note": "half"}
    assert owner_client.post(url, sent).status_code == 302
    account = account_now(order, today=DAY)
    assert (account.standing.held, account.standing.balance) == (Decimal("142.20"), Decimal("142.20"))
    assert order.events.first().text == "Paid, bank transfer, half: $142.20."


def test_a_payment_form_sent_twice_counts_once(owner_client, owner):
    order = build_order(by=owner, stage=OrderState.ACCEPTED)
    url = reverse("orders:payment-add", args=[order.number])
    sent = {
        "kind": "payment",
        "amount": "100",
        "on": "2026-05-12",
        "way": "cash",
        "typed_once": "0f0e4a52-5a06-4a55-9a34-2f2b8f8e3a11",
    }
    for _ in range(2):
        owner_client.post(url, sent)
    assert [payment.amount for payment in Payment.objects.all()] == [Decimal("100.00")]


@pytest.mark.parametrize(
    ("amount", "sentence"),
    (
        ("284.41", "Only $284.40 is still to be paid. Type no more than that, or add a line to the order."),
        ("lots", "Type an amount such as 48.50."),
        ("", "Type the amount."),
        ("0", "Type an amount of more than nothing."),
        ("1e40", "That amount is too large for one entry. Check it."),
        ("NaN", "Type an amount such as 48.50."),
    ),
)
def test_a_refused_payment_keeps_what_was_typed(owner_client, owner, amount, sentence):
    order = build_order(by=owner, stage=OrderState.ACCEPTED)
    url = reverse("orders:payment-add", args=[order.number])
    answer = owner_client.post(
        url, {"kind": "payment", "amount": amount, "on": "2026-05-12", "way": "cash", "note": "kept words"}
    )
    assert answer.status_code == 200
    assert answer.context["payment_form"].errors["amount"] == [sentence]
    assert 'value="kept words"' in answer.content.decode()
    assert not Payment.objects.exists()


def test_money_of_tomorrow_is_not_written_down_today(owner):
    order = build_order(by=owner, stage=OrderState.ACCEPTED)
    with pytest.raises(PaymentRefused, match="That day is still to come"):
        record_payment(
            order_id=order.pk, kind="payment", on=date(2026, 5, 13), amount=Decimal(5), way="cash", by=owner, today=DAY
        )


def test_charges_change_the_total_and_leave_what_they_were(owner, workshop):
    order = build_order(by=owner)
    wanted = {
        "discount_percent": Decimal(10),
        "setup_fee": Decimal(18),
        "tax_percent": Decimal("8.25"),
        "tax_name": "OR",
    }
    set_charges(order_id=order.pk, wanted=wanted, by=owner, today=DAY)
    assert account_now(order, today=DAY).sum.total == Decimal("296.56")
    event = AuditEvent.objects.filter(verb="set_charges").get()
    assert event.before["setup_fee"] == "0"
    assert event.after["setup_fee"] == "18"


def test_a_discount_above_the_price_is_refused_and_nothing_changes(owner_client, owner):
    order = build_order(by=owner)
    url = reverse("orders:charges-edit", args=[order.number])
    answer = owner_client.post(url, {"discount_amount": "500", "tax_mode": "on_top", "deposit_percent": "50"})
    assert answer.context["charges_form"].non_field_errors() == [
        "The discount is larger than the price of the bars. Make it smaller."
    ]
    assert not OrderCharges.objects.exists()


def test_the_rate_is_copied_so_that_the_table_may_change(owner_client, owner):
    order = build_order(by=owner)
    rate = save_tax_rate(rate=TaxRate(name="Elderford", percent=Decimal(8)), by=owner)
    url = reverse("orders:charges-edit", args=[order.number])
    owner_client.post(url, {"rate": rate.pk, "tax_mode": "on_top", "deposit_percent": "50"})
    rate.percent = Decimal(9)
    save_tax_rate(rate=rate, by=owner)
    assert account_now(order, today=DAY).sum.tax == Decimal("22.75")  # 284.40 x 0.08 = 22.752


def test_the_usual_rate_counts_for_orders_without_charges(owner):
    order = build_order(by=owner)
    save_tax_rate(rate=TaxRate(name="Elderford", percent=Decimal(5), is_usual=True), by=owner)
    save_tax_rate(rate=TaxRate(name="Harbor", percent=Decimal(10), is_usual=True), by=owner)
    assert TaxRate.objects.filter(is_usual=True).get().name == "Harbor"
    assert account_now(order, today=DAY).sum.tax == Decimal("28.44")


def test_a_cancelled_order_keeps_its_money_lines_and_says_what_goes_back(owner, workshop):
    order = build_order(by=owner, stage=OrderState.ACCEPTED)
    pay(order, "142.20", by=owner)
    move_order(order_id=order.pk, to=OrderState.CANCELLED, by=owner, reason="Wedding called off")
    AuditEvent.objects.filter(verb="move_order").update(at=datetime(2026, 5, 12, 20, tzinfo=UTC))
    worked = settle_cancellation(order_id=order.pk, by=owner, today=DAY)
    # needed Aug 20, packing 3, cure 42: pour by Jul 6, cut-off Jun 29; cancelled before it: all goes back
    assert (worked.keep, worked.pay_back) == (Decimal("0.00"), Decimal("142.20"))
    now = account_now(order, today=DAY).standing
    assert (now.balance, now.credit_left) == (Decimal("-142.20"), Decimal("142.20"))
    pay(order, "142.20", by=owner, kind="refund")
    assert account_now(order, today=DAY).standing.is_settled
    assert Order.objects.get(pk=order.pk).lines.count() == 1


def test_a_cancellation_is_settled_once_and_only_when_cancelled(owner, workshop):
    order = build_order(by=owner, stage=OrderState.ACCEPTED)
    with pytest.raises(OrderRefusal, match="is not cancelled"):
        settle_cancellation(order_id=order.pk, by=owner, today=DAY)
    move_order(order_id=order.pk, to=OrderState.CANCELLED, by=owner, reason="Changed plans")
    settle_cancellation(order_id=order.pk, by=owner, today=DAY)
    with pytest.raises(OrderRefusal, match="settled already"):
        settle_cancellation(order_id=order.pk, by=owner, today=DAY)


def test_once_work_began_the_whole_price_is_kept(owner, workshop):
    order = build_order(by=owner, stage=OrderState.IN_PRODUCTION)
    worked, _ = cancellation_now(Order.objects.get(pk=order.pk), today=DAY)
    assert (worked.keep, worked.still_owed) == (Decimal("284.40"), Decimal("284.40"))


def test_a_credit_note_lowers_what_a_cancellation_keeps(owner, workshop):
    order = build_order(by=owner, stage=OrderState.IN_PRODUCTION)
    issue_paper(order_id=order.pk, kind="credit_note", on=DAY, by=owner, amount=Decimal("15.80"), words="Two short")
    worked, _ = cancellation_now(Order.objects.get(pk=order.pk), today=DAY)
    assert worked.keep == account_now(order, today=DAY).standing.balance == Decimal("268.60")


def test_the_month_and_what_is_owed(owner_client, owner):
    order = build_order(by=owner, stage=OrderState.ACCEPTED)
    pay(order, "100.00", by=owner)
    page = owner_client.get(reverse("orders:money"), {"month": "2026-05"}).context["shown"]
    assert (page.came_in, page.balance_due) == (Decimal("100.00"), Decimal("184.40"))


@pytest.mark.parametrize("month", ("2026-13", "nonsense", "0001-01", "９９-９９", "2026-05-12"))
def test_a_month_that_is_none_shows_this_month(owner_client, month):
    assert owner_client.get(reverse("orders:money"), {"month": month}).status_code == 200


def count_queries(client, url: str) -> int:
    with CaptureQueriesContext(connection) as asked:
        assert client.get(url).status_code == 200
    return len(asked)


def test_the_money_pages_ask_the_database_the_same_for_one_and_three(owner_client, owner):
    customer = build_customer(by=owner)
    first = build_order(by=owner, stage=OrderState.ACCEPTED, customer=customer)
    pay(first, "10", by=owner)
    urls = [f"{reverse('orders:money')}?month=2026-05", reverse("orders:order-money", args=[first.number])]
    urls.append(first.get_absolute_url())
    for url in urls:
        owner_client.get(url)  # rows that are made on first use
    before = [count_queries(owner_client, url) for url in urls]
    for _ in range(2):
        pay(build_order(by=owner, stage=OrderState.ACCEPTED, customer=customer), "10", by=owner)
        pay(first, "10", by=owner)
    assert [count_queries(owner_client, url) for url in urls] == before


def test_accepting_on_the_order_page_fixes_the_days_money_is_due(owner_client, owner):
    order = build_order(by=owner, stage=OrderState.QUOTED, needed_by=date(2099, 8, 20))
    owner_client.post(reverse("orders:order-move", args=[order.number]), {"to": "accepted"})
    charges = OrderCharges.objects.get(order=order)
    today = workshop_today()
    assert (charges.agreed_on, charges.deposit_due_on) == (today, today + timedelta(days=7))
    assert charges.balance_due_on == date(2099, 8, 17)


def test_an_order_is_closed_only_when_its_account_is_settled(owner, workshop):
    order = build_order(by=owner, stage=OrderState.PACKED)
    move_order(order_id=order.pk, to=OrderState.HANDED_OVER, by=owner)
    with pytest.raises(OrderRefusal, match=r"^\$284\.40 is still to be paid\."):
        close_order(order_id=order.pk, by=owner, today=DAY)
    pay(order, "284.40", by=owner)
    assert close_order(order_id=order.pk, by=owner, today=DAY).state == OrderState.CLOSED


def test_only_an_owner_changes_how_the_shop_charges(maker_client, owner_client):
    url = reverse("orders:house-terms")
    assert maker_client.get(url).status_code == 403
    assert owner_client.get(url).status_code == 200


def test_the_price_list_is_set_design_by_design(owner_client, owner):
    design = build_order(by=owner).lines.get().design
    url = reverse("orders:price-list")
    assert owner_client.get(url).status_code == 200
    owner_client.post(url, {f"design_{design.pk}": "8.40"})
    assert ListPrice.objects.get().price_per_bar == Decimal("8.40")
    slip = owner_client.post(url, {f"design_{design.pk}": "dear"})
    assert slip.context["form"].errors[f"design_{design.pk}"] == ["Type an amount such as 48.50."]
    owner_client.post(url, {f"design_{design.pk}": "", "saved": "1"})
    assert not ListPrice.objects.exists()


def test_house_terms_are_saved_and_kept_on_a_slip(owner_client):
    url = reverse("orders:house-terms")
    form = owner_client.get(url).context["form"]
    sent = {name: "" if (figure := form.initial.get(name)) is None else str(figure) for name in form.fields}
    assert owner_client.post(url, sent | {"hourly_rate": "24.50"}).status_code == 302
    assert HouseTerms.current().hourly_rate == Decimal("24.50")
    slip = owner_client.post(url, sent | {"hourly_rate": "a lot", "deposit_percent": "40"})
    assert slip.status_code == 200
    assert 'value="a lot"' in slip.content.decode()
    assert HouseTerms.current().deposit_percent == Decimal(50)


@pytest.mark.parametrize("name", ("order-money", "payment-add", "charges-edit", "cancellation-settle", "paper-issue"))
def test_an_unknown_order_is_not_found(owner_client, name):
    url = reverse(f"orders:{name}", args=["9999"])
    answer = owner_client.get(url) if name == "order-money" else owner_client.post(url)
    assert answer.status_code == 404


def test_an_order_without_a_price_says_so_on_its_money_page(owner_client, owner):
    order = build_order(by=owner, price=None)
    answer = owner_client.get(reverse("orders:order-money", args=[order.number]))
    assert answer.context["page"].account.refusal == "Two Tides has no price yet. Set the price on its line."
