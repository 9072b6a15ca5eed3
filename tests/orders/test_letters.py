"""Letters: a draft, a look, one click. Nothing goes out before."""

from decimal import Decimal

import pytest
from django.core import mail
from django.urls import reverse

from orders.letters.actions import LetterRefused, send_letter
from orders.models import Order
from orders.order_states import OrderState
from orders.papers.actions import issue_paper
from tests.orders.money_builders import build_customer, build_order
from tests.orders.test_papers import DAY

LETTER = {"to": "maren@holloway.example", "subject": "Your bars, José & 小明", "body": "Dear Maren,\n\nthey cure."}


@pytest.fixture
def order(owner, workshop) -> Order:
    customer = build_customer(by=owner, email="maren@holloway.example")
    return build_order(by=owner, stage=OrderState.ACCEPTED, customer=customer)


def test_the_draft_names_what_is_due(owner_client, order):
    answer = owner_client.get(reverse("orders:letter", args=[order.number]), {"about": "due"})
    first = answer.context["form"].initial
    assert first["to"] == "maren@holloway.example"
    assert "the deposit of $142.20" in first["body"]


def test_looking_sends_nothing_and_the_click_sends_once(owner_client, order, django_capture_on_commit_callbacks):
    url = reverse("orders:letter", args=[order.number])
    seen = owner_client.post(url, LETTER)
    assert seen.context["seen"]["subject"] == LETTER["subject"]
    assert mail.outbox == []
    with django_capture_on_commit_callbacks(execute=True):
        assert owner_client.post(url, LETTER | {"step": "send"}).status_code == 302
    assert [(sent.to, sent.subject, sent.body) for sent in mail.outbox] == [
        (["maren@holloway.example"], LETTER["subject"], LETTER["body"])
    ]
    assert order.events.first().text == "E-mail to maren@holloway.example: Your bars, José & 小明."


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    (
        ("to", "nobody", "That is no e-mail address."),
        ("to", "", "To whom? Type an e-mail address."),
        ("subject", "", "A letter needs a subject."),
        ("body", "", "The letter is empty."),
    ),
)
def test_a_letter_that_cannot_go_is_kept_as_typed(owner_client, order, field, typed, sentence):
    answer = owner_client.post(reverse("orders:letter", args=[order.number]), LETTER | {field: typed, "step": "send"})
    assert answer.context["form"].errors[field] == [sentence]
    assert answer.context["seen"] is None
    assert mail.outbox == []


def test_a_paper_is_attached(owner, order, django_capture_on_commit_callbacks):
    paper = issue_paper(order_id=order.pk, kind="invoice", on=DAY, by=owner)
    with django_capture_on_commit_callbacks(execute=True):
        send_letter(order_id=order.pk, by=owner, paper=paper, **LETTER)
    name, content, kind = mail.outbox[0].attachments[0]
    assert (name, kind, content[:4]) == ("I-0001.pdf", "application/pdf", b"%PDF")


def test_a_paper_of_another_order_is_not_sent(owner, order):
    other = build_order(by=owner, stage=OrderState.ACCEPTED)
    paper = issue_paper(order_id=other.pk, kind="invoice", on=DAY, by=owner)
    with pytest.raises(LetterRefused, match="belongs to another order"):
        send_letter(order_id=order.pk, by=owner, paper=paper, **LETTER)


def test_a_line_break_in_the_subject_is_refused(owner, order):
    with pytest.raises(LetterRefused, match="The subject is one line"):
        send_letter(order_id=order.pk, by=owner, **LETTER | {"subject": "a\nBcc: x@y.example"})


def test_a_mail_server_that_is_away_is_said_and_noted(owner, order, settings, django_capture_on_commit_callbacks):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_TIMEOUT = "127.0.0.1", 1, 1
    with pytest.raises(LetterRefused, match="did not go out"), django_capture_on_commit_callbacks(execute=True):
        send_letter(order_id=order.pk, by=owner, **LETTER)
    assert order.events.first().text.startswith("The e-mail “Your bars, José & 小明” did not go out")


@pytest.mark.parametrize("about", ("sheet", "paper", "due", "late", "short", "ready", "poem", ""))
def test_every_draft_can_be_opened(owner_client, order, about):
    asked = {"about": about, "missing": "99999999", "choice": ["a later day"]}
    assert owner_client.get(reverse("orders:letter", args=[order.number]), asked).status_code == 200
    assert owner_client.get(reverse("orders:letter", args=["9999"])).status_code == 404
    assert order.lines.get().price_per_bar == Decimal("7.90")
