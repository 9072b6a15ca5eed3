"""Papers for customers: frozen, numbered without gaps, the same bytes again, unprintable letters named first."""

import io
from datetime import date
from decimal import Decimal

import pdfplumber
import pytest
from django.urls import reverse

from orders.actions import LineWish, change_line
from orders.models import Customer, Paper
from orders.money.actions import record_payment
from orders.money.payments import PaymentRefused
from orders.money.reads import account_now
from orders.order_states import OrderState
from orders.papers.actions import PaperIssueRefused, issue_paper
from orders.papers.documents import customer_paper_pdf
from orders.papers.records import CustomerPaper
from soapshop.frozen_json import from_json
from soapshop.models import NumberSeries
from tests.orders.money_builders import build_customer, build_order

DAY = date(2026, 5, 12)


def issue(order, kind: str, *, by, **more) -> Paper:
    return issue_paper(order_id=order.pk, kind=kind, on=DAY, by=by, **more)


def text_of(paper: Paper) -> str:
    pdf = customer_paper_pdf(from_json(CustomerPaper, paper.frozen))
    with pdfplumber.open(io.BytesIO(pdf)) as opened:
        return "\n".join(page.extract_text() for page in opened.pages)


def raise_bars(order, bars: int, *, by) -> None:
    line = order.lines.get()
    change_line(line_id=line.pk, wish=LineWish(line.design, bars, price_per_bar=line.price_per_bar), by=by)


def test_an_invoice_says_what_was_agreed_and_is_printed_again_alike(owner, workshop):
    order = build_order(by=owner, stage=OrderState.ACCEPTED)
    paper = issue(order, "invoice", by=owner)
    record = from_json(CustomerPaper, paper.frozen)
    assert customer_paper_pdf(record) == customer_paper_pdf(record)
    words = text_of(paper)
    for part in ("Invoice", "I-0001", "Maren Holloway", "Two Tides", "36", "$7.90", "$284.40", "Still to be paid"):
        assert part in words


def test_later_changes_never_reach_a_paper(owner, workshop):
    order = build_order(by=owner, stage=OrderState.ACCEPTED)
    paper = issue(order, "invoice", by=owner)
    before = text_of(paper)
    raise_bars(order, 40, by=owner)
    Customer.objects.update(name="Somebody Else")
    paper.refresh_from_db()
    assert text_of(paper) == before


def test_a_change_gets_a_new_paper_that_names_the_old(owner, workshop):
    order = build_order(by=owner, stage=OrderState.ACCEPTED)
    first = issue(order, "invoice", by=owner)
    with pytest.raises(PaperIssueRefused, match=r"^Nothing has changed since Invoice I-0001\. Print that one again\.$"):
        issue(order, "invoice", by=owner)
    raise_bars(order, 40, by=owner)
    second = issue(order, "invoice", by=owner)
    assert (second.number, second.replaces, second.amount) == ("I-0002", first, Decimal("316.00"))
    assert "This paper replaces I-0001 of May 12, 2026, which no longer counts." in text_of(second)


def test_numbers_have_no_gap_after_a_refusal(owner, workshop):
    order = build_order(by=owner, stage=OrderState.ACCEPTED)
    issue(order, "invoice", by=owner)
    for _ in range(3):
        with pytest.raises(PaperIssueRefused):
            issue(order, "invoice", by=owner)
    other = build_order(by=owner, stage=OrderState.ACCEPTED)
    assert issue(other, "invoice", by=owner).number == "I-0002"
    assert NumberSeries.objects.get(name="paper-invoice").last == 2


@pytest.mark.parametrize(
    ("name", "letter"),
    (
        pytest.param("王小明", "王", id="Chinese"),
        pytest.param("مريم", "م", id="Arabic"),
        pytest.param("Ada 🧼", "🧼", id="emoji"),
    ),
)
def test_letters_the_typeface_lacks_are_named_and_no_number_is_taken(owner, workshop, name, letter):
    order = build_order(by=owner, stage=OrderState.ACCEPTED, customer=build_customer(by=owner, name=name))
    with pytest.raises(PaperIssueRefused, match="The printed typeface has no sign for") as refusal:
        issue(order, "invoice", by=owner)
    assert letter in str(refusal.value)
    assert not NumberSeries.objects.filter(name="paper-invoice").exists()


