"""Answers to what the rules leave open, and labels counted after they were used."""

import pytest
from django.urls import reverse

from production.labels.models import LabelAnswer, LabelCount, LabelPrint
from soapshop.models import AuditEvent
from tests.production.label_shop import released_batch
from tests.production.test_label_pages import page_of, typed

QUESTION = "undecided_street"


@pytest.fixture
def batch(owner, workshop):
    workshop.prints_street = False
    workshop.save()
    return released_batch(owner)


def answered(client, batch, **changes):
    given = {"finish": "seal", "market": "us_soap", "style": "as_added", "question": QUESTION, "answer": "In the book"}
    return client.post(reverse("production:label-answer", args=[batch.number]), given | changes, follow=True)


def levels(client, batch):
    found = client.get(page_of(batch)).context["prepared"]
    return [(problem.code, problem.level) for problem in found.problems if problem.code == QUESTION]


def test_an_answer_settles_its_question_with_who_decided(owner, owner_client, batch):
    assert levels(owner_client, batch) == [(QUESTION, "ask")]
    answered(owner_client, batch)
    kept = LabelAnswer.objects.get()
    assert (kept.answer, kept.decided_by, kept.design) == ("In the book", owner, batch.design)
    assert levels(owner_client, batch) == [(QUESTION, "note")]
    assert AuditEvent.objects.filter(verb="answer_question").count() == 1


def test_an_answered_question_needs_no_reason_and_is_frozen_with_the_print(owner_client, batch):
    answered(owner_client, batch)
    assert owner_client.post(page_of(batch), typed()).status_code == 302
    frozen = LabelPrint.objects.get().frozen["answered"]
    assert [problem["code"] for problem in frozen] == [QUESTION]
    assert "“In the book”" in frozen[0]["mend"]


def test_a_question_that_reads_differently_is_asked_again(owner_client, batch):
    answered(owner_client, batch)
    LabelAnswer.objects.update(asked="Something else was asked.")
    assert levels(owner_client, batch) == [(QUESTION, "ask")]


def test_an_answer_holds_for_its_market_alone(owner_client, batch):
    answered(owner_client, batch)
    LabelAnswer.objects.update(market="eu")
    assert levels(owner_client, batch) == [(QUESTION, "ask")]


@pytest.mark.parametrize(
    "changes",
    [{"question": "moon"}, {"answer": "x"}, {"answer": "y" * 401}, {"finish": "moon"}, {"question": ""}],
    ids=str,
)
def test_what_cannot_be_an_answer_is_refused_in_a_sentence(owner_client, batch, changes):
    response = answered(owner_client, batch, **changes)
    assert response.status_code == 200
    assert [message.level_tag for message in response.context["messages"]] == ["error"]
    assert LabelAnswer.objects.count() == 0


@pytest.fixture
def printed(owner_client, workshop, owner):
    batch = released_batch(owner)
    owner_client.post(page_of(batch), typed())
    return LabelPrint.objects.get()


def counted(client, printed, **figures):
    address = reverse("production:label-count", args=[printed.batch.number, printed.pk])
    return client.post(address, {"used": printed.copies - 2, "spoiled": 1, "left_over": 1, "words": ""} | figures)


def test_labels_that_add_up_are_counted(owner, owner_client, printed):
    assert counted(owner_client, printed).status_code == 302
    count = LabelCount.objects.get()
    assert (count.used, count.missing, count.counted_by) == (printed.copies - 2, 0, owner)
    assert f"{printed.copies - 2} on bars" in owner_client.get(page_of(printed.batch)).content.decode()


@pytest.mark.parametrize("left_over", ["0", "3"])
def test_labels_that_do_not_add_up_need_a_word(owner_client, printed, left_over):
    refused = counted(owner_client, printed, left_over=left_over)
    assert refused.context["form"].non_field_errors()
    assert LabelCount.objects.count() == 0
    assert counted(owner_client, printed, left_over=left_over, words="One fell in the lye").status_code == 302


def test_the_newest_count_holds_and_the_first_stays(owner_client, printed):
    counted(owner_client, printed)
    counted(owner_client, printed, used=printed.copies - 1, left_over=0)
    assert [count.used for count in printed.counts.all()] == [printed.copies - 1, printed.copies - 2]


@pytest.mark.parametrize("figures", [{"used": "x"}, {"used": "-1"}, {"spoiled": "9" * 30}, {"left_over": ""}], ids=str)
def test_nonsense_is_a_sentence(owner_client, printed, figures):
    response = counted(owner_client, printed, **figures)
    assert (response.status_code, bool(response.context["form"].errors)) == (200, True)
    assert LabelCount.objects.count() == 0


def test_a_print_that_is_not_there_is_not_found(owner_client, workshop):
    assert owner_client.get("/labels/B26-001/prints/99/count/").status_code == 404
    assert owner_client.post("/labels/B26-001/answers/").status_code == 404
