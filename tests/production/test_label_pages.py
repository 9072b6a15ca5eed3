"""The label pages: first lines, tabs, form, refusals that keep what was typed, papers, counts of queries."""

import re
import uuid
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from production.batches.actions.after_pour import hold_batch
from production.labels import views
from production.labels.models import LabelPrint, Printer, PrinterFit
from soapshop.actions import change_workshop
from soapshop.paper import PaperUnavailable
from tests.production.label_shop import TODAY, cut_from, planned_batch, released_batch, weighed_batch

MOST_QUERIES = 12


@pytest.fixture(autouse=True)
def _day(monkeypatch):
    """The pages ask the clock for the day; the bars of the test shop were cured in the summer of 2026."""
    monkeypatch.setattr(timezone, "localdate", lambda *_: TODAY)


def typed(**changes):
    filled = {
        "do": "print",
        "finish": "plain",
        "typed_once": str(uuid.uuid4()),
        "market": "us_soap",
        "style": "as_added",
        "stock": "letter-10",
        "copies": "2",
        "spares": "1",
        "start_position": "1",
        "net_weight": "",
        "hand_over": "2026-07-20",
        "wording": "",
        "has_list": "on",
        "role": "",
        "code": "",
        "offset_x_mm": "0",
        "offset_y_mm": "0",
        "panel_width_mm": "",
        "panel_height_mm": "",
        "reason": "",
    }
    return filled | changes


def page_of(batch):
    return reverse("production:batch-labels", args=[batch.number])


def text_of(response):
    return " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).split())


def test_the_list_says_what_can_be_printed_and_what_is_stopped(owner, owner_client):
    released_batch(owner)
    cut_from(weighed_batch(owner, name="Fern Hollow", with_parts=False), owner)
    response = owner_client.get(reverse("production:label-list"))
    assert response.context["lead"] == "12 labels can be printed now; 1 finish is stopped."
    assert [(row.number, [f.is_ready for f in row.finishes]) for row in response.context["rows"]] == [
        ("B26-001", [True, True, True]),
        ("B26-002", [False]),
    ]


def test_the_list_is_empty_with_a_word(owner_client):
    response = owner_client.get(reverse("production:label-list"))
    assert response.context["lead"] == "No bars wait for labels."


def test_the_list_can_be_narrowed(owner, owner_client):
    released_batch(owner)
    cut_from(weighed_batch(owner, name="Fern Hollow", with_parts=False), owner)
    seen = {}
    for shown in ("", "released", "waiting", "held", "moon"):
        response = owner_client.get(reverse("production:label-list"), {"show": shown, "page": "x"})
        seen[shown] = [row.number for row in response.context["rows"]]
    both = ["B26-001", "B26-002"]
    assert seen == {"": both, "released": both[:1], "waiting": both[1:], "held": [], "moon": both}


def test_bars_that_are_all_gone_leave_the_list(owner, owner_client):
    batch = released_batch(owner)
    for finish, bars in (("seal", 7), ("seal+shell", 3), ("plain", 2)):
        batch.bar_moves.create(finish=finish, from_state="packed", to_state="shipped", bars=bars, by=owner)
    assert owner_client.get(reverse("production:label-list")).context["rows"] == []


def test_the_list_asks_as_often_for_three_batches_as_for_one(owner, owner_client, django_assert_max_num_queries):
    released_batch(owner)
    with django_assert_max_num_queries(MOST_QUERIES + 1) as first:  # with parts made of materials of their own
        owner_client.get(reverse("production:label-list"))
    for name in ("Fern Hollow", "Morning Slate"):
        cut_from(weighed_batch(owner, name=name, with_parts=False), owner)
    with django_assert_max_num_queries(len(first.captured_queries)):
        owner_client.get(reverse("production:label-list"))
    with django_assert_max_num_queries(7):
        owner_client.get(reverse("production:label-list"))


def test_a_batch_page_asks_little_with_a_stock_of_the_shop_and_a_measured_printer(
    owner, owner_client, django_assert_max_num_queries
):
    batch = released_batch(owner, with_parts=False)
    for name in ("Desk", "Cellar"):
        fit = dict.fromkeys(("first_x_mm", "first_y_mm", "last_x_mm", "last_y_mm"), "0.5")
        PrinterFit.objects.create(printer=Printer.objects.create(name=name), stock_key="letter-10", **fit)
    with django_assert_max_num_queries(MOST_QUERIES):
        prepared = owner_client.get(page_of(batch)).context["prepared"]
    assert (prepared.paper.offset_x_mm, prepared.paper.scale_x) == (Decimal("0.5"), 1)


