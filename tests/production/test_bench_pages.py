"""The pages of the bench by hand and by direct POST: next line, refusals that keep what was typed, nonsense."""

from datetime import date
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from formulas.actions.designs import save_route
from formulas.routes import usual_route
from production.batch_states import MOVES, BatchState
from production.batches.actions.bench import start_batch
from production.batches.actions.planning import plan_batches
from production.batches.models import Batch
from production.stock.actions import receive_lot
from tests.production.builders import (
    make_design,
    make_order,
    planned_batch,
    poured_batch,
    started_batch,
    weigh,
    weighed_batch,
)

NONSENSE = ("", "abc", "-5", "1e9", "99999999999999999999", "12.3.4", "½ tub", "\x00", "<b>7</b>")


def workshop_today() -> date:
    """The day in the workshop's own time zone, as the pages see it."""
    return timezone.localdate(timezone=ZoneInfo("America/Los_Angeles"))


def at(batch, name="batch", *more) -> str:
    return reverse(f"production:{name}", args=[batch.number, *more])


def said(response) -> str:
    return response.content.decode()


def messages_of(response) -> list[str]:
    return [str(message) for message in response.context["messages"]]


def test_the_page_shows_the_next_line_with_band_and_first_lot(owner, owner_client, workshop):
    batch, lots = started_batch(owner)
    line = batch.weighings.first()
    page = owner_client.get(at(batch))
    assert page.context["page"].next_line.weighing == line
    assert [lot.code for lot in page.context["page"].next_line.lots] == [lots[line.material_id]]


def test_after_weighed_the_next_line_is_there(owner, owner_client, workshop):
    batch, lots = started_batch(owner)
    first, second, *_ = batch.weighings.all()
    typed = {"lot": lots[first.material_id], "grams": str(first.planned_grams)}
    page = owner_client.post(at(batch, "batch-weigh", first.pk), typed, follow=True)
    assert page.context["page"].next_line.weighing == second


def test_the_first_lot_to_choose_is_the_first_to_go_out_of_date(owner, owner_client, workshop):
    batch, _ = started_batch(owner)
    line = batch.weighings.first()
    today = workshop_today()
    receive_lot(material=line.material, received_on=today, grams=Decimal(900), by=owner)
    soon = receive_lot(material=line.material, received_on=today, grams=Decimal(900), by=owner, expires_on=today)
    assert owner_client.get(at(batch)).context["page"].next_line.lots[0] == soon


def test_a_refused_weight_keeps_what_was_typed(owner, owner_client, workshop):
    batch, lots = started_batch(owner)
    line = batch.weighings.first()
    typed = {"lot": lots[line.material_id], "grams": "5"}
    page = owner_client.post(at(batch, "batch-weigh", line.pk), typed)
    assert page.status_code == 200
    assert page.context["weigh_form"]["grams"].value() == "5"
    assert "lies outside" in page.context["weigh_form"].non_field_errors()[0]
    assert 'value="5"' in said(page)


def test_a_line_weighed_in_another_tab_is_not_taken_for_the_next(owner, owner_client, workshop):
    batch, lots = started_batch(owner)
    line = batch.weighings.first()
    weigh(line, lots, owner)
    typed = {"lot": lots[line.material_id], "grams": str(line.planned_grams + 1)}
    page = owner_client.post(at(batch, "batch-weigh", line.pk), typed, follow=True)
    assert page.redirect_chain
    assert messages_of(page)[0].endswith("Undo that weighing first.")
    assert not page.context["weigh_form"].is_bound


@pytest.mark.parametrize("typed", NONSENSE)
def test_nonsense_on_the_scale_is_answered_in_a_sentence(owner, owner_client, workshop, typed):
    batch, lots = started_batch(owner)
    line = batch.weighings.first()
    page = owner_client.post(at(batch, "batch-weigh", line.pk), {"lot": lots[line.material_id], "grams": typed})
    assert page.status_code == 200
    assert page.context["weigh_form"].errors
    line.refresh_from_db()
    assert not line.is_weighed


