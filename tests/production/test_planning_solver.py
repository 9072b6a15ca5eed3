"""The solver against enumeration, published figures and plans worked by hand; only statuses and values are asserted."""

from dataclasses import replace
from datetime import date, timedelta
from functools import cache

import pytest

from production.planning.engine import plan
from production.planning.improve import improve
from production.planning.list_schedule import list_schedule
from production.planning.plan_answer import Budget, PlanStatus
from production.planning.plan_check import check, score
from production.planning.plan_records import (
    BenchDay,
    MoldYield,
    Plan,
    PlanDesign,
    PlanInput,
    PlanLine,
    PlannedBatch,
    PlanStep,
    Share,
    Supply,
)
from production.planning.promise import ENQUIRY, promise_from_free_bars, promise_with_moves, promise_with_nothing_moved
from production.planning.repair import batches_hit, ladder
from production.planning.worker import plan_apart
from tests.production.test_planning_engine import START, TINY_SEEDS, every_plan, line, on, tiny, workshop

ENOUGH = Budget(seconds=20)


@cache
def best_order(seed):
    asked = tiny(seed)
    return min(score(asked, each).order for each in every_plan(asked) if not check(asked, each))


@pytest.mark.parametrize("seed", TINY_SEEDS)
def test_equals_the_best_of_all_plans_there_are(seed):
    """Late days by full enumeration. Enumeration gives each line its own batch; sharing can only save batches."""
    answer = plan(tiny(seed), ENOUGH)
    assert answer.status == PlanStatus.PROVEN
    assert answer.score.late_days == best_order(seed)[0]
    assert answer.score.order[:2] <= best_order(seed)[:2]
    assert check(tiny(seed), answer.plan) == ()


@pytest.mark.parametrize("seed", TINY_SEEDS)
def test_the_quick_plan_is_never_better_than_what_is_proven(seed):
    quick, answer = list_schedule(tiny(seed)), plan(tiny(seed), ENOUGH)
    assert quick.unplaced or quick.score.late_days >= answer.levels[0].bound == answer.score.late_days


# OR-Library, weighted tardiness, 40 jobs, instance 1 (J. E. Beasley, OR-Library, wtinfo; optimum 913).
# The data are under the MIT license: Copyright (c) J. E. Beasley; permission to use, copy, modify and distribute
# is granted free of charge, provided that this notice is kept; they come without warranty of any kind.
# The three rows were typed from memory; what confirms them is the published value, which the sequence below gives.
WORK = (
    26, 24, 79, 46, 32, 35, 73, 74, 14, 67, 86, 46, 78, 40, 29, 94, 64, 27, 90, 55,
    35, 52, 36, 69, 85, 95, 14, 78, 37, 86, 44, 28, 39, 12, 30, 68, 70, 9, 49, 50,
)  # fmt: skip
WEIGHT = (
    1, 10, 9, 10, 10, 4, 3, 2, 10, 3, 7, 3, 1, 3, 10, 4, 7, 7, 4, 7,
    5, 3, 5, 4, 9, 5, 2, 8, 10, 4, 7, 4, 9, 5, 7, 7, 5, 10, 1, 3,
)  # fmt: skip
DUE = (
    1588, 1620, 1731, 1773, 1694, 1487, 1566, 1844, 1727, 1636, 1599, 1539, 1855, 1645, 1709, 1660, 1582, 1836,
    1484, 1559, 1772, 1510, 1512, 1795, 1522, 1509, 1598, 1658, 1826, 1628, 1650, 1833, 1627, 1528, 1541, 1497,
    1481, 1446, 1579, 1814,
)  # fmt: skip
BEST_SEQUENCE = (
    19, 8, 33, 35, 26, 1, 37, 32, 24, 21, 0, 20, 10, 22, 6, 18, 25, 13, 16, 11,
    36, 29, 38, 34, 30, 5, 15, 14, 4, 27, 9, 2, 3, 23, 28, 17, 31, 39, 7, 12,
)  # fmt: skip
PUBLISHED = 913


def one_machine(jobs, due):
    """Each job is a design of its own in the one mold, which it keeps as long as the job takes; the bench is free.

    A job that ends on day t is packed on day t, and a line is late from its due day on: so each is due a day later.
    """
    last = sum(WORK[job] for job in jobs) + 1
    designs = tuple(
        PlanDesign(
            f"d{job}",
            (MoldYield("loaf", 1, 1),),
            (
                PlanStep("pour", "pour", 0, 0),
                PlanStep("cut", "pour", WORK[job], WORK[job]),
                PlanStep("release", "pour", WORK[job], WORK[job]),
            ),
        )
        for job in jobs
    )
    return PlanInput(
        START,
        tuple(BenchDay(on(day), 1440) for day in range(last)),
        designs,
        (("loaf", 1),),
        tuple(PlanLine(f"j{job}", f"d{job}", 1, on(due[job] + 1), WEIGHT[job]) for job in jobs),
        rack_bars=1000,
        pours_per_day=1000,
    )


