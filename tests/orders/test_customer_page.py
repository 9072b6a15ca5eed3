"""The customer's own page and the approval of the sheet."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from formulas.models import Material
from orders.actions import LineWish, OrderRefusal, change_line
from orders.agreement.actions import approve_proof, make_proof
from orders.agreement.reads import agreement_page
from orders.customer_page.actions import close_link, found_link, link_key, open_link
from orders.models import CustomerLink, Order, OrderCharges, Proof
from orders.order_states import OrderState
from soapshop.clock import workshop_today
from tests.orders.money_builders import build_customer, build_order

DAY = date(2026, 5, 12)


def share(order: Order, *, by) -> tuple[Proof, str]:
    """Make a version and open the customer's page; return the version and the page's address."""
    today = workshop_today()
    proof = make_proof(order_id=order.pk, by=by, today=today)
    link = open_link(order_id=order.pk, expires_on=None, by=by, today=today)
    return proof, reverse("orders:customer-page", args=[link_key(link)])


def raise_bars(order: Order, bars: int, *, by) -> None:
    line = order.lines.get()
    change_line(line_id=line.pk, wish=LineWish(line.design, bars, price_per_bar=line.price_per_bar), by=by)


def test_the_page_needs_no_sign_in_and_shows_the_sheet(owner, workshop):
    order = build_order(by=owner, note="Pays late, be careful.")
    _, url = share(order, by=owner)
    answer = Client().get(url)
    words = answer.content.decode()
    assert answer.status_code == 200
    for part in ("Two Tides", "$284.40", "I approve version 1", "<svg"):
        assert part in words
    assert "Pays late" not in words
    assert 'href="/orders/' not in words
    assert answer["X-Robots-Tag"] == "noindex, nofollow, noarchive"
    assert answer["Cache-Control"] == "no-store, private"
    assert answer["Referrer-Policy"] == "same-origin"


def test_approving_accepts_the_order_and_says_who_and_when(owner, workshop):
    """case-C63: dates and wording are agreed when somebody has approved them, by name and day."""
    order = build_order(by=owner, stage=OrderState.QUOTED)
    proof, url = share(order, by=owner)
    assert Client().post(url, {"version": "1", "name": "Maren Holloway"}).status_code == 302
    proof.refresh_from_db()
    order.refresh_from_db()
    assert (proof.approved_by_name, proof.approved_way, proof.is_approved) == ("Maren Holloway", "own_page", True)
    assert order.state == OrderState.ACCEPTED
    assert OrderCharges.objects.get(order=order).deposit_due_on == workshop_today() + timedelta(days=7)
    assert [event.text for event in order.events.all()][1:3] == [
        "Quoted → Accepted.",
        "Version 1 approved by Maren Holloway (on the customer's page).",
    ]


@pytest.mark.parametrize(
    ("sent", "sentence"),
    (
        ({"version": "1", "name": "  "}, "Write your name, so that the shop knows who approved it."),
        ({"version": "7", "name": "Maren"}, "There is no such version of this sheet. Look at the one on this page."),
    ),
)
def test_an_approval_that_cannot_be_is_refused(owner, workshop, sent, sentence):
    proof, url = share(build_order(by=owner), by=owner)
    answer = Client().post(url, sent)
    assert answer.context["form"].errors["name"] == [sentence]
    proof.refresh_from_db()
    assert not proof.is_approved


@pytest.mark.parametrize("sent", ({}, {"version": "x"}, {"version": "9" * 40, "name": "a"}, {"name": "b" * 500}))
def test_nonsense_is_answered_with_the_page(owner, workshop, sent):
    _, url = share(build_order(by=owner), by=owner)
    assert Client().post(url, sent).status_code == 200
    assert not Proof.objects.filter(approved_at__isnull=False).exists()


def test_a_changed_order_is_not_approved_by_an_old_sheet(owner, workshop):
    order = build_order(by=owner)
    proof, _ = share(order, by=owner)
    raise_bars(order, 40, by=owner)
    with pytest.raises(OrderRefusal, match="The shop is changing this sheet just now"):
        approve_proof(proof_id=proof.pk, name="Maren", way="told_us", today=DAY, by=owner)


def test_a_quote_that_is_over_is_not_approved(owner, workshop):
    order = build_order(by=owner)
    proof, _ = share(order, by=owner)
    OrderCharges.objects.update(valid_until=date(2026, 5, 11))
    with pytest.raises(OrderRefusal, match=r"This quote was good until May 11, 2026\."):
        approve_proof(proof_id=proof.pk, name="Maren", way="told_us", today=DAY, by=owner)
    OrderCharges.objects.update(valid_until=DAY)
    assert approve_proof(proof_id=proof.pk, name="Maren", way="told_us", today=DAY, by=owner).is_approved


def test_what_changed_after_approval_is_named(owner, workshop):
    """case-C63: every change after the approved version stands there, old and new, and changes have a last day."""
    order = build_order(by=owner)
    proof = make_proof(order_id=order.pk, by=owner, today=DAY)
    approve_proof(proof_id=proof.pk, name="Maren", way="told_us", today=DAY, by=owner)
    page = agreement_page(Order.objects.for_page().get(pk=order.pk), today=DAY)
    assert page.since_approval == ()
    raise_bars(order, 40, by=owner)
    page = agreement_page(Order.objects.for_page().get(pk=order.pk), today=DAY)
    assert page.since_approval == (
        "total $284.40 → $316.00",
        "deposit $142.20 → $158.00",
        "Two Tides: bars 36 → 40",
        "Two Tides: parts 36 plain → 40 plain",
    )
    # needed Aug 20, packing 2 days, cure 42 days, 7 days before that pour
    assert (page.cut_off, page.is_past_cut_off) == (date(2026, 6, 30), False)


def test_the_same_sheet_is_not_made_twice(owner, workshop):
    order = build_order(by=owner)
    make_proof(order_id=order.pk, by=owner, today=DAY)
    with pytest.raises(OrderRefusal, match="Nothing has changed since version 1"):
        make_proof(order_id=order.pk, by=owner, today=DAY)


def test_an_order_without_a_price_has_no_sheet(owner, workshop):
    with pytest.raises(OrderRefusal, match="Two Tides has no price yet"):
        make_proof(order_id=build_order(by=owner, price=None).pk, by=owner, today=DAY)


def test_the_address_is_long_not_kept_and_renewing_closes_the_old(owner, workshop):
    order = build_order(by=owner)
    make_proof(order_id=order.pk, by=owner, today=DAY)
    first = open_link(order_id=order.pk, expires_on=None, by=owner, today=DAY)
    key = link_key(first)
    assert len(key) == 64
    assert key not in str(CustomerLink.objects.values().get())
    second = open_link(order_id=order.pk, expires_on=None, by=owner, today=DAY)
    assert found_link(key, today=DAY) is None
    assert found_link(link_key(second), today=DAY) == second


def test_the_page_closes_after_its_last_day(owner, workshop):
    order = build_order(by=owner)
    make_proof(order_id=order.pk, by=owner, today=DAY)
    link = open_link(order_id=order.pk, expires_on=date(2026, 5, 20), by=owner, today=DAY)
    assert found_link(link_key(link), today=date(2026, 5, 20)) == link
    assert found_link(link_key(link), today=date(2026, 5, 21)) is None


def test_closed_and_unknown_addresses_are_answered_alike(owner, workshop):
    order = build_order(by=owner)
    _, url = share(order, by=owner)
    close_link(order_id=order.pk, by=owner)
    closed, unknown = Client().get(url), Client().get(reverse("orders:customer-page", args=["0" * 64]))
    assert (closed.status_code, unknown.status_code) == (404, 404)
    assert [part.name for part in closed.templates] == [part.name for part in unknown.templates]
    assert order.customer.name not in closed.content.decode()


def test_a_page_open_for_years_is_refused(owner, workshop):
    order = build_order(by=owner)
    make_proof(order_id=order.pk, by=owner, today=DAY)
    with pytest.raises(OrderRefusal, match="from today up to a year"):
        open_link(order_id=order.pk, expires_on=date(2030, 1, 1), by=owner, today=DAY)


@pytest.mark.parametrize("wording", ("Łucja & José", "小明 ♥ 小红", "مريم", "Ada 🧼", "<b>x</b>"))
def test_any_script_reaches_the_page_as_it_was_typed(owner, workshop, wording):
    order = build_order(by=owner, customer=build_customer(by=owner, name=wording))
    order.lines.update(wording=wording)
    _, url = share(order, by=owner)
    page = Client().get(url)
    assert page.context["sheet"].lines[0].wording == wording
    assert "<b>x</b>" not in page.content.decode()


def test_staff_pages_of_the_sheet_work(owner_client, owner):
    order = build_order(by=owner)
    for name in ("proof-make", "link-open", "link-close"):
        assert owner_client.post(reverse(f"orders:{name}", args=[order.number])).status_code == 302
    told = reverse("orders:proof-approve", args=[order.number, 1])
    assert owner_client.post(told, {"name": "Maren"}).status_code == 302
    page = owner_client.get(reverse("orders:agreement", args=[order.number])).context["page"]
    assert page.approved.approved_by_name == "Maren"
    assert owner_client.get(reverse("orders:agreement", args=["9999"])).status_code == 404
    assert Client().get(reverse("orders:agreement", args=[order.number])).status_code == 302


def test_the_sheet_is_shown_before_any_version_is_made(owner_client, owner):
    order = build_order(by=owner)
    page = owner_client.get(reverse("orders:agreement", args=[order.number])).context["page"]
    assert (page.versions, page.sheet.bars, page.poured) == ((), 36, 40)


def test_what_is_on_the_list_and_goes_in_all_the_same_is_on_the_sheet(owner, workshop):
    """case-C91: the request is written down and answered on the sheet, before the deposit."""
    customer = build_customer(by=owner, avoid_groups=["palm", "nut"])
    order = build_order(by=owner, customer=customer)
    Material.objects.filter(name="Olive oil").update(avoid_groups=["nut"])
    proof = make_proof(order_id=order.pk, by=owner, today=DAY)
    assert (proof.frozen["made_without"], proof.frozen["on_your_list"]) == ([], ["Olive oil (the formula)"])


def test_the_avoid_list_is_answered_in_cautious_words(owner, workshop):
    customer = build_customer(by=owner, avoid_groups=["palm"])
    order = build_order(by=owner, customer=customer)
    proof = make_proof(order_id=order.pk, by=owner, today=DAY)
    assert proof.frozen["made_without"] == ["palm"]
    link = open_link(order_id=order.pk, expires_on=None, by=owner, today=workshop_today())
    words = Client().get(reverse("orders:customer-page", args=[link_key(link)])).content.decode()
    assert (
        "Made without, as you asked: palm. Other soaps, some with these things in them, are made in the same room."
        in words
    )
    assert "free from" not in words.lower()
    assert Decimal(proof.frozen["total"]) == Decimal("284.40")
