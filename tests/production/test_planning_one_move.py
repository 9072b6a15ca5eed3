"""Moving one batch by hand, and bars of stock that are finished already. Days are worked by hand from March 2, 2026."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from production.planning.engine import plan
from production.planning.list_schedule import list_schedule
from production.planning.one_move import move_one, open_days_for
from production.planning.plan_answer import Budget, PlanStatus
from production.planning.plan_check import check
from production.planning.plan_records import (
    BenchDay,
    MoldYield,
    Plan,
    PlanDesign,
    PlanInput,
    PlanLine,
    PlannedBatch,
    PlanStep,
    PlanStock,
    Share,
)

START = date(2026, 3, 2)  # a Monday


def on(day: int) -> date:
    return START + timedelta(days=day)


STEPS = (
    PlanStep("pour", "pour", 0, 0, 75),
    PlanStep("cut", "pour", 1, 2, 15),
    PlanStep("release", "pour", 28, None, 20),
)
DESIGN = PlanDesign("tide", (MoldYield("loaf", 10, 9),), STEPS, (), 10)


def batch(key: str, pour: int) -> PlannedBatch:
    return PlannedBatch(key, "tide", "loaf", (("pour", on(pour)), ("cut", on(pour + 1)), ("release", on(pour + 28))))


def shop(*movable: PlannedBatch, **changes: object) -> PlanInput:
    bench = tuple(BenchDay(on(day), 240) for day in range(90) if on(day).weekday() < 5)
    known = {
        "today": START,
        "bench": bench,
        "designs": (DESIGN,),
        "molds": (("loaf", 1),),
        "lines": (PlanLine("order 1", "tide", 9, on(40)),),
        "rack_bars": 100,
        "movable": movable,
        "reserved": tuple(Share("order 1", each.key, 9) for each in movable[:1]),
    }
    return PlanInput(**(known | changes))  # type: ignore[arg-type]


class TestMoveOne:
    def test_its_steps_move_with_the_pour_and_the_checker_agrees(self):
        asked = shop(batch("B1", 1))
        move = move_one(asked, "B1", on(7))
        assert move.problem is None
        assert dict(move.after.days) == {"pour": on(7), "cut": on(8), "release": on(35)}
        assert move.late == ()
        alone = replace(asked, lines=(), reserved=())
        assert check(alone, Plan((move.after,))) == ()

    def test_a_line_due_before_the_new_release_is_told_with_its_days(self):
        """Pour on day 14: released on day 42; due on day 40 means packed on day 39 at the latest: 3 days late."""
        move = move_one(shop(batch("B1", 1)), "B1", on(14))
        assert [(each.key, each.days) for each in move.late] == [("order 1", 3)]

    @pytest.mark.parametrize(
        ("day", "changes", "code"),
        [
            pytest.param(5, {}, "closed", id="saturday"),
            pytest.param(-1, {}, "closed", id="yesterday"),
            pytest.param(8, {}, "mold", id="the one loaf mold is full"),
            pytest.param(8, {"molds": (("loaf", 2),), "pours_per_day": 1}, "pours", id="one pour a day"),
            pytest.param(8, {"molds": (("loaf", 2),), "rack_bars": 12}, "rack", id="no room on the rack"),
        ],
    )
    def test_what_stands_in_the_way_is_named_and_nothing_moves(self, day, changes, code):
        asked = shop(batch("B1", 1), batch("B2", 8), **changes)
        move = move_one(asked, "B1", on(day))
        assert move.problem is not None
        assert (move.problem.code, move.after) == (code, asked.movable[0])
        assert move.problem.mend

    def test_bench_time_taken_by_others_stands_in_the_way(self):
        """A pour of 75 minutes beside another one, on a day of 140."""
        short = tuple(BenchDay(on(day), 140) for day in range(90) if on(day).weekday() < 5)
        asked = shop(batch("B1", 1), batch("B2", 8), molds=(("loaf", 2),), bench=short)
        assert getattr(move_one(asked, "B1", on(8)).problem, "code", "") == "bench"
        assert move_one(asked, "B1", on(9)).problem is None

    def test_the_same_day_again_fits(self):
        assert move_one(shop(batch("B1", 1)), "B1", on(1)).after == batch("B1", 1)

    def test_days_that_fit_leave_out_weekends_and_the_days_of_the_other_batch(self):
        """B2 has the one mold on day 8; a pour on day 7 is cut on day 8, when that pour begins. A pour on a Friday (day
        4) could not be cut within two days."""
        asked = shop(batch("B1", 1), batch("B2", 8))
        assert open_days_for(asked, "B1", first=on(3), days=8) == (on(3), on(7), on(9), on(10))


class TestFinishedStock:
    def bars(self, finish: str) -> PlanInput:
        return shop(
            lines=(PlanLine("order 1", "tide", 5, on(40), finish="seal"),),
            stock=(PlanStock("shelf", "tide", 5, START, finish=finish),),
        )

    @pytest.mark.parametrize(("finish", "sources"), [("seal", {"shelf"}), ("", {"shelf"}), ("plain", {"new-1"})])
    def test_only_bars_of_the_same_finish_serve_a_line(self, finish, sources):
        result = list_schedule(self.bars(finish))
        assert {share.source for share in result.plan.shares} == sources
        assert check(self.bars(finish), result.plan) == ()

    def test_the_checker_refuses_the_wrong_finish(self):
        result = list_schedule(self.bars("seal"))
        assert [problem.code for problem in check(self.bars("plain"), result.plan)] == ["finish"]

    def test_the_solver_keeps_to_the_finish_too(self):
        answer = plan(self.bars("plain"), Budget(seconds=2))
        assert answer.status == PlanStatus.PROVEN
        assert answer.score.batches == 1
        assert plan(self.bars("seal"), Budget(seconds=2)).score.batches == 0

    def test_of_two_orders_that_cannot_both_be_in_time_the_weightier_one_is(self):
        """Two lines of nine bars, both due on the first day they could be, and one mold that gives nine."""
        lines = (PlanLine("usual", "tide", 9, on(29)), PlanLine("weighty", "tide", 9, on(29), weight=5))
        answer = plan(shop(lines=lines), Budget(seconds=2))
        packed = dict(answer.plan.packs)
        assert packed["weighty"] < packed["usual"]
