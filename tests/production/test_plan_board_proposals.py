"""Proposals, promises and the board over the demo's shop: nothing is written before it is accepted, pins hold."""

import json
from dataclasses import replace
from datetime import date, timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction

from formulas.models import Design
from orders.models import Order
from production.batches.models import Batch
from production.demo import play_demo
from production.plan.actions.holding import hold_date, release_date
from production.plan.actions.moving import PlanRefusal, move_batch, pin_batch, unpin_batch
from production.plan.actions.proposals import accept_plan, propose_plan, rungs_of
from production.plan.board import board_of
from production.plan.changes import changes_of
from production.plan.models import HeldDate, PlanRun, WorkWeek
from production.plan.plan_designs import net_bars, plan_steps
from production.plan.promises import offers_for
from production.plan.records import hand_over_day, shop_plan
from production.planning.calendar import WorkDays
from production.planning.plan_check import check
from production.planning.plan_json import PlanJsonError, as_json, from_json, input_hash
from production.planning.plan_records import Plan, PlanInput
from production.planning.route import PLAIN_ROUTE
from soapshop.clock import workshop_today
from soapshop.models import User

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def played(django_db_setup, django_db_blocker):
    """The demo's shop, played once for this file and rolled back at its end; each test works in a savepoint of it."""
    with django_db_blocker.unblock(), transaction.atomic():
        call_command("load_reference", stdout=StringIO())
        player = User.objects.create_user("player", role=User.Role.OWNER)
        play_demo(today=workshop_today(), by=player)
        yield workshop_today()
        transaction.set_rollback(True)


@pytest.fixture
def shop(played, db):
    return played


def proposal(today, by):
    """The quick plan is enough here; the solver has tests of its own."""
    return propose_plan(today=today, seconds=0, by=by)


def test_the_shop_becomes_a_planning_input_that_comes_back_from_json(shop):
    asked = shop_plan(today=shop).asked
    assert asked.lines
    assert asked.fixed
    assert from_json(PlanInput, json.loads(json.dumps(as_json(asked)))) == asked
    assert input_hash(asked) == input_hash(shop_plan(today=shop).asked)


def test_a_proposal_changes_nothing_until_it_is_accepted(shop, owner):
    before = {batch.number: batch.pour_on for batch in Batch.objects.all()}
    run = proposal(shop, owner)
    assert {batch.number: batch.pour_on for batch in Batch.objects.all()} == before
    assert (run.accepted_at, run.input_hash) == (None, input_hash(shop_plan(today=shop).asked))


def test_accepting_all_gives_every_line_its_bars(shop, owner):
    run = proposal(shop, owner)
    rungs = rungs_of(run)
    plan = rungs[-1].answer.plan
    keys = frozenset(batch.key for batch in plan.batches)
    count, score = Batch.objects.count(), rungs[-1].answer.score
    accept_plan(run_id=run.pk, rung=len(rungs) - 1, keys=keys, today=shop, by=owner)
    assert Batch.objects.count() == count + score.batches
    after = shop_plan(today=shop).asked
    got = {line.key: 0 for line in after.lines}
    for share in after.reserved:
        got[share.line] += share.bars
    stocked = {lot.design for lot in after.stock}
    assert all(got[line.key] == line.bars for line in after.lines if line.design not in stocked)
    days = {batch.number: batch.pour_on for batch in Batch.objects.all()}
    assert all(days[batch.key] == batch.on("pour") for batch in plan.batches if batch.key in days)
    with pytest.raises(PlanRefusal, match="taken over already"):
        accept_plan(run_id=run.pk, rung=0, keys=keys, today=shop, by=owner)


def test_accepting_one_new_batch_leaves_the_others_out(shop, owner):
    run = proposal(shop, owner)
    place = len(rungs_of(run)) - 1
    found = shop_plan(today=shop)
    changes = [change for change in changes_of(found, rungs_of(run)[place].answer.plan) if change.is_new]
    count = Batch.objects.count()
    accept_plan(run_id=run.pk, rung=place, keys=frozenset({changes[0].key}), today=shop, by=owner)
    assert Batch.objects.count() == count + 1
    assert Batch.objects.order_by("-pk").first().pour_on == changes[0].pour_on


def test_nothing_chosen_and_a_changed_shop_are_refused(shop, owner):
    run = proposal(shop, owner)
    with pytest.raises(PlanRefusal, match="Nothing was chosen"):
        accept_plan(run_id=run.pk, rung=0, keys=frozenset(), today=shop, by=owner)
    Order.objects.filter(pk=Order.objects.filter(status="in_production").first().pk).update(
        needed_by=shop + timedelta(days=200)
    )
    with pytest.raises(PlanRefusal, match="Make a new proposal"):
        accept_plan(run_id=run.pk, rung=0, keys=frozenset({"new-1"}), today=shop, by=owner)


