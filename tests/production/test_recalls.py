"""Recalls and drills: the clock, the hold, who was told, the record kept; and the pages that show them."""

import json
from datetime import date
from io import StringIO

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from production.bar_ledger import BarState
from production.batch_states import BatchState
from production.batches.models import Batch
from production.cure.actions.packing import hand_over, pack_order
from production.cure.actions.reserving import allocate_bars
from production.lot_states import LotState
from production.stock.models import Lot
from production.tracing.actions import (
    RecallRefusal,
    finish_recall,
    hold_what_is_named,
    note_contact,
    start_drill,
    start_recall,
)
from production.tracing.models import Recall
from tests.production.cure_builders import make_cut, make_design, make_order, make_released
from tests.production.pdf_reading import page_texts

DAY = date(2026, 4, 20)


@pytest.fixture
def sold(owner, workshop):
    """Six bars of one batch of eleven handed over to one customer."""
    order = make_order(make_design(owner), 6, needed_by=date(2026, 6, 1), by=owner)
    made = make_released(make_cut(order, by=owner), by=owner)
    allocate_bars(order_id=order.pk, today=DAY, by=owner)
    pack_order(order_id=order.pk, by=owner, on=DAY)
    hand_over(order_id=order.pk, by=owner, on=DAY)
    return order, made


@pytest.fixture
def code(sold):
    return sold[1].weighings.get(material__key="olive").lot.code


def begin(owner, typed, **more):
    told = {"kind": "recall", "trigger": "supplier", "reason": "Metal found in the drum.", **more}
    return start_recall(typed=typed, by=owner, **told)


def state_of(made):
    return Batch.objects.get(pk=made.pk).state


def test_a_recall_stops_the_lot_and_every_bar_made_from_it(sold, code, owner):
    _, made = sold
    recall = begin(owner, code)
    assert recall.number.startswith("R")
    assert hold_what_is_named(recall_id=recall.pk, on=DAY, by=owner) == (code, made.number)
    assert Lot.objects.get(code=code).state == LotState.HELD
    assert state_of(made) == BatchState.HELD
    assert hold_what_is_named(recall_id=recall.pk, on=DAY, by=owner) == ()


def test_case_c75_a_faulty_cap_stops_the_stock_and_leaves_the_soap(sold, code, owner):
    _, made = sold
    recall = begin(owner, code, scope="stock", reason="The cap may leak.")
    assert hold_what_is_named(recall_id=recall.pk, on=DAY, by=owner) == (code,)
    assert state_of(made) == BatchState.RELEASED


def test_a_drill_stops_nothing_and_keeps_its_time_and_what_was_found(sold, owner):
    order, made = sold
    drill = start_drill(by=owner)
    assert (drill.kind, drill.trigger) == ("drill", "practice")
    with pytest.raises(RecallRefusal):
        hold_what_is_named(recall_id=drill.pk, on=DAY, by=owner)
    done = finish_recall(recall_id=drill.pk, words="All bars found.", bars_counted=5, by=owner)
    assert done.seconds_taken is not None
    assert done.found["bars"]["made"] == 12
    assert done.found["bars"]["not_accounted"] == 0
    assert [call["order"] for call in done.found["orders"]] == [order.number]
    assert [row["number"] for row in done.found["went_into"]["batches"]] == [made.number]
    with pytest.raises(RecallRefusal):
        finish_recall(recall_id=drill.pk, words="Again.", by=owner)


def test_a_drill_needs_a_lot_that_went_into_something(owner, workshop):
    with pytest.raises(RecallRefusal, match="nothing to practice on"):
        start_drill(by=owner)


def test_customers_told_stay_on_the_record(sold, code, owner):
    order, _ = sold
    recall = begin(owner, code)
    note_contact(recall_id=recall.pk, order_number=order.number, way="phone", by=owner)
    note_contact(recall_id=recall.pk, order_number=order.number, way="email", answer="Sent back", bars_back=4, by=owner)
    assert [(row.way, row.has_answered, row.bars_back) for row in recall.contacts.all()] == [
        ("phone", False, 0),
        ("email", True, 4),
    ]
    with pytest.raises(RecallRefusal, match="no order"):
        note_contact(recall_id=recall.pk, order_number="9", way="phone", by=owner)


def test_only_an_owner_closes_a_recall_in_earnest_but_a_maker_a_drill(sold, code, owner, maker):
    recall, drill = begin(owner, code), start_drill(by=maker)
    with pytest.raises(RecallRefusal, match="Only an owner"):
        finish_recall(recall_id=recall.pk, words="Done.", by=maker)
    assert not finish_recall(recall_id=drill.pk, words="Done.", by=maker).is_open