def test_accents_are_printed(owner, workshop):
    customer = build_customer(by=owner, name="Pía Żółkowska-Åström", address="Çınar 4\nReykjavík")
    order = build_order(by=owner, stage=OrderState.ACCEPTED, customer=customer)
    words = text_of(issue(order, "confirmation", by=owner))
    assert "Pía Żółkowska-Åström" in words
    assert "Çınar 4" in words


@pytest.mark.parametrize(
    ("kind", "stage", "may"),
    (
        ("quote", OrderState.ENQUIRY, True),
        ("quote", OrderState.ACCEPTED, False),
        ("confirmation", OrderState.QUOTED, False),
        ("confirmation", OrderState.ACCEPTED, True),
        ("invoice", OrderState.QUOTED, False),
        ("packing_list", OrderState.ACCEPTED, True),
    ),
)
def test_which_paper_an_order_can_have(owner, workshop, kind, stage, may):
    order = build_order(by=owner, stage=stage)
    if may:
        assert issue(order, kind, by=owner).kind == kind
    else:
        with pytest.raises(PaperIssueRefused):
            issue(order, kind, by=owner)


def test_a_quote_says_until_when_it_is_good(owner, workshop):
    order = build_order(by=owner)
    words = text_of(issue(order, "quote", by=owner))
    assert "This quote is good until Jun 2, 2026." in words  # 21 days after May 12
    assert "Deposit to book it $142.20" in words


def test_a_packing_list_shows_no_price(owner, workshop):
    words = text_of(issue(build_order(by=owner, stage=OrderState.ACCEPTED), "packing_list", by=owner))
    assert "$" not in words
    assert "Packed by" in words


def test_one_receipt_for_one_payment(owner, workshop):
    order = build_order(by=owner, stage=OrderState.ACCEPTED)
    payment = record_payment(
        order_id=order.pk, kind="payment", on=DAY, amount=Decimal("142.20"), way="cash", by=owner, today=DAY
    )
    receipt = issue(order, "receipt", by=owner, payment_id=payment.pk)
    assert "Received $142.20" in text_of(receipt)
    with pytest.raises(PaperIssueRefused, match="That payment has its receipt, R-0001"):
        issue(order, "receipt", by=owner, payment_id=payment.pk)


def test_a_credit_note_lowers_what_is_asked_for(owner, workshop):
    order = build_order(by=owner, stage=OrderState.ACCEPTED)
    issue(order, "credit_note", by=owner, amount=Decimal("15.80"), words="Two bars short")
    assert account_now(order, today=DAY).standing.balance == Decimal("268.60")
    with pytest.raises(PaymentRefused, match=r"Only \$268\.60 is asked for"):
        issue(order, "credit_note", by=owner, amount=Decimal("268.61"), words="All of it and more")


def test_the_pages_make_and_print_a_paper(owner_client, owner):
    order = build_order(by=owner, stage=OrderState.ACCEPTED)
    owner_client.post(reverse("orders:paper-issue", args=[order.number]), {"kind": "invoice"})
    answer = owner_client.get(reverse("orders:paper", args=["I-0001"]))
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    assert answer.content.startswith(b"%PDF")


@pytest.mark.parametrize(
    "sent", ({}, {"kind": "poem"}, {"kind": "receipt", "payment_id": "x"}, {"kind": "credit_note"})
)
def test_nonsense_makes_no_paper(owner_client, owner, sent):
    order = build_order(by=owner, stage=OrderState.ACCEPTED)
    answer = owner_client.post(reverse("orders:paper-issue", args=[order.number]), sent, follow=True)
    assert answer.status_code == 200
    assert len(list(answer.context["messages"])) == 1
    assert not Paper.objects.exists()