def test_what_was_judged_is_judged_anew_once_something_changed(owner, owner_client):
    batch = released_batch(owner)

    def shown():
        row = owner_client.get(reverse("production:label-list")).context["rows"][0]
        return [finish.stop.code if finish.stop else "" for finish in row.finishes]

    assert shown() == ["", "", ""]
    change_workshop(wanted={"maker_name": ""}, by=owner)
    assert shown() == ["missing_name_and_place"] * 3
    change_workshop(wanted={"maker_name": "Quarry Lane Soapworks"}, by=owner)
    hold_batch(batch_id=batch.pk, reason="smells odd", by=owner)
    assert shown() == ["on_hold"] * 3


def test_a_batch_page_shows_its_finishes_the_list_and_the_weight(owner, owner_client):
    response = owner_client.get(page_of(released_batch(owner)))
    assert [(tab.name, tab.is_here) for tab in response.context["tabs"]] == [
        ("Seal (7)", True),
        ("Seal + Shell (3)", False),
        ("Plain (2)", False),
    ]
    assert response.context["lead"] == "Labels for 7 bars can be printed."
    assert response.context["prepared"].net.text == "Net Wt 4.15 oz (117 g)"
    assert response.context["may_print"]


def test_a_page_of_a_batch_that_is_not_there(owner_client):
    for name in ("batch-labels", "label-working", "label-declaration"):
        assert owner_client.get(reverse(f"production:{name}", args=["B99-999"])).status_code == 404
    assert owner_client.get(reverse("production:label-print", args=["B99-999", 1])).status_code == 404


def test_printing_keeps_the_labels_and_leads_back_to_them(owner, owner_client):
    batch = released_batch(owner)
    response = owner_client.post(page_of(batch), typed(), follow=True)
    kept = LabelPrint.objects.get()
    assert (kept.copies, kept.printed_by) == (3, owner)
    assert response.context["lead"] == "3 labels printed for 2 bars."
    assert response.redirect_chain[0][0].endswith(f"?finish=plain&printed={kept.pk}#prints")


def test_a_double_click_prints_once(owner, owner_client):
    batch, form = released_batch(owner), typed()
    owner_client.post(page_of(batch), form)
    owner_client.post(page_of(batch), form)
    assert LabelPrint.objects.count() == 1


def test_a_maker_prints_as_well(owner, maker, maker_client):
    maker_client.post(page_of(released_batch(owner)), typed())
    assert LabelPrint.objects.get().printed_by == maker


def test_a_print_opens_again_as_the_same_sheet(owner, owner_client):
    batch = released_batch(owner)
    owner_client.post(page_of(batch), typed())
    kept = LabelPrint.objects.get()
    address = reverse("production:label-print", args=[batch.number, kept.pk])
    first, second = owner_client.get(address), owner_client.get(address)
    assert first.content == second.content
    assert first["Content-Type"] == "application/pdf"
    assert first["Content-Disposition"] == f'inline; filename="labels-b26-001-{kept.pk}.pdf"'
    assert owner_client.get(reverse("production:label-print", args=["B26-777", kept.pk])).status_code == 404


def test_a_sheet_that_would_look_different_says_so_first(owner, owner_client):
    batch = released_batch(owner)
    owner_client.post(page_of(batch), typed())
    LabelPrint.objects.update(sha256="0" * 64)
    address = reverse("production:label-print", args=[batch.number, LabelPrint.objects.get().pk])
    assert owner_client.get(address).status_code == 409
    assert owner_client.get(address, {"layout": "new"})["Content-Type"] == "application/pdf"


NONSENSE = {
    "words for a number": {"copies": "lots"},
    "a huge number": {"copies": "99999999999999999999"},
    "nothing": {"copies": ""},
    "less than nothing": {"copies": "-3"},
    "too many with spares": {"copies": "600", "spares": "9"},
    "beyond the sheet": {"start_position": "11"},
    "an absurd shift": {"offset_x_mm": "1e400"},
    "no number": {"offset_x_mm": "NaN"},
    "half a face": {"panel_width_mm": "85"},
    "no day": {"hand_over": "someday"},
    "no such stock": {"stock": "moon"},
    "no such market": {"market": "mars"},
    "wording of nobody": {"wording": "never asked for"},
    "a long weight": {"net_weight": "x" * 500},
    "a weight that does not hold": {"net_weight": "9 oz"},
    "a null sign": {"net_weight": "\x00"},
    "a list that does not fit": {"stock": "letter-30"},
    "a long reason": {"reason": "x" * 401},
    "a sticker of words with nowhere for the rest": {"elsewhere": "", "layout": "words"},
    "choices that are not there": {"role": "ghost", "code": "ghost"},
}


def test_nonsense_is_a_sentence_and_what_was_typed_stays(owner, owner_client):
    """Each slip on its own: the page comes back, a field says what is wrong, the box keeps what was typed."""
    page = page_of(released_batch(owner))
    seen = {}
    for slip, changes in NONSENSE.items():
        response = owner_client.post(page, typed(**changes))
        name, value = next(iter(changes.items()))
        form = response.context["form"]
        seen[slip] = (response.status_code, bool(form.errors), form[name].value() == value)
    assert seen == dict.fromkeys(NONSENSE, (200, True, True))
    assert LabelPrint.objects.count() == 0