def test_pinned_and_started_batches_never_move(shop, owner):
    batch = Batch.objects.filter(status="planned", pour_on__gt=shop + timedelta(days=2)).first()
    assert batch.number in {each.key for each in shop_plan(today=shop).asked.movable}
    pin_batch(batch_id=batch.pk, by=owner)
    assert batch.number in {each.key for each in shop_plan(today=shop).asked.fixed}
    with pytest.raises(PlanRefusal, match="kept where it is"):
        move_batch(batch_id=batch.pk, days={"pour": shop + timedelta(days=9)}, by=owner)
    unpin_batch(batch_id=batch.pk, by=owner)
    started = Batch.objects.exclude(status="planned").first()
    with pytest.raises(PlanRefusal, match="only a planned batch moves"):
        move_batch(batch_id=started.pk, days={"pour": shop}, by=owner)


def test_a_moved_batch_takes_its_steps_along(shop, owner):
    batch = Batch.objects.filter(status="planned", pour_on__gt=shop + timedelta(days=2)).first()
    before = dict(batch.steps.filter(done_on__isnull=True).values_list("key", "due_on"))
    day = batch.pour_on + timedelta(days=3)
    move_batch(batch_id=batch.pk, days={"pour": day, "cut": day + timedelta(days=2)}, by=owner)
    after = dict(batch.steps.filter(done_on__isnull=True).values_list("key", "due_on"))
    assert after.pop("cut") == day + timedelta(days=2)
    before.pop("cut")
    assert after == {key: due + timedelta(days=3) for key, due in before.items()}


def test_every_proposal_passes_the_check(shop, owner):
    run = proposal(shop, owner)
    asked = shop_plan(today=shop).asked
    assert all(check(asked, rung.answer.plan) == () for rung in rungs_of(run))


def test_a_promise_is_not_before_the_cure(shop, owner):
    design = Design.objects.filter(formula__revisions__status="approved").first()
    found = offers_for(design, 5, today=shop)
    assert found.best is not None
    pinned = next(offer for offer in found.offers if offer.promise.source == "pinned")
    assert all(pinned.promise.ready_on >= pour + timedelta(days=28) for pour in pinned.promise.pours)
    assert pinned.in_hand_on > pinned.promise.ready_on + timedelta(days=WorkWeek.current().buffer_days)


def test_a_held_day_takes_room_once_and_can_be_let_go(shop, owner):
    design = Design.objects.filter(formula__revisions__status="approved").first()
    ready = offers_for(design, 5, today=shop).best.promise.ready_on
    for _ in range(2):
        held = hold_date(design=design, bars=5, ready_on=ready, today=shop, by=owner)
    assert HeldDate.objects.count() == 1
    assert held.expires_on == shop + timedelta(days=7)
    held_lines = [line.key for line in shop_plan(today=shop, held=True).asked.lines if line.key.startswith("held")]
    assert held_lines == [f"held {held.pk}"]
    later = shop_plan(today=shop + timedelta(days=8), held=True).asked
    assert not [line for line in later.lines if line.key.startswith("held")]
    with pytest.raises(PlanRefusal, match="not free"):
        hold_date(design=design, bars=6, ready_on=shop, today=shop, by=owner)
    release_date(held_id=held.pk, by=owner)
    assert not HeldDate.objects.exists()


def test_hand_over_falls_on_a_shipping_day(workshop):
    """Tuesdays and Fridays; Sunday 7 June 2026 is after Friday the 5th. Away on that Friday: Tuesday the 2nd."""
    week = WorkWeek(shipping_weekdays=[1, 4])
    assert hand_over_day(date(2026, 6, 7), week, WorkDays()) == date(2026, 6, 5)
    away = WorkDays(away=((date(2026, 6, 5), date(2026, 6, 5)),))
    assert hand_over_day(date(2026, 6, 7), week, away) == date(2026, 6, 2)
    assert hand_over_day(date(2026, 6, 7), WorkWeek(), WorkDays()) == date(2026, 6, 7)


@pytest.mark.parametrize(("gross", "net"), ((10, 8), (40, 36), (24, 21), (2, 0), (1, 0)))
def test_spares_are_kept_back(workshop, gross, net):
    """Ten percent and at least two, worked by hand: 36 + 4 = 40; 21 + 3 = 24; 8 + 2 = 10."""
    assert net_bars(gross, workshop) == net


def test_the_plain_route_as_the_planner_sees_it():
    steps = {step.key: step for step in plan_steps(PLAIN_ROUTE, 42)}
    assert set(steps) == {"pour", "cut", "release", "bevel"}
    assert (steps["cut"].least_days, steps["cut"].most_days, steps["cut"].tenths_per_bar) == (1, 2, 5)
    assert (steps["release"].least_days, steps["release"].most_days) == (42, None)


def test_the_picture_has_a_row_for_each_batch_in_sight(shop):
    found = shop_plan(today=shop)
    standing = Plan((*found.asked.fixed, *found.asked.movable), found.asked.reserved)
    board = board_of(found, standing, standing=standing)
    assert {row.key for row in board.rows} <= set(found.batches)
    assert not any(row.is_new or row.is_moved for row in board.rows)
    moved = replace(
        standing,
        batches=tuple(
            replace(each, days=tuple((key, day + timedelta(days=1)) for key, day in each.days))
            for each in standing.batches
        ),
    )
    assert all(row.is_moved for row in board_of(found, moved, standing=standing).rows)


