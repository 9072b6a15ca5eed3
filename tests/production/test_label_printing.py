"""Printing labels: judged, kept frozen, printed again to the last byte."""

import uuid
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from formulas.models import Material
from production.documents.label_records import LabelLayout
from production.documents.label_sheet import label_sheet_pdf
from production.labels.actions import print_labels, reprinted_pdf
from production.labels.choices import CodeToScan, Elsewhere, MakerRole
from production.labels.models import LabelPrint
from production.labels.reads import batch_for_labels, plain_ask
from production.labels.sheets import (
    TRIAL,
    LabelRefusal,
    frozen_label,
    label_from_json,
    label_to_json,
    prepare_label,
    trial_paper,
)
from soapshop.models import AuditEvent, Workshop
from soapshop.paper import PaperRefused
from tests.production.label_shop import TODAY, cut_from, released_batch, weighed_batch


def wish(finish="plain", **choices):
    return replace(plain_ask(finish, workshop=Workshop.current(), copies=2), **choices)


def printed(batch, by, *, reason="", typed_once=None, **choices):
    return print_labels(batch_id=batch.pk, ask=wish(**choices), reason=reason, on=TODAY, by=by, typed_once=typed_once)


def test_a_print_is_kept_with_who_how_many_and_what(owner, workshop):
    kept = printed(released_batch(owner), owner, finish="seal")
    assert (kept.finish, kept.stock_key, kept.copies, kept.printed_by) == ("seal", "letter-10", 2, owner)
    face = label_from_json(kept.frozen).paper.runs[0].face
    assert face.batch_number == "B26-001"
    assert face.maker_lines == ("Quarry Lane Soapworks", "12 Quarry Lane", "Elderford, OR 97000", "USA")
    assert AuditEvent.objects.filter(verb="print_labels").count() == 1


def test_a_frozen_label_reads_back_word_for_word(owner, workshop):
    batch = batch_for_labels().get(pk=released_batch(owner).pk)
    for market in ("us_soap", "eu"):
        prepared = prepare_label(batch, wish(market=market, hand_over=date(2026, 8, 1)), workshop=workshop, on=TODAY)
        label = frozen_label(prepared, reason="Ines asked.")
        assert label_from_json(label_to_json(label)) == label


def test_a_reprint_gives_the_same_bytes_whatever_changed_since(owner, workshop):
    batch = released_batch(owner)
    kept = printed(batch, owner, finish="seal")
    first = label_sheet_pdf(label_from_json(kept.frozen).paper)
    Material.objects.filter(name="Olive oil").update(label_name_us="Something else", has_confirmed_names=False)
    batch.design.name = "Another name"
    batch.design.save()
    workshop.maker_name = "Other people"
    workshop.save()
    batch.weighings.update(actual_grams=None, weighed_by=None, lot=None)
    again, is_same = reprinted_pdf(LabelPrint.objects.get(pk=kept.pk))
    assert is_same
    assert again == first


def test_the_same_form_sent_twice_prints_once(owner, workshop):
    batch, once = released_batch(owner), uuid.uuid4()
    first = printed(batch, owner, typed_once=once)
    assert printed(batch, owner, typed_once=once) == first
    assert printed(batch, owner, typed_once=uuid.uuid4()) != first
    assert LabelPrint.objects.count() == 2


def test_bars_that_are_not_released_are_not_labeled_for_sale(owner, workshop):
    batch = cut_from(weighed_batch(owner), owner)
    with pytest.raises(LabelRefusal, match="This batch is curing, not released"):
        printed(batch, owner)
    assert LabelPrint.objects.count() == 0


def test_a_trial_is_marked_outlined_and_kept_nowhere(owner, workshop):
    batch = batch_for_labels().get(pk=cut_from(weighed_batch(owner), owner).pk)
    paper = trial_paper(prepare_label(batch, wish(copies=40, start_position=8), workshop=workshop, on=TODAY))
    assert (paper.has_outlines, paper.runs[0].face.brand, paper.runs[0].copies) == (True, TRIAL, 3)
    assert label_sheet_pdf(paper).startswith(b"%PDF")
    assert LabelPrint.objects.count() == 0


def test_a_missing_maker_stops_with_the_mend(owner, workshop):
    batch = released_batch(owner)
    workshop.maker_name = ""
    workshop.save()
    with pytest.raises(LabelRefusal, match="Enter the workshop's name and address in the settings"):
        printed(batch, owner)


