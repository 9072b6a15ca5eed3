"""The front door: what it says first, what it shows, and that it neither writes nor asks the database too often."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from django.utils.html import strip_tags

from orders.actions import LineWish, create_order, move_order
from orders.models import Customer, Order
from orders.order_states import OrderState
from production.batches.actions.after_pour import clear_hold, hold_batch
from production.batches.actions.bench import start_batch
from production.batches.actions.cancelling import cancel_batch
from production.batches.actions.planning import plan_batches
from production.batches.models import Batch, StepRecord
from production.today.actions import refresh_risks
from production.today.reads import today_page
from soapshop.clock import workshop_today
from soapshop.models import AuditEvent, Workshop
from tests.production.cure_builders import make_cut, make_design, make_order, make_ready, make_released
from tests.production.stores_shop import lot

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def today(workshop):
    return workshop_today()


def lead(client: Client) -> str:
    html = client.get(reverse("production:today")).content.decode()
    found = html.split('<p class="lead">')[1].split("</p>")[0]
    return " ".join(strip_tags(found).replace("&nbsp;", " ").split())


def fill_shelf(batch: Batch, by, on: date) -> None:
    for line in batch.weighings.all():
        lot(by, str(line.planned_grams + 1), of=line.material, on=on)


def test_a_quiet_day(owner_client):
    assert lead(owner_client) == "No step is due at the bench; no order is at risk."
    assert "Nothing calls for hands today." in owner_client.get("/").content.decode()


def test_steps_due_by_hours_of_effort(owner_client, owner, today):
    order = make_order(make_design(owner), 10, needed_by=today + 90 * DAY, by=owner)
    batch = plan_batches(order_id=order.pk, today=today, by=owner, pour_on=today)[0]
    pour = batch.steps.get(key="pour")
    due = list(batch.steps.filter(position__lte=pour.position))
    late = sum(1 for step in due if step.last_on < today)
    minutes = sum(step.minutes for step in due)
    hours, rest = divmod(minutes, 60)
    effort = f"{hours} h {rest} min" if rest else f"{hours} h"
    assert lead(owner_client) == f"{effort} at the bench in {len(due)} steps, {late} of them late; no order is at risk."


def test_a_ticked_step_leads_back_and_is_gone(owner_client, owner, today):
    order = make_order(make_design(owner), 10, needed_by=today + 90 * DAY, by=owner)
    batch = plan_batches(order_id=order.pk, today=today, by=owner, pour_on=today)[0]
    step = StepRecord.objects.get(batch=batch, key="gather")
    address = reverse("production:step-tick", args=[batch.number, step.pk])
    assert address in owner_client.get("/").content.decode()
    assert owner_client.post(address, {"back": "today"}).url == "/"
    assert address not in owner_client.get("/").content.decode()


def test_a_pour_is_not_ticked_but_done_at_the_bench(owner_client, owner, today):
    order = make_order(make_design(owner), 10, needed_by=today + 90 * DAY, by=owner)
    batch = plan_batches(order_id=order.pk, today=today, by=owner, pour_on=today)[0]
    pour = StepRecord.objects.get(batch=batch, key="pour")
    assert reverse("production:step-tick", args=[batch.number, pour.pk]) not in owner_client.get("/").content.decode()


def test_a_begun_batch_names_its_next_line(owner, workshop, today):
    order = make_order(make_design(owner), 10, needed_by=today + 90 * DAY, by=owner)
    batch = plan_batches(order_id=order.pk, today=today, by=owner, pour_on=today)[0]
    assert today_page(workshop=workshop, today=today).begun == ()
    start_batch(batch_id=batch.pk, by=owner)
    begun = today_page(workshop=workshop, today=today).begun[0]
    first = batch.weighings.first()
    assert (begun.next_line.material, begun.next_line.grams, begun.lines_left) == (
        first.material.name,
        first.planned_grams,
        batch.weighings.count(),
    )


def test_bars_to_review_and_released_bars_without_an_order(owner, workshop, today):
    design = make_design(owner)
    order = make_order(design, 4, needed_by=today + 90 * DAY, by=owner)
    batch = make_cut(order, by=owner, poured_on=today - 43 * DAY)
    page = today_page(workshop=workshop, today=today)
    assert ([each.number for each in page.cured], page.to_review, page.free_bars) == ([batch.number], (), ())
    make_ready(batch, by=owner)
    page = today_page(workshop=workshop, today=today)
    assert ([each.number for each in page.to_review], page.bars_to_review) == ([batch.number], 11)


def test_free_bars_are_those_no_open_order_expects(owner, workshop, today):
    order = make_order(make_design(owner), 4, needed_by=today + 90 * DAY, by=owner)
    batch = make_released(make_cut(order, by=owner, poured_on=today - 43 * DAY), by=owner)
    # 11 good bars, 4 of them for the order: 7 lie free (worked by hand).
    assert [(free.number, free.bars) for free in today_page(workshop=workshop, today=today).free_bars] == [
        (batch.number, 7)
    ]


def test_orders_at_risk_are_judged_fresh_and_nothing_is_written(owner_client, owner, today):
    order = make_order(make_design(owner), 10, needed_by=today + 20 * DAY, by=owner)
    Order.objects.filter(pk=order.pk).update(is_at_risk=False, risk_text="")
    before = AuditEvent.objects.count()
    html = owner_client.get("/").content.decode()
    assert "10 bars of Dune are in no batch" in html
    order.refresh_from_db()
    assert (order.is_at_risk, AuditEvent.objects.count()) == (False, before)


def test_what_leaves_within_the_week(owner, workshop, today):
    design = make_design(owner)
    soon = make_order(design, 4, needed_by=today + 7 * DAY, by=owner)
    make_order(design, 4, needed_by=today + 8 * DAY, by=owner, customer="Orla Finch")
    assert [each.order for each in today_page(workshop=workshop, today=today).leaving] == [soon]


def test_enquiries_wait_for_an_answer(owner, workshop, today):
    design = make_design(owner)
    make_order(design, 4, needed_by=today + 90 * DAY, by=owner)
    buyer = Customer.objects.create(name="Orla Finch")
    asked = create_order(
        customer=buyer,
        terms={"needed_by": today + 90 * DAY},
        lines=[LineWish(design, 4), LineWish(design, 6)],
        by=owner,
    )
    assert today_page(workshop=workshop, today=today).enquiries == (asked,)


def test_shortages_name_the_next_pour(owner, workshop, today):
    order = make_order(make_design(owner), 10, needed_by=today + 90 * DAY, by=owner)
    batch = plan_batches(order_id=order.pk, today=today, by=owner, pour_on=today + DAY)[0]
    short = today_page(workshop=workshop, today=today).short
    assert {thing.shortage.batch for thing in short} == {batch.number}
    assert len(short) == batch.weighings.values("material").distinct().count()
    fill_shelf(batch, owner, today)
    assert today_page(workshop=workshop, today=today).short == ()


def test_hints_name_what_is_not_set(owner_client, workshop, today):
    hints = [hint.text for hint in today_page(workshop=workshop, today=today).hints]
    assert hints == ["No eyewash or tap is named.", "No emergency number is noted."]
    workshop.eyewash_place, workshop.emergency_number = "Sink by the door", "911"
    workshop.save()
    assert today_page(workshop=workshop, today=today).hints == ()
    bare = Workshop(name="x")
    assert len(today_page(workshop=bare, today=today).hints) == 4


def test_the_page_asks_the_same_for_one_row_and_for_three(owner_client, owner, today, django_assert_max_num_queries):
    counts = []
    for size in (1, 2):
        for number in range(size):
            design = make_design(owner, f"Dune {size}{number}")
            planned = make_order(design, 10, needed_by=today + 90 * DAY, by=owner, parts={"seal": 5})
            batch = plan_batches(order_id=planned.pk, today=today, by=owner, pour_on=today)[0]
            start_batch(batch_id=batch.pk, by=owner)
            make_order(design, 10, needed_by=today + 5 * DAY, by=owner)
            make_released(
                make_cut(
                    make_order(design, 4, needed_by=today + 90 * DAY, by=owner), by=owner, poured_on=today - 43 * DAY
                ),
                by=owner,
            )
        with django_assert_max_num_queries(12) as used:
            assert owner_client.get("/").status_code == 200
        counts.append(len(used))
    assert counts[0] == counts[1]


def risk_of(order: Order) -> tuple[bool, str]:
    return Order.objects.values_list("is_at_risk", "risk_text").get(pk=order.pk)


def test_planning_and_cancelling_judge_the_order_anew(owner, workshop, today):
    order = make_order(make_design(owner), 10, needed_by=today + 46 * DAY, by=owner)
    assert refresh_risks(today=today) == 1
    assert risk_of(order)[0]
    batch = plan_batches(order_id=order.pk, today=today, by=owner, pour_on=today)[0]
    assert risk_of(order) == (False, "")
    cancel_batch(batch_id=batch.pk, reason="The mold broke", by=owner, on=today)
    assert risk_of(order)[0]


def test_a_hold_and_its_end_judge_the_orders_anew(owner, workshop, today):
    order = make_order(make_design(owner), 10, needed_by=today + 90 * DAY, by=owner)
    batch = make_cut(order, by=owner, poured_on=today - 9 * DAY)
    assert risk_of(order) == (False, "")
    hold_batch(batch_id=batch.pk, reason="Smells odd", by=owner, on=today)
    is_at_risk, text = risk_of(order)
    assert is_at_risk
    assert text.startswith(f"{batch.number} is on hold (Smells odd); 10 bars of Dune hang on it.")
    clear_hold(batch_id=batch.pk, words="Titration clear", by=owner, on=today)
    assert risk_of(order) == (False, "")


def test_a_cut_with_too_few_bars_puts_the_order_at_risk(owner, workshop, today):
    order = make_order(make_design(owner), 10, needed_by=today + 90 * DAY, by=owner)
    batch = make_cut(order, by=owner, poured_on=today - 9 * DAY, bars={"plain": 8}, spoiled=4)
    assert risk_of(order)[1].startswith(f"{batch.number} gives 2 bars of Dune too few.")


def test_bars_of_one_batch_go_to_the_order_needed_first(owner, workshop, today):
    from production.batches.models import BatchFor

    design = make_design(owner)
    first = make_order(design, 6, needed_by=today + 80 * DAY, by=owner)
    later = make_order(design, 6, needed_by=today + 90 * DAY, by=owner, customer="Orla Finch")
    batch = make_cut(first, by=owner, poured_on=today - 9 * DAY, bars={"plain": 8}, spoiled=4)
    BatchFor.objects.create(batch=batch, line=later.lines.get(), bars=6)
    refresh_risks(today=today)
    assert (risk_of(first)[0], risk_of(later)[0]) == (False, True)
    assert risk_of(later)[1].startswith(f"{batch.number} gives 4 bars of Dune too few.")


def test_an_order_that_is_no_longer_promised_loses_its_mark(owner, workshop, today):
    order = make_order(make_design(owner), 10, needed_by=today + 5 * DAY, by=owner)
    refresh_risks(today=today)
    assert risk_of(order)[0]
    move_order(order_id=order.pk, to=OrderState.CANCELLED, by=owner, reason="Called off")
    refresh_risks(today=today)
    assert risk_of(order) == (False, "")


def test_the_daily_command_says_which_orders_are_at_risk(owner, workshop, today, capsys):
    order = make_order(make_design(owner), 10, needed_by=today + 5 * DAY, by=owner)
    call_command("refresh_risks")
    assert capsys.readouterr().out.splitlines()[0] == "1 order at risk."
    call_command("refresh_risks", "--json")
    import json

    found = json.loads(capsys.readouterr().out)["at_risk"]
    assert [each["order"] for each in found] == [order.number]
    assert Decimal(len(found)) == 1