@pytest.mark.parametrize("typed", NONSENSE)
def test_nonsense_as_a_lot_is_answered_in_a_sentence(owner, owner_client, workshop, typed):
    batch, _ = started_batch(owner)
    line = batch.weighings.first()
    page = owner_client.post(at(batch, "batch-weigh", line.pk), {"lot": typed, "grams": str(line.planned_grams)})
    assert page.status_code == 200
    assert page.context["weigh_form"].errors


FORMS = {
    "batch-extra": ("extra-lot", "extra-grams", "extra-what_happened"),
    "batch-pour": ("on", "in_molds", "reason"),
    "batch-cut": ("on", "finish_seal", "finish_plain", "spoiled", "mean_bar", "ends", "part_seal"),
    "batch-hold": ("hold-reason",),
    "batch-clear": ("clear-reason",),
    "batch-cancel": ("cancel-reason",),
}


@pytest.mark.parametrize("typed", NONSENSE)
@pytest.mark.parametrize("name", list(FORMS))
def test_nonsense_in_any_form_at_any_stage_never_breaks(owner, owner_client, workshop, name, typed):
    for batch in (planned_batch(owner),):
        for state in (BatchState.PLANNED, BatchState.IN_PROCESS, BatchState.POURED, BatchState.HELD):
            Batch.objects.filter(pk=batch.pk).update(status=state.value, held_from="in_process")
            page = owner_client.post(at(batch, name), dict.fromkeys(FORMS[name], typed), follow=True)
            assert page.status_code == 200


def test_a_pour_in_the_future_is_refused_and_kept(owner, owner_client, workshop):
    batch, _ = weighed_batch(owner)
    for day, sentence in (
        ("2999-01-01", "The year 2999 cannot be right. Check the day."),
        ("2090-01-01", "That day is still to come. Note it on the day it is done."),
        ("2019-01-01", "That is more than a year ago. Check the year."),
    ):
        page = owner_client.post(at(batch, "batch-pour"), {"on": day})
        assert page.context["pour_form"].errors["on"] == [sentence]
        assert page.context["pour_form"]["on"].value() == day


def test_a_second_click_on_pour_says_that_it_is_poured(owner, owner_client, workshop):
    batch, _ = weighed_batch(owner)
    typed = {"on": workshop_today().isoformat()}
    owner_client.post(at(batch, "batch-pour"), typed)
    page = owner_client.post(at(batch, "batch-pour"), typed, follow=True)
    assert messages_of(page)[-1] == "This batch already is poured. Nothing was changed."


def test_something_not_on_the_ticket_sent_twice_goes_in_once(owner, owner_client, workshop):
    batch, lots = started_batch(owner)
    olive = batch.weighings.get(material__key="olive")
    form = owner_client.get(at(batch)).context["extra_form"]
    typed = {
        "extra-lot": lots[olive.material_id],
        "extra-grams": "50",
        "extra-what_happened": "Slipped",
        "extra-typed_once": str(form["typed_once"].value()),
    }
    for _ in range(2):
        owner_client.post(at(batch, "batch-extra"), typed)
    assert batch.weighings.filter(phase="extra").count() == 1


def test_the_cut_form_keeps_counts_and_lays_the_bars(owner, owner_client, workshop):
    batch = poured_batch(owner)
    day = workshop_today().isoformat()
    page = owner_client.post(at(batch, "batch-cut"), {"on": day, "finish_seal": "ten"})
    assert page.context["cut_form"].errors["finish_seal"] == ["Type a whole number of bars."]
    assert page.context["cut_form"]["finish_seal"].value() == "ten"
    owner_client.post(at(batch, "batch-cut"), {"on": day, "finish_seal": "10", "finish_plain": "2"})
    batch.refresh_from_db()
    assert (batch.state, batch.bars_cut) == (BatchState.CURING, 12)


