"""The plan of an order on its page and on the command line, and calling an order off with what stands behind it."""

import json
from datetime import date
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.actions import LineWish, add_line
from orders.order_states import OrderState
from production.batches.models import Batch
from tests.production.builders import make_customer, make_design, make_formula, make_mold, make_order, started_batch

NEXT_YEAR = date(2027, 8, 7)


def url(order, name="order-plan") -> str:
    return reverse(f"production:{name}", args=[order.number])


@pytest.fixture
def order(owner, workshop):
    return make_order(owner, make_design(owner), 10, needed_by=NEXT_YEAR)


def test_the_page_shows_grams_before_anything_is_planned(owner_client, order):
    page = owner_client.get(url(order)).context["page"]
    (pour,) = page.lines[0].proposal.pours
    assert pour.sized.plan.bars == 12
    assert not Batch.objects.exists()


def test_planning_from_the_page_makes_the_batches_and_a_second_click_says_so(owner_client, order):
    owner_client.post(url(order), {"pour_on": ""})
    assert Batch.objects.count() == 1
    page = owner_client.post(url(order), {"pour_on": ""})
    assert page.context["form"].non_field_errors() == [
        f"Every bar of {order} is in a batch already. There is nothing left to plan."
    ]
    assert Batch.objects.count() == 1


@pytest.mark.parametrize("typed", ["tomorrow", "2026-13-40", "9999-12-31", "0001-01-01", "1", "\x00", "2001-01-01"])
def test_a_pour_day_that_cannot_be_is_refused_and_kept(owner_client, order, typed):
    page = owner_client.post(url(order), {"pour_on": typed})
    assert page.status_code == 200
    assert page.context["form"].errors
    assert page.context["form"]["pour_on"].value() == typed
    assert not Batch.objects.exists()


def test_an_unapproved_formula_is_refused_on_the_page(owner, owner_client, workshop):
    design = make_design(owner, revision=make_formula(owner, "Draft", is_approved=False))
    refused = make_order(owner, design, 10, needed_by=NEXT_YEAR)
    sentence = "The formula Draft base has no approved revision. Approve one, then plan."
    assert sentence in owner_client.get(url(refused)).content.decode()
    assert owner_client.post(url(refused), {}).context["form"].non_field_errors() == [sentence]


def test_a_mold_that_is_not_owned_is_refused_on_the_page(owner, owner_client, workshop):
    refused = make_order(owner, make_design(owner, mold=make_mold(owned=0)), 10, needed_by=NEXT_YEAR)
    page = owner_client.post(url(refused), {})
    assert page.context["form"].non_field_errors() == [
        "No mold that you own gives this bar. Add a mold, or choose another bar size."
    ]


def test_what_the_customer_avoids_is_said_before_planning(owner, owner_client, workshop):
    design = make_design(owner)
    wary = make_customer(owner, "Odd Hansen", avoid_groups=["palm"])
    asked = make_order(owner, design, 10, needed_by=NEXT_YEAR, customer=wary)
    calm = make_order(owner, design, 10, needed_by=NEXT_YEAR)
    found = owner_client.get(url(asked)).context["page"].lines[0].hits
    assert [(hit.ingredient, hit.because) for hit in found] == [("Palm oil", "palm")]
    assert owner_client.get(url(calm)).context["page"].lines[0].hits == ()


def test_unknown_orders_are_not_found(owner_client, workshop):
    for name in ("order-plan", "order-cancel"):
        for answer in (
            owner_client.get(reverse(f"production:{name}", args=["9999"])),
            owner_client.post(reverse(f"production:{name}", args=["9999"])),
        ):
            assert answer.status_code == 404


def test_an_order_in_production_is_called_off_with_its_batches(owner, owner_client, order):
    owner_client.post(url(order), {})
    page = owner_client.get(reverse("orders:order-making", args=[order.number]))
    assert url(order, "order-cancel") in page.content.decode()
    behind = owner_client.get(url(order, "order-cancel")).context["behind"]
    assert [batch.number for batch in behind.cancelled] == list(Batch.objects.values_list("number", flat=True))
    refused = owner_client.post(url(order, "order-cancel"), {"reason": ""})
    assert refused.context["form"].errors["reason"] == ["Say in a few words why the order is cancelled."]
    owner_client.post(url(order, "order-cancel"), {"reason": "Moved away"})
    order.refresh_from_db()
    assert (order.state, Batch.objects.get().status) == (OrderState.CANCELLED, "cancelled")