def test_an_open_question_needs_a_written_reason_that_is_kept(owner, workshop):
    batch = released_batch(owner)
    workshop.prints_street = False
    workshop.save()
    with pytest.raises(LabelRefusal, match="write down who decided what"):
        printed(batch, owner, reason="  ")
    kept = printed(batch, owner, reason="The county directory lists us. Ines")
    label = label_from_json(kept.frozen)
    assert label.reason == "The county directory lists us. Ines"
    assert [problem.code for problem in label.answered] == ["undecided_street"]


def test_a_stop_is_not_answered_by_a_reason(owner, workshop):
    with pytest.raises(LabelRefusal, match="needs bars of"):
        printed(released_batch(owner), owner, reason="The customer wants it.", net_weight="6 oz")


def test_choices_reach_the_label(owner, workshop):
    batch = released_batch(owner, best_from=date(2026, 7, 10), wording="For Ada & Leo")
    kept = printed(
        batch,
        owner,
        role=MakerRole.DISTRIBUTED_BY,
        code=CodeToScan.BATCH,
        wording="For Ada & Leo",
        net_weight="3.5 oz",
        offset_x_mm=Decimal("0.5"),
        start_position=3,
    )
    label = label_from_json(kept.frozen)
    face = label.paper.runs[0].face
    assert (face.wording, face.net_weight, face.qr_text) == ("For Ada & Leo", "Net Wt 3.5 oz (99 g)", "B26-001")
    assert (face.best_from, face.maker_lines[0]) == ("Best from Jul 10, 2026", "Distributed by Quarry Lane Soapworks")
    assert (label.paper.offset_x_mm, label.paper.start_position) == (Decimal("0.5"), 3)


def test_a_second_sticker_prints_once_it_is_said_where_the_rest_stands(owner, workshop):
    batch = released_batch(owner, wording="For Ada & Leo")
    sticker = {"layout": LabelLayout.WORDS, "stock": "favor-letter", "wording": "For Ada & Leo"}
    with pytest.raises(LabelRefusal, match="This sticker carries the customer's words alone"):
        printed(batch, owner, **sticker)
    kept = printed(batch, owner, **sticker, elsewhere=Elsewhere.BOX)
    answered = [(problem.code, problem.mend) for problem in label_from_json(kept.frozen).answered]
    assert (kept.is_second, answered) == (True, [("second_sticker", "It stands on the box.")])


def test_what_is_not_there_is_refused(owner, workshop):
    batch = released_batch(owner)
    for choices in ({"finish": "moon"}, {"stock": "moon"}):
        with pytest.raises(LabelRefusal, match="Choose one of"):
            printed(batch, owner, **choices)


UNPRINTABLE_SHEETS = {
    "beyond the sheet": {"start_position": 11},
    "more than one print holds": {"copies": 601},
    "none": {"copies": 0},
    "a shift of 50 mm": {"offset_x_mm": Decimal(50)},
    "a list that does not fit": {"stock": "letter-30"},
}


def test_a_sheet_that_cannot_be_printed_is_refused_and_nothing_is_kept(owner, workshop):
    batch = released_batch(owner)
    for slip, choices in UNPRINTABLE_SHEETS.items():
        with pytest.raises(PaperRefused):
            pytest.fail(f"{slip} was printed: {printed(batch, owner, **choices)}")
    assert LabelPrint.objects.count() == 0


MARKUP = (
    "<script>alert(1)</script><img src=file:///etc/passwd>",
    "{{ settings.SECRET_KEY }} {% debug %}",
    "http://example.test/a?b=c&d",
)


def test_markup_is_printed_as_text(owner, workshop):
    batch = released_batch(owner)
    for words in MARKUP:
        kept = printed(batch, owner, wording=words)
        assert label_from_json(kept.frozen).paper.runs[0].face.wording == words


UNPRINTABLE_WORDS = {
    "right to left": "שלום לכולם",
    "a picture letter": "For Ada 🙂",
    "a sign that turns the line": "For\u202eAda",
    "a control sign": "For\x07Ada",
    "5,000 letters": "Ada " * 1250,
    "one word of 300 letters": "A" * 300,
}


def test_words_that_cannot_be_printed_are_refused_in_a_sentence(owner, workshop):
    batch = released_batch(owner)
    for slip, words in UNPRINTABLE_WORDS.items():
        with pytest.raises(PaperRefused, match=r"\."):
            pytest.fail(f"{slip} was printed: {printed(batch, owner, wording=words)}")
    assert LabelPrint.objects.count() == 0