def test_an_empty_form_is_no_server_error(owner, owner_client):
    assert owner_client.post(page_of(released_batch(owner)), {}).status_code == 200


def test_showing_again_prints_nothing(owner, owner_client):
    response = owner_client.post(page_of(released_batch(owner)), typed(do="look", net_weight="3.5 oz"))
    assert response.context["prepared"].net.text == "Net Wt 3.5 oz (99 g)"
    assert LabelPrint.objects.count() == 0


def test_a_trial_is_a_paper_and_no_print(owner, owner_client):
    batch = cut_from(weighed_batch(owner), owner)
    response = owner_client.post(page_of(batch), typed(do="trial"))
    assert response["Content-Disposition"] == 'inline; filename="trial-b26-001-plain.pdf"'
    assert LabelPrint.objects.count() == 0


def test_stopped_labels_show_why_and_offer_no_print(owner, owner_client, workshop):
    batch = planned_batch(owner)
    workshop.maker_name = ""
    workshop.save()
    response = owner_client.get(page_of(batch))
    found = {finding.text: (finding.url, finding.link) for finding in response.context["findings"]}
    assert found["The label has no name and place of business."] == ("/settings/", "Open the settings")
    assert not response.context["may_print"]
    assert 'value="print"' not in response.content.decode()
    refused = owner_client.post(page_of(batch), typed())
    assert refused.context["form"].non_field_errors()


def test_an_open_question_shows_the_box_for_a_reason(owner, owner_client, workshop):
    workshop.prints_street = False
    workshop.save()
    batch = released_batch(owner)
    assert "Say who decided" in owner_client.get(page_of(batch)).context["lead"]
    assert owner_client.post(page_of(batch), typed()).context["form"].non_field_errors()
    owner_client.post(page_of(batch), typed(reason="Listed in the county directory. Ines"))
    assert LabelPrint.objects.get().frozen["reason"] == "Listed in the county directory. Ines"


def test_a_batch_without_bars_says_so(owner, owner_client):
    batch = cut_from(weighed_batch(owner, with_parts=False), owner)
    batch.bar_moves.create(finish="plain", from_state="in_cure", to_state="spoiled", bars=12, by=owner)
    assert "This batch has no bars to label." in text_of(owner_client.get(page_of(batch)))
    assert owner_client.get(reverse("production:label-working", args=[batch.number])).status_code == 404


def test_the_working_page_follows_market_style_and_finish(owner, owner_client):
    batch = released_batch(owner)
    address = reverse("production:label-working", args=[batch.number])
    asked = {"finish": "seal+shell", "market": "eu", "style": "as_resulting"}
    response = owner_client.get(address, asked)
    assert response.context["lead"] == "11 names for 3 bars, 1 of them a fragrance allergen."
    assert response.context["balance_words"] == "The balance closes: all that went in is accounted for."
    nonsense = owner_client.get(address, {"finish": "moon", "market": "mars", "style": "?"})
    assert (nonsense.status_code, nonsense.context["finish"].key) == (200, "seal")


def test_the_ingredient_sheet_is_a_paper(owner, owner_client):
    batch = released_batch(owner)
    address = reverse("production:label-declaration", args=[batch.number])
    response = owner_client.get(address, {"finish": "seal", "market": "eu", "style": "as_resulting"})
    assert response["Content-Disposition"] == 'inline; filename="ingredients-b26-001-seal-eu.pdf"'
    assert response.content.startswith(b"%PDF")


def test_without_the_printing_library_a_page_says_what_to_install(owner, owner_client, monkeypatch):
    def unavailable(*_):
        raise PaperUnavailable("The Pango library is missing. Install it with: apt-get install libpango-1.0-0")

    batch = released_batch(owner)
    for name in ("print_beside", "print_labels", "new_sheet_pdf"):
        monkeypatch.setattr(views, name, lambda *_, **__: unavailable())
    for response in (
        owner_client.post(page_of(batch), typed(do="trial")),
        owner_client.post(page_of(batch), typed()),
        owner_client.get(reverse("production:label-declaration", args=[batch.number])),
    ):
        assert response.status_code == 503
        assert "apt-get install libpango-1.0-0" in text_of(response)


def test_hostile_words_are_shown_as_text(owner, owner_client):
    words = '</text><script>alert("x")</script>'
    batch = released_batch(owner, wording=words)
    page = owner_client.get(page_of(batch)).content.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;" in page


def test_the_first_line_of_an_empty_list(owner, owner_client):
    page = owner_client.get(reverse("production:label-list"))
    assert page.context["lead"] == "No bars wait for labels."
    batch = released_batch(owner)
    page = owner_client.get(reverse("production:label-list"))
    assert page.context["rows"][0].number == batch.number