def in_sequence(sequence):
    at, batches = 0, []
    for job in sequence:
        end = at + WORK[job]
        batches.append(
            PlannedBatch(f"b{job}", f"d{job}", "loaf", (("pour", on(at)), ("cut", on(end)), ("release", on(end))))
        )
        at = end
    return Plan(
        tuple(batches),
        tuple(Share(f"j{job}", f"b{job}", 1) for job in sequence),
        tuple((f"j{job}", batch.on("release")) for job, batch in zip(sequence, batches, strict=True)),
    )


def test_the_published_optimum_through_the_planning_model():
    asked, best = one_machine(range(40), DUE), in_sequence(BEST_SEQUENCE)
    assert check(asked, best) == ()
    assert score(asked, best).late_days == PUBLISHED


def least_tardiness(jobs, due):
    """Subset dynamic programming, the classical exact way for one machine."""
    best = {frozenset(): 0}
    for _ in jobs:
        following = {}
        for done, cost in best.items():
            ended = sum(WORK[job] for job in done)
            for job in jobs:
                if job not in done:
                    total = cost + WEIGHT[job] * max(0, ended + WORK[job] - due[job])
                    key = done | {job}
                    following[key] = min(total, following.get(key, total))
        best = following
    return best[frozenset(jobs)]


@pytest.mark.parametrize("first", (0, 6, 12, 18, 24))
def test_six_jobs_equal_dynamic_programming(first):
    """Six jobs of the instance, their due days drawn nearer so that some must be late."""
    jobs = tuple(range(first, first + 6))
    due = {job: DUE[job] % 181 for job in jobs}
    least = least_tardiness(jobs, due)
    answer = plan(one_machine(jobs, due), ENOUGH)
    assert least > 0
    assert answer.levels[0].is_proven
    assert answer.score.late_days == least


def test_most_days_bind_worked_by_hand():
    """Days 0, 1, 5, 6 and 8 on are open. A seal within one day of a cut within two: a pour on day 0 is cut on 1 and
    sealed on 1; a pour on day 1 would wait until day 5, four days after it. One mold, kept from pour to cut, so the
    second pour is on day 5 (cut and sealed on 6): released on day 8, packed on 8, due on day 7: two days late."""
    steps = (
        PlanStep("pour", "pour", 0, 0, 60),
        PlanStep("cut", "pour", 1, 2, 30),
        PlanStep("seal", "cut", 0, 1, 10),
        PlanStep("release", "pour", 3, None, 10),
    )
    design = PlanDesign("meadow", (MoldYield("loaf", 10, 9),), steps)
    bench = tuple(BenchDay(on(day), 70) for day in (0, 1, 5, 6, 8, 9))
    lines = (line("L", 9, 6), line("M", 9, 7))
    asked = PlanInput(START, bench, (design,), (("loaf", 1),), lines, rack_bars=40, buffer_days=0)
    answer = plan(asked, ENOUGH)
    assert (answer.levels[0].value, answer.levels[0].is_proven) == (2, True)


def test_one_batch_more_is_tried_before_lateness_is_called_proven():
    """A single slab for both lines waits for the mold's second day; two loaves do not. The quick plan shares a pour."""
    asked = workshop(line("L", 9, 36), line("M", 9, 36), supplies=())
    answer = plan(asked, ENOUGH)
    assert answer.levels[0].is_proven
    assert answer.score.late_days == 0


def test_more_time_is_never_worse():
    asked = workshop(*(line(f"L{n}", 5 + n, 34 + n, weight=1 + n % 3) for n in range(9)), minutes=130, pours_per_day=1)
    quick = plan(asked, Budget(seconds=0))
    better = plan(asked, Budget(seconds=3))
    assert better.score.order <= quick.score.order
    assert better.levels[0].bound <= better.score.late_days


def test_the_same_work_gives_the_same_values():
    asked = workshop(line("L", 9, 50), line("M", 12, 52), line("N", 30, 60))
    first, second = (plan(asked, Budget(seconds=5, repeatable=1.0)) for _ in range(2))
    assert (first.status, first.levels) == (second.status, second.levels)


def test_a_short_ingredient_is_given_to_the_line_that_cannot_wait():
    """Shea for one loaf now, more on day 21: the heavier line gets the first pour. Poured on 21, packed on 49."""
    supplies = (Supply("shea", 10 * 8000, ((on(21), 10**7),)),)
    asked = workshop(line("L", 9, 40, weight=1), line("M", 9, 40, weight=3), supplies=supplies)
    answer = plan(asked, ENOUGH)
    assert answer.score.late_days == 49 - 40 + 1
    assert answer.levels[0].is_proven


