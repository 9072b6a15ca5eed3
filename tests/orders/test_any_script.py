"""Names and wording in any script: typed into forms, seen on pages, kept in files, and printed or refused by letter."""

import csv
import io

import pytest
from django.urls import reverse
from django.utils.html import escape

from orders.interchange.order_file import csv_text
from orders.interchange.reads import book_rows
from orders.order_states import OrderState
from tests.orders.money_builders import build_order

# Accents print; the typeface for paper has no sign for the others.
PRINTED = ("Pía Żółkowska-Åström", "Łucja & José “40”")
REFUSED = {"王小明 ♥ 小红": "王", "مريم وعلي": "م", "Ada 🧼 Odo": "🧼"}


def url(name: str, *args: object) -> str:
    return reverse(f"orders:{name}", args=args)


@pytest.mark.parametrize("words", (*PRINTED, *REFUSED))
def test_what_is_typed_survives_form_page_and_file(owner_client, owner, words):
    order = build_order(by=owner, stage=OrderState.ACCEPTED)
    line = order.lines.get()
    edited = owner_client.post(url("customer-edit", order.customer_id), {"name": words})
    assert edited.status_code == 302
    form = owner_client.get(url("line-edit", order.number, line.pk)).context["form"]
    typed = {"bars": "36", "wording": words, "price_per_bar": "7.90", "seen_saves": form["seen_saves"].value()}
    assert owner_client.post(url("line-edit", order.number, line.pk), typed).status_code == 302
    for name in ("order", "agreement", "order-repeat"):
        page = owner_client.get(url(name, order.number)).content.decode()
        assert page.count(escape(words)) >= 2, name  # the customer's name and the wording
    assert escape(words) in owner_client.get(url("order-list")).content.decode()
    (row,) = csv.DictReader(io.StringIO(csv_text(book_rows())))
    assert (row["customer"], row["wording"]) == (words, words)


@pytest.mark.parametrize("words", (*PRINTED, *REFUSED))
def test_paper_prints_it_or_names_the_letter(owner_client, owner, words):
    order = build_order(by=owner, stage=OrderState.ACCEPTED)
    order.lines.update(wording=words)
    answer = owner_client.post(url("paper-issue", order.number), {"kind": "confirmation"}, follow=True)
    told = " ".join(str(message) for message in answer.context["messages"])
    if words in PRINTED:
        paper = order.papers.get()
        assert words in str(paper.frozen)
        assert owner_client.get(url("paper", paper.number))["content-type"] == "application/pdf"
    else:
        assert "The printed typeface has no sign for" in told
        assert REFUSED[words] in told
        assert not order.papers.exists()
