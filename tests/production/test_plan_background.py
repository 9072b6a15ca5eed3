"""A plan worked out in the background: one at a time, its row tells how it goes, a stop keeps the best so far."""

from dataclasses import replace
from datetime import timedelta

import pytest
from django.utils import timezone

from production.benchmark.plan_shops import study_shop
from production.plan.actions.moving import PlanRefusal
from production.plan.actions.proposals import rungs_of
from production.plan.actions.working import start_plan, stop_plan, work_plan
from production.plan.late_lines import late_facts, late_words, relief_words, useless_words
from production.plan.models import SILENCE, PlanRun
from production.planning.engine import plan
from production.planning.lateness import reliefs
from production.planning.plan_answer import Budget
from production.planning.plan_check import check
from production.planning.plan_json import as_json, input_hash
from production.planning.plan_records import Supply
from production.planning.repair import ladder
from production.planning.watch import Watch
from production.planning.worker import ladder_apart
from soapshop.clock import workshop_today
from tests.production.test_planning_engine import line, on, workshop

pytestmark = pytest.mark.django_db
BOARD = "/plan/board/"


def crowded_run(**fields):
    """A run whose shop is made up, so that no rows are needed."""
    asked = workshop(*(line(f"L{n}", 9, 34 + n) for n in range(6)), minutes=130, pours_per_day=1)
    known = {"for_day": asked.today, "input_hash": input_hash(asked), "asked": as_json(asked), "work": "working"}
    return PlanRun.objects.create(**known | fields)


def test_it_is_worked_out_and_its_row_says_so():
    run = work_plan(run_id=crowded_run().pk, seconds=0)
    assert run.work == PlanRun.Work.DONE
    assert run.late_days_so_far == rungs_of(run)[-1].late_days
    assert len(run.answer["late"]) == len(rungs_of(run))


def test_what_is_worked_out_already_is_left_alone():
    run = crowded_run(work="done")
    assert work_plan(run_id=run.pk).answer == {}


def test_one_plan_at_a_time(owner, today):
    start_plan(today=today, seconds=5, by=owner)
    with pytest.raises(PlanRefusal, match="being worked out already"):
        start_plan(today=today, seconds=5, by=owner)


def test_a_silent_one_does_not_stand_in_the_way(owner, today):
    """The machine was switched off while it worked: after half a minute of silence the row is not believed."""
    run = start_plan(today=today, seconds=5, by=owner)
    PlanRun.objects.filter(pk=run.pk).update(told_at=timezone.now() - SILENCE - timedelta(seconds=1))
    run.refresh_from_db()
    assert run.has_broken_off(timezone.now())
    assert start_plan(today=today, seconds=5, by=owner).pk != run.pk
    assert stop_plan(run_id=run.pk, by=owner).work == PlanRun.Work.BROKEN


@pytest.mark.parametrize("seconds", (-1, 601))
def test_a_time_out_of_bounds_is_refused(owner, today, seconds):
    with pytest.raises(PlanRefusal, match="from 0 to 600"):
        start_plan(today=today, seconds=seconds, by=owner)


def test_a_stop_keeps_the_best_so_far(owner):
    run = crowded_run(told_at=timezone.now())
    assert stop_plan(run_id=run.pk, by=owner).work == PlanRun.Work.WORKING
    found = work_plan(run_id=run.pk, seconds=0)
    assert found.work == PlanRun.Work.STOPPED
    assert rungs_of(found)


def test_a_stopped_ladder_has_its_first_rung():
    watch, asked, told = Watch(), study_shop(20, seed=1, is_overloaded=True), []
    watch.stop()
    rungs = ladder(asked, Budget(seconds=30), watch=watch, tell=told.append)
    assert told[-1] == rungs
    assert check(asked, rungs[0].answer.plan) == ()


def test_the_worker_in_its_own_process_can_be_stopped():
    """Given ten minutes, it ends in seconds when it is asked to, with a sound plan."""
    asked, told = study_shop(20, seed=1, is_overloaded=True), []
    rungs = ladder_apart(asked, Budget(seconds=600), tell=told.append, is_stopped=lambda: True)
    assert check(asked, rungs[-1].answer.plan) == ()
    assert any("rungs" in each for each in told)


def test_the_pages_while_it_is_worked_out(owner_client, owner):
    run = start_plan(today=workshop_today(), seconds=5, by=owner)
    page = owner_client.get(BOARD)
    assert page.context["is_working"]
    assert f"{BOARD}{run.pk}/stop/" in page.content.decode()
    panel = owner_client.get(f"{BOARD}{run.pk}/progress/")
    assert "HX-Refresh" not in panel.headers
    owner_client.post(f"{BOARD}{run.pk}/stop/")
    work_plan(run_id=run.pk, seconds=0)
    assert owner_client.get(f"{BOARD}{run.pk}/progress/").headers["HX-Refresh"] == "true"
    assert not owner_client.get(BOARD).context["is_working"]
    assert owner_client.post(f"{BOARD}99/stop/").status_code == 404
    assert owner_client.get(f"{BOARD}99/progress/").status_code == 404


class TestWhyLate:
    def test_each_reason_in_words(self):
        """Due on day 10 with 28 days of cure: 30 March at the earliest. Shea on day 21: packed on day 49, 20 April."""
        asked = workshop(line("SOON", 9, 10))
        assert late_words(late_facts(asked, plan(asked, Budget(seconds=0)).plan))[0]["why"] == (
            "It came too late: its cure and the days off allow no packing before Mar 30, 2026, even in an empty shop."
        )
        asked = workshop(line("L", 9, 40), supplies=(Supply("shea", 0, ((on(21), 10**7),)),))
        facts = late_facts(asked, plan(asked, Budget(seconds=0)).plan)
        assert late_words(facts)[0]["why"] == "It waits for shea: no packing before Apr 20, 2026."
        assert relief_words(facts) == ["every ingredient on the shelf today saves 10 late days"]

    def test_would_not_help_is_said_only_when_proven(self):
        """One loaf for one line, late by the cure alone: no bench, mold or rack can help, and the bound says so."""
        asked = workshop(line("SOON", 9, 10))
        facts = late_facts(asked, plan(asked, Budget(seconds=0)).plan)
        assert "one more loaf" in useless_words(facts)
        assert relief_words(facts) == []

    def test_what_may_help_is_not_called_useless(self):
        """Two loaves wanted at once with one mold: one more of it helps."""
        one = workshop(line("L", 9, 29), line("M", 9, 29), supplies=())
        asked = replace(one, designs=(replace(one.designs[0], yields=one.designs[0].yields[:1]),))
        found = {each.what: each for each in reliefs(asked, plan(asked, Budget(seconds=0)).plan)}
        assert found["one more loaf"].saved_days > 0
        assert not found["one more loaf"].is_proven_useless
        assert found["one more loaf"].in_time == ("M",) or found["one more loaf"].in_time == ("L",)