def test_unknown_batches_lines_and_steps_are_not_found(owner, owner_client, workshop):
    batch = planned_batch(owner)
    for url in (
        reverse("production:batch", args=["B99-999"]),
        reverse("production:batch-ticket", args=["B99-999"]),
    ):
        assert owner_client.get(url).status_code == 404
    for name in ("batch-start", "batch-pour", "batch-cut", "batch-hold", "batch-clear", "batch-cancel", "batch-extra"):
        assert owner_client.post(reverse(f"production:{name}", args=["B99-999"])).status_code == 404
    for pk in (999, 10**18, 10**30):
        for name in ("batch-weigh", "batch-leave-out", "step-tick", "deviation-decide"):
            assert owner_client.post(at(batch, name, pk)).status_code == 404
        assert owner_client.post(at(batch, "batch-undo", pk), {"undo-reason": "x"}, follow=True).status_code == 200


POSTS = {
    BatchState.IN_PROCESS: ("batch-start", {}),
    BatchState.POURED: ("batch-pour", {"on": "2026-05-12", "reason": "x"}),
    BatchState.CURING: ("batch-cut", {"on": "2026-05-12", "finish_plain": "3"}),
    BatchState.CANCELLED: ("batch-cancel", {"cancel-reason": "No"}),
    BatchState.HELD: ("batch-hold", {"hold-reason": "Look"}),
}
NOT_DRAWN = [
    (current, target)
    for current in BatchState
    for target in POSTS
    if target not in MOVES[current] and not (target == BatchState.CURING and current == BatchState.POURED)
]


@pytest.mark.parametrize(("current", "target"), NOT_DRAWN)
def test_rule_g12_no_direct_post_takes_a_way_that_is_not_drawn(owner, owner_client, workshop, current, target):
    batch = planned_batch(owner)
    Batch.objects.filter(pk=batch.pk).update(status=current.value)
    name, typed = POSTS[target]
    if "on" in typed:
        typed = typed | {"on": workshop_today().isoformat()}
    page = owner_client.post(at(batch, name), typed, follow=True)
    assert page.status_code == 200
    batch.refresh_from_db()
    assert batch.status == current.value


def test_a_maker_cannot_lift_a_hold_and_reads_why(owner, maker_client, workshop):
    batch, _ = started_batch(owner)
    maker_client.post(at(batch, "batch-hold"), {"hold-reason": "Wrong tub?"})
    page = maker_client.post(at(batch, "batch-clear"), {"clear-reason": "Looked"})
    assert page.context["clear_form"].non_field_errors() == [
        "Only an owner lifts a hold. Ask the owner to look at this batch."
    ]


def test_pages_ask_for_a_sign_in(client, owner, workshop):
    batch = planned_batch(owner)
    for url in (at(batch), at(batch, "batch-ticket"), reverse("production:bench"), reverse("production:plan")):
        assert client.get(url).status_code == 302


def queries(client, url) -> int:
    client.get(url)
    with CaptureQueriesContext(
        connection,
    ) as seen:
        assert client.get(url).status_code == 200
    return len(seen)


@pytest.mark.parametrize("name", ["bench", "plan"])
def test_lists_ask_the_same_few_questions_however_long_they_are(owner, owner_client, workshop, name):
    counts = []
    for number in range(3):
        design = make_design(owner, f"Moor {number}")
        save_route(design_id=design.pk, seen_saves=0, steps=usual_route(("seal",)), by=owner)
        order = make_order(owner, design, 10)
        plan_batches(order_id=order.pk, today=workshop_today(), by=owner)
        make_order(owner, design, 14)
        counts.append(queries(owner_client, reverse(f"production:{name}")))
    assert counts[0] == counts[2] <= 12


def test_the_batch_page_asks_few_questions(owner, owner_client, workshop):
    batch = planned_batch(owner)
    planned = queries(owner_client, at(batch))
    start_batch(batch_id=batch.pk, by=owner)
    assert max(planned, queries(owner_client, at(batch))) <= 14