def test_the_same_form_sent_twice_begins_one_recall(sold, code, owner_client, owner):
    page = owner_client.get(f"/trace/recalls/new/?what={code}")
    typed = {
        "typed": code,
        "trigger": "own",
        "scope": "soap",
        "reason": "Smells off.",
        "typed_once": page.context["form"]["typed_once"].value(),
    }
    first, second = (owner_client.post("/trace/recalls/new/", typed) for _ in range(2))
    assert first.url == second.url
    assert Recall.objects.count() == 1


@pytest.mark.parametrize("nonsense", ({}, {"typed": "L00-0", "reason": "x", "trigger": "own", "scope": "soap"}))
def test_a_recall_of_nothing_is_refused_on_the_page(owner_client, nonsense):
    answer = owner_client.post("/trace/recalls/new/", nonsense)
    assert answer.status_code == 422
    assert not Recall.objects.exists()


def test_the_whole_way_by_the_pages(sold, code, owner_client, owner):
    order, made = sold
    page = owner_client.get("/trace/", {"what": code})
    assert made.number in page.content.decode()
    assert page.context["trace"].bars.shipped == 6
    begun = owner_client.post("/trace/drills/new/")
    drill = Recall.objects.get()
    assert begun.url == f"/trace/recalls/{drill.number}/"
    told = {"contact-order_number": order.number, "contact-way": "phone", "contact-bars_back": "two"}
    refused = owner_client.post(f"{begun.url}told/", told)
    assert refused.status_code == 422
    assert "two" in refused.content.decode()
    assert owner_client.post(f"{begun.url}told/", told | {"contact-bars_back": "2"}).status_code == 302
    assert owner_client.post(f"{begun.url}finish/", {"finish-words": ""}).status_code == 422
    assert owner_client.post(f"{begun.url}finish/", {"finish-words": "All found."}).status_code == 302
    shown = owner_client.get(begun.url).content.decode()
    assert "All found." in shown
    record = " ".join(page_texts(owner_client.get(f"{begun.url}record.pdf").content))
    assert {drill.number, order.number, "Accounted"} <= set(record.split())


def test_the_paper_of_a_trace_names_what_the_page_names(sold, code, owner_client):
    order, made = sold
    text = " ".join(page_texts(owner_client.get("/trace/paper.pdf", {"what": code}).content)).split()
    assert {code, order.number, made.number} <= set(text)


@pytest.mark.parametrize("typed", ("L00-0", "<script>", "\0", "1" * 300, "4-5"))
def test_nonsense_in_the_search_box_is_answered_in_a_sentence(owner_client, typed):
    answer = owner_client.get("/trace/", {"what": typed})
    assert answer.status_code == 404
    assert "<script>" not in answer.content.decode().split("<main", 1)[1]
    assert owner_client.get("/trace/paper.pdf", {"what": typed}).status_code == 302


@pytest.mark.parametrize("path", ("/trace/recalls/R00-1/", "/trace/recalls/R00-1/record.pdf"))
def test_a_recall_that_is_not_there_is_not_found(owner_client, path):
    assert owner_client.get(path).status_code == 404


def told(*args):
    out = StringIO()
    call_command("trace", *args, stdout=out)
    return out.getvalue()


def test_the_command_tells_figures_as_json(sold, code):
    order, made = sold
    figures = json.loads(told(code, "--json"))
    assert figures["bars"] == {
        "made": 12,
        "places": {BarState.RELEASED.value: 5, BarState.SHIPPED.value: 6, BarState.SPOILED.value: 1},
        "here": 5,
        "kept_for_orders": 0,
        "handed_over": 6,
        "given_away": 0,
        "spoiled_or_tested": 1,
        "accounted": 12,
        "not_accounted": 0,
    }
    assert [(call["order"], call["handed_over"]) for call in figures["orders"]] == [(order.number, 6)]
    back = json.loads(told(made.number, "--json"))
    assert code in [row["code"] for row in back["came_from"]["lots"]]


def test_the_command_tells_a_person_in_lines(sold, code):
    order, made = sold
    lines = told(code).splitlines()
    assert lines[1] == f"  in {made.number} Dune, released: 12 made, 6 handed over"
    assert lines[2] == f"  tell order {order.number} Mara Velden (no way to reach them noted): 6 handed over, 0 kept"


def test_the_command_refuses_what_is_not_there(sold):
    with pytest.raises(CommandError) as refusal:
        told("L00-0")
    assert refusal.value.returncode == 2