def test_a_solver_in_its_own_process_gives_the_same_values():
    asked = workshop(line("L", 9, 50), line("M", 12, 52))
    apart, here = plan_apart(asked, ENOUGH), plan(asked, ENOUGH)
    assert (apart.status, apart.levels, apart.notice) == (here.status, here.levels, "")


def planned_shop(count=6):
    """A shop whose planned batches all stand on good days, each for one line."""
    lines = tuple(line(f"L{n}", 9, 45 + 3 * n) for n in range(count))
    asked = workshop(*lines, pours_per_day=1)
    batches, shares = [], []
    for place, each in enumerate(lines):
        so_far = replace(asked, lines=lines[: place + 1], fixed=tuple(batches), reserved=tuple(shares))
        one = list_schedule(so_far).plan
        fresh = next(batch for batch in one.batches if batch not in batches)
        batches.append(replace(fresh, key=f"B{each.key}"))
        shares.append(Share(each.key, f"B{each.key}", 9))
    return replace(asked, movable=tuple(batches), reserved=tuple(shares))


def test_with_no_change_nothing_is_hit_and_nothing_moves():
    asked = planned_shop()
    assert batches_hit(asked) == frozenset()
    assert ladder(asked, Budget(seconds=2))[0].moved == 0


def test_a_maker_ill_for_three_days_and_a_rush_order():
    """The repair moves no more batches than a fresh plan, and is no later."""
    asked = planned_shop()
    first = min(batch.on("pour") for batch in asked.movable)
    bench = tuple(each for each in asked.bench if not first <= each.day <= first + timedelta(days=2))
    hit = replace(asked, bench=bench, lines=(*asked.lines, line("RUSH", 9, 40)))
    fresh = plan(hit, Budget(seconds=4))
    best = min(ladder(hit, Budget(seconds=8)), key=lambda rung: (rung.late_days, rung.moved))
    assert best.late_days <= fresh.score.late_days
    assert best.moved <= len(fresh.moved)
    assert check(hit, best.answer.plan) == ()


def enquiry(bars):
    return PlanLine(ENQUIRY, "meadow", bars, START)


def test_free_bars_answer_at_once():
    asked = planned_shop(2)
    current = plan(asked, ENOUGH).plan
    assert promise_from_free_bars(asked, current, enquiry(1)) is None
    lots = workshop(line("L", 9, 46), stock=())
    spare = replace(lots, designs=(replace(lots.designs[0], yields=(MoldYield("slab", 24, 22),)),))
    made = plan(spare, ENOUGH).plan
    free = promise_from_free_bars(spare, made, enquiry(13))
    assert free.ready_on == made.batches[0].on("release")
    assert promise_from_free_bars(spare, made, enquiry(14)) is None


def test_with_nothing_moved_the_cure_alone_sets_the_day():
    """Monday 2 March: a pour today is released 28 days later, on Monday 30 March."""
    asked = planned_shop(2)
    current = plan(asked, ENOUGH).plan
    found = promise_with_nothing_moved(asked, current, enquiry(9), ENOUGH)
    assert (found.ready_on, found.pours, found.is_proven) == (date(2026, 3, 30), (START,), True)


def test_moving_others_can_make_it_earlier_but_nobody_later():
    """Shea for one loaf until day 20 is held by a line due on day 80; it can wait, so the enquiry need not."""
    supplies = (Supply("shea", 10 * 8000, ((on(20), 10**7),)),)
    asked = workshop(line("L", 9, 80), supplies=supplies)
    days = (("pour", on(0)), ("cut", on(1)), ("seal", on(1)), ("release", on(28)))
    asked = replace(asked, movable=(PlannedBatch("B1", "meadow", "loaf", days),), reserved=(Share("L", "B1", 9),))
    current = Plan(asked.movable, asked.reserved, (("L", on(28)),))
    assert check(asked, current) == ()
    pinned = promise_with_nothing_moved(asked, current, enquiry(9), ENOUGH)
    moved = promise_with_moves(asked, Plan(current.batches, current.shares, (("L", on(77)),)), enquiry(9), ENOUGH)
    assert pinned.ready_on == on(49)
    assert moved.ready_on == on(28)
    assert moved.moved == ("B1",)


def test_a_plan_that_the_solver_may_not_better_is_kept():
    asked = workshop(line("L", 9, 46))
    start = list_schedule(asked).plan
    better, levels, _ = improve(asked, start, ENOUGH)
    assert score(asked, better).order <= score(asked, start).order
    assert [level.is_proven for level in levels] == [True, True, True]