def test_the_pages_by_hand(shop, owner_client, owner):
    assert owner_client.get("/plan/board/").status_code == 200
    assert owner_client.post("/plan/board/propose/", {"seconds": "forever"}).status_code == 302
    assert not PlanRun.objects.exists()
    run = proposal(workshop_today(), owner)
    page = owner_client.get("/plan/board/", {"rung": "nonsense"})
    assert page.context["run"] == run
    assert owner_client.post(f"/plan/board/{run.pk}/accept/", {"rung": "9999999", "batch": []}).status_code == 302
    assert PlanRun.objects.get().accepted_at is None
    keys = [change.key for change in page.context["changes"]]
    owner_client.post(f"/plan/board/{run.pk}/accept/", {"rung": page.context["chosen"], "batch": keys})
    assert PlanRun.objects.get().accepted_keys == sorted(keys)
    assert owner_client.post("/plan/board/99/accept/").status_code == 404
    assert owner_client.post("/plan/board/batches/B00-999/keep/", {"keep": "yes"}).status_code == 404


@pytest.mark.parametrize("typed", ({"bars": "x"}, {"bars": "99999999999999999999"}, {"design": "x"}, {"bars": "-1"}))
def test_nonsense_in_a_promise_keeps_what_was_typed(shop, owner_client, typed):
    asked = {"design": Design.objects.first().pk, "bars": "5", "travel_days": "2"} | typed
    page = owner_client.get("/plan/promise/", asked)
    assert page.status_code == 200
    name, wrong = next(iter(typed.items()))
    assert page.context["form"][name].value() == wrong
    assert name in page.context["form"].errors


def test_a_day_is_asked_for_held_and_let_go_on_the_page(shop, owner_client):
    design = Design.objects.filter(formula__revisions__status="approved").first()
    page = owner_client.get("/plan/promise/", {"design": design.pk, "bars": "5", "travel_days": "2"})
    ready = page.context["offers"].best.promise.ready_on
    sent = {"design": design.pk, "bars": "5", "ready_on": ready.isoformat()}
    owner_client.post("/plan/promise/hold/", sent)
    owner_client.post("/plan/promise/hold/", sent | {"ready_on": "2026-02-31"})
    owner_client.post("/plan/promise/hold/", sent | {"ready_on": "soon"})
    held = HeldDate.objects.get()
    assert owner_client.post(f"/plan/promise/{held.pk}/release/").status_code == 302
    assert owner_client.post(f"/plan/promise/{held.pk}/release/").status_code == 404


def test_an_enquiry_leads_to_the_day_that_can_be_promised(shop, owner_client):
    enquiry = Order.objects.filter(status="enquiry").first()
    assert "/plan/promise/?design=" in owner_client.get(f"/orders/{enquiry.number}/making/").content.decode()
    accepted = Order.objects.filter(status="in_production").first()
    assert "/plan/promise/?design=" not in owner_client.get(f"/orders/{accepted.number}/making/").content.decode()


def test_the_commands(shop, owner, tmp_path):
    out = StringIO()
    call_command("plan", "--seconds", "0", "--json", stdout=out)
    assert json.loads(out.getvalue())["rungs"]
    out = StringIO()
    call_command("plan", "--input", stdout=out)
    file = tmp_path / "asked.json"
    file.write_text(out.getvalue(), encoding="utf-8")
    out = StringIO()
    call_command("plan", "--from", str(file), "--seconds", "0", stdout=out)
    assert json.loads(out.getvalue())["answer"]["plan"]["batches"]
    out = StringIO()
    call_command("promise", Design.objects.first().name, "5", "--json", stdout=out)
    assert json.loads(out.getvalue())["bars"] == 5
    call_command("plan", "--seconds", "0", "--accept", "--by", owner.username, stdout=StringIO())
    assert PlanRun.objects.filter(accepted_by=owner).count() == 1


@pytest.mark.parametrize(
    ("words", "said"),
    (
        (("plan", "--from", "/nowhere.json"), "cannot be read"),
        (("plan", "--seconds", "-1"), "from 0 to 600"),
        (("plan", "--accept", "--seconds", "0"), "Say who"),
        (("promise", "No such design", "5"), "There is no design"),
    ),
)
def test_the_commands_refuse_with_the_mend(workshop, words, said):
    with pytest.raises(CommandError, match=said):
        call_command(*words, stdout=StringIO())


@pytest.mark.parametrize(
    ("raw", "said"),
    (
        ([], "object with named fields"),
        ({"today": "2026-01-01"}, "lacks"),
        ({"today": "soon"}, "lacks"),
        ({"color": 1}, "nobody knows"),
    ),
)
def test_json_that_is_no_input_is_refused(raw, said):
    with pytest.raises(PlanJsonError, match=said):
        from_json(PlanInput, raw)
