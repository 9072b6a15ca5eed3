"""Moving a batch by hand on the plan board, and the weight of an order in a plan."""

from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from production.batches.actions.bench import start_batch
from production.batches.actions.planning import plan_batches
from production.batches.models import Batch
from production.plan.actions.moving import PlanRefusal, move_pour, pin_batch, unpin_batch
from production.plan.models import OrderWeight, SpecialDay
from production.plan.records import shop_plan
from production.plan.wants import LineBars, open_finishes
from soapshop.models import AuditEvent
from tests.production.builders import make_design, make_order

pytestmark = pytest.mark.django_db


def test_what_still_wants_bars_of_a_finish_never_exceeds_what_the_line_lacks():
    """36 bars: 6 with a topper, 30 plain; 8 plain and 2 with the topper lie with the line, worked by hand."""
    asked = {"topper": 6, "plain": 30}
    there = LineBars(10)
    there.by_finish.update({"topper": 2, "plain": 8})
    assert open_finishes(asked, there) == {"topper": 4, "plain": 22}
    other = LineBars(34)
    other.by_finish.update({"seal": 34})
    assert open_finishes(asked, other) == {"topper": 2}
    assert open_finishes(asked, LineBars(36)) == {}


@pytest.fixture
def batch(owner, workshop):
    """Planned for a day in three weeks, of an order due in four months."""
    today = timezone.localdate()
    order = make_order(owner, make_design(owner), 10, needed_by=today + timedelta(days=120))
    return plan_batches(order_id=order.pk, today=today, pour_on=today + timedelta(days=21), by=owner)[0]


def address(batch, name="batch-move") -> str:
    return reverse(f"production:{name}", args=[batch.number])


def ahead(days: int) -> date:
    return timezone.localdate() + timedelta(days=days)


def test_the_page_shows_what_another_day_brings_and_moves_nothing(owner_client, batch):
    response = owner_client.get(address(batch), {"pour_on": ahead(28).isoformat()})
    move = response.context["move"]
    assert (move.problem, move.after.on("pour"), move.late) == (None, ahead(28), ())
    assert [row.before for row in response.context["steps"] if row.name == "Pour"] == [ahead(21)]
    batch.refresh_from_db()
    assert batch.pour_on == ahead(21)


def test_moving_it_moves_its_steps_and_is_told(owner_client, batch):
    before = {step.key: step.due_on for step in batch.steps.all()}
    response = owner_client.post(address(batch, "batch-move-save"), {"pour_on": ahead(28).isoformat()})
    assert response.url == reverse("production:plan-board")
    batch.refresh_from_db()
    assert batch.pour_on == ahead(28)
    assert batch.steps.get(key="cut").due_on - before["cut"] == timedelta(days=7)
    assert AuditEvent.objects.filter(verb="move_batch").count() == 1


@pytest.mark.parametrize("typed", ["", "soon", "2026-13-40", "0000-00-00"])
def test_nonsense_for_a_day_is_asked_again(owner_client, batch, typed):
    assert owner_client.get(address(batch), {"pour_on": typed}).context["form"].errors
    response = owner_client.post(address(batch, "batch-move-save"), {"pour_on": typed})
    assert response.url == address(batch)
    batch.refresh_from_db()
    assert batch.pour_on == ahead(21)


@pytest.mark.parametrize("day", [date(2020, 2, 29), date(9999, 12, 31), date(1, 1, 1)])
def test_a_day_nobody_works_is_refused_with_the_mend(owner, batch, day):
    with pytest.raises(PlanRefusal, match=r"^Nobody works on that day\. Choose an open day"):
        move_pour(batch_id=batch.pk, pour_on=day, today=timezone.localdate(), by=owner)


def test_a_day_off_is_refused_and_an_open_one_is_not(owner, batch):
    SpecialDay.objects.create(day=ahead(28), minutes=0)
    with pytest.raises(PlanRefusal, match="Nobody works on that day"):
        move_pour(batch_id=batch.pk, pour_on=ahead(28), today=timezone.localdate(), by=owner)
    assert move_pour(batch_id=batch.pk, pour_on=ahead(29), today=timezone.localdate(), by=owner).pour_on == ahead(29)


def test_what_is_kept_or_started_does_not_move(owner, owner_client, batch):
    pin_batch(batch_id=batch.pk, by=owner)
    assert owner_client.get(address(batch)).context["may_move"] is False
    with pytest.raises(PlanRefusal, match="does not move"):
        move_pour(batch_id=batch.pk, pour_on=ahead(28), today=timezone.localdate(), by=owner)
    unpin_batch(batch_id=batch.pk, by=owner)
    assert owner_client.get(address(batch)).context["may_move"] is True
    start_batch(batch_id=batch.pk, by=owner)
    assert owner_client.get(address(batch)).context["may_move"] is False


def test_a_late_order_is_told_before_the_move(owner_client, batch):
    """Due in 120 days; poured on day 90 with weeks of cure it is late."""
    move = owner_client.get(address(batch), {"pour_on": ahead(90).isoformat()}).context["move"]
    assert [each.key for each in move.late] == [f"{batch.serves.get().line.order.number}, line 1"]


def test_the_weight_of_an_order_reaches_the_planner(owner, owner_client, batch):
    order = batch.serves.get().line.order
    page = reverse("production:order-weight", args=[order.number])
    owner_client.post(page, {"weight_in_plan": "5"})
    owner_client.post(page, {"weight_in_plan": "5"})
    assert {line.weight for line in shop_plan(today=timezone.localdate()).asked.lines} == {5}
    assert AuditEvent.objects.filter(verb="set_order_weight").count() == 1
    owner_client.post(page, {"weight_in_plan": "9"})
    assert OrderWeight.objects.get().weight == 5


def test_two_batches_in_the_one_mold_on_one_day_are_told_on_the_board(owner, owner_client, batch):
    board = reverse("production:plan-board")
    assert owner_client.get(board).context["cannot_stay"] == ""
    batch.mold.owned = 1
    batch.mold.save(update_fields=["owned"])
    order = make_order(owner, batch.design, 10, needed_by=ahead(120))
    second = plan_batches(order_id=order.pk, today=timezone.localdate(), pour_on=batch.pour_on, by=owner)[0]
    words = owner_client.get(board).context["cannot_stay"]
    assert words == f"{second.number} cannot stay beside the others: work out a plan, or move one by hand."
    assert Batch.objects.count() == 2


def test_parts_that_a_pour_lacks_are_listed_with_the_days_to_make_them(owner_client, batch):
    """A seal on each of ten bars and one spare (10 %, at least 1); 1 to 90 days old on the pour day."""
    (row,) = owner_client.get(reverse("production:plan-board")).context["parts"]
    assert (row.part.key, row.pieces, row.batches) == ("seal", 11, (batch.number,))
    assert (row.first_on, row.last_on) == (ahead(21 - 90), ahead(20))