def test_a_batch_at_the_bench_goes_on_when_its_order_is_called_off(owner, owner_client, workshop):
    batch, _ = started_batch(owner)
    order = batch.serves.get().line.order
    behind = owner_client.get(url(order, "order-cancel")).context["behind"]
    assert [each.pk for each in behind.going_on] == [batch.pk]
    owner_client.post(url(order, "order-cancel"), {"reason": "Moved away"})
    batch.refresh_from_db()
    assert batch.status == "in_process"


def test_an_order_not_in_production_offers_no_batches_to_cancel(owner_client, order):
    page = owner_client.get(reverse("orders:order-making", args=[order.number]))
    assert url(order, "order-cancel") not in page.content.decode()


def queries(client, address) -> int:
    client.get(address)
    with CaptureQueriesContext(connection) as seen:
        client.get(address)
    return len(seen)


def test_the_plan_of_an_order_asks_no_more_for_a_longer_one(owner, owner_client, workshop):
    design = make_design(owner)
    order = make_order(owner, design, 10, needed_by=NEXT_YEAR)
    one = queries(owner_client, url(order))
    for _ in range(2):
        add_line(order_id=order.pk, wish=LineWish(design, 5), by=owner)
    assert queries(owner_client, url(order)) == one


def run(*arguments) -> dict:
    out = StringIO()
    call_command("plan_order", *arguments, "--json", stdout=out)
    return json.loads(out.getvalue())


def test_the_worked_plan_of_36_favors_from_the_command_line(owner, workshop, settings):
    """Event June 14, in hand June 7, pour by April 23; 40 bars, 8 toppers, 40 seals.

    Two days to label and pack, 42 days of cure, 10 % spares, 25 % for toppers: common practice, no published source;
    days worked by hand (release June 4).
    """
    order = make_order(owner, make_design(owner), 36, parts={"seal": 36, "shell": 6}, needed_by=date(2027, 6, 7))
    found = run(order.number)
    (line,) = found["lines"]
    assert (found["needed_by"], found["pour_by"]) == ("2027-06-07", "2027-04-23")
    assert (line["bars_to_pour"], line["in_hand_on"], line["last_safe_pour"]) == (40, "2027-06-07", "2027-05-07")
    assert {part["part"]: part["pieces"] + part["spares"] for part in line["parts"]} == {"Seal": 40, "Shell": 8}


def test_the_command_makes_the_batches(owner, order):
    run(order.number, "--accept", "--by", "owner")
    assert [line["bars_open"] for line in run(order.number)["lines"]] == [0]
    assert Batch.objects.count() == 1


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    (
        (("9999",), "There is no order 9999. Look at the numbers on Orders."),
        (("1001", "--accept"), "Say who makes the batches: --by and a name used to sign in."),
        (
            ("1001", "--accept", "--by", "owner", "--pour-on", "2001-01-01"),
            "Jan 1, 2001 has passed. Pour today or later.",
        ),
    ),
)
def test_the_command_refuses_with_status_2_and_the_reason(order, arguments, sentence):
    with pytest.raises(CommandError) as refusal:
        call_command("plan_order", *arguments, stdout=StringIO())
    assert (refusal.value.returncode, str(refusal.value)) == (2, sentence)


def test_the_command_refuses_what_cannot_be_made_with_status_2(owner, workshop):
    design = make_design(owner, revision=make_formula(owner, "Draft", is_approved=False))
    refused = make_order(owner, design, 10, needed_by=NEXT_YEAR)
    with pytest.raises(CommandError) as refusal:
        call_command("plan_order", refused.number, stdout=StringIO())
    assert refusal.value.returncode == 2
    assert str(refusal.value) == "The formula Draft base has no approved revision. Approve one, then plan."
