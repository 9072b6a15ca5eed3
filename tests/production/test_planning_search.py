"""The search without the solver and the bounds no plan can better."""

import sys
from dataclasses import replace
from datetime import timedelta

import pytest

from production.benchmark.plan_shops import study_shop
from production.planning.bounds import earliest_days, least_late_days
from production.planning.engine import NO_SOLVER, plan
from production.planning.list_schedule import list_schedule
from production.planning.local_search import search
from production.planning.plan_answer import Budget, PlanStatus
from production.planning.plan_check import check
from production.planning.plan_records import PlannedBatch, PlanStock, Share, Supply
from production.planning.watch import Watch
from tests.production.test_planning_engine import TINY_SEEDS, least_lateness, line, on, tiny, workshop


def test_a_workshop_that_promised_too_much_is_a_third_less_late():
    """Made-up shops of 60 lines whose orders crowd (fixed seeds). At least a third of the late days goes."""
    before = after = 0
    for seed in (1, 2, 3):
        asked = study_shop(60, seed=seed, is_overloaded=True)
        quick = list_schedule(asked)
        better = search(asked, quick, tries=250)
        assert check(asked, better.plan) == ()
        assert better.score.order <= quick.score.order
        before += quick.score.late_days
        after += better.score.late_days
    assert before > 0
    assert after * 3 <= before * 2


def test_the_same_seed_gives_the_same_plan():
    asked = study_shop(20, seed=1, is_overloaded=True)
    quick = list_schedule(asked)
    assert search(asked, quick, tries=60) == search(asked, quick, tries=60)


def test_a_stop_keeps_the_plan_so_far():
    asked = study_shop(20, seed=1, is_overloaded=True)
    watch = Watch()
    watch.stop()
    quick = list_schedule(asked)
    assert search(asked, quick, tries=10**6, watch=watch).score.order == quick.score.order


def test_better_plans_are_told_on_the_way():
    asked, told = study_shop(20, seed=1, is_overloaded=True), []
    found = search(asked, list_schedule(asked), tries=200, watch=Watch(told.append))
    assert told == sorted(told, reverse=True)
    assert told[-1] == found.score.late_days


def test_planned_batches_are_kept_and_pinned_ones_do_not_move():
    days = (("pour", on(0)), ("cut", on(1)), ("seal", on(1)), ("release", on(28)))
    pinned, planned = PlannedBatch("P", "meadow", "loaf", days), PlannedBatch("M", "meadow", "slab", days)
    lines = tuple(line(f"L{n}", 9, 30 + n) for n in range(5))
    shares = (Share("L4", "P", 9), Share("L3", "M", 9))
    asked = workshop(*lines, pours_per_day=1, minutes=130, fixed=(pinned,), movable=(planned,), reserved=shares)
    found = search(asked, list_schedule(asked), tries=150)
    assert check(asked, found.plan) == ()


def test_without_the_solver_everything_still_answers(monkeypatch):
    """The package is hidden as where no file of it fits the machine: the search answers, and says why it did."""
    monkeypatch.setitem(sys.modules, "ortools.sat.python", None)
    asked = study_shop(20, seed=1, is_overloaded=True)
    at_once, answer = plan(asked, Budget(seconds=0)), plan(asked, Budget(seconds=1, repeatable=0.1))
    assert (answer.status, answer.engine, answer.notice) == (PlanStatus.LIST_ONLY, "list", NO_SOLVER)
    assert check(asked, answer.plan) == ()
    assert answer.score.order < at_once.score.order
    assert answer.levels[0].bound <= answer.score.late_days
    assert not answer.levels[0].is_proven


class TestBounds:
    def test_the_cure_alone_worked_by_hand(self):
        """Monday 2 March plus 28 days of cure is Monday 30 March (day 28): due on day 20, weight 2, 9 days late."""
        asked = workshop(line("L", 9, 20, weight=2))
        assert earliest_days(asked).pack["L"] == 28
        assert least_late_days(asked) == 18

    def test_a_delivery_is_waited_for(self):
        """Shea comes on day 21 (a Monday): poured then, released on day 49, due on day 40: 10 days late."""
        asked = workshop(line("L", 9, 40), supplies=(Supply("shea", 0, ((on(21), 10**7),)),))
        assert least_late_days(asked) == 10

    def test_bars_on_the_shelf_need_no_cure(self):
        stock = (PlanStock("lot", "meadow", 9, on(0)),)
        assert least_late_days(workshop(line("L", 9, 5), stock=stock)) == 0
        assert least_late_days(workshop(line("L", 10, 5), stock=stock)) == 24

    def test_bars_kept_for_somebody_else_do_not_count(self):
        stock = (PlanStock("lot", "meadow", 9, on(0)),)
        asked = workshop(line("L", 9, 5), line("M", 9, 60), stock=stock, reserved=(Share("M", "lot", 9),))
        assert earliest_days(asked).pack["L"] == 28

    def test_no_pour_fits_before_days_away(self):
        """Away from day 1 to day 13: a pour on day 0 could not be cut within two days, so the first is on day 14."""
        asked = workshop(line("L", 9, 40))
        bench = tuple(each for each in asked.bench if not 1 <= (each.day - asked.today) / timedelta(days=1) <= 13)
        assert earliest_days(replace(asked, bench=bench)).release["meadow"] == 14 + 28

    @pytest.mark.parametrize("seed", TINY_SEEDS)
    def test_never_above_the_best_of_all_plans_there_are(self, seed):
        least = least_lateness(seed)
        assert least is None or least_late_days(tiny(seed)) <= least
