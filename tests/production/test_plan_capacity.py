"""What fits: rack, bench and molds over weeks and months, the week list, and cases of makers as they tell them.

The cases' figures are makers' own accounts, worked again by hand; no published source.
"""

from dataclasses import replace
from datetime import date, timedelta
from decimal import ROUND_UP, Decimal

import pytest

from formulas.design_records import mold_of
from formulas.models import Mold
from formulas.mold_choice import MoldOffer, choose_molds
from orders.models import Order
from orders.order_states import OrderState
from production.batches.pots import bars_from_one_pot
from production.batches.proposal import propose_for_order
from production.plan.bookings import bookings_for
from production.plan.models import HeldDate, TimeAway, WorkWeek
from production.plan.plan_designs import new_ways
from production.plan.week import week_list
from production.planning.calendar import WorkDays
from production.planning.capacity import (
    Capacity,
    Limit,
    Making,
    MonthRoom,
    bars_a_week,
    days_in_month,
    month_capacity,
    next_month,
)
from production.planning.countback import CountbackInput, count_back
from production.planning.lateness import INGREDIENT, why_late
from production.planning.list_schedule import list_schedule
from production.planning.plan_check import check
from production.planning.plan_records import MoldYield, PlanDesign, PlanStep, Supply
from tests.production.builders import make_design, make_order, planned_batch
from tests.production.test_planning_engine import MEADOW, START, STEPS, line, on
from tests.production.test_planning_engine import workshop as plan_shop


@pytest.mark.parametrize(("weeks", "bars"), ((4, 175), (5, 140), (6, 117)))
def test_a_full_hall_is_no_weekly_capacity(weeks, bars):
    """case-C66: 700 places and 4, 5 or 6 weeks of cure: 700 / 4 = 175, 700 / 5 = 140, 700 / 6 = 116.7 bars a week."""
    assert bars_a_week(700, weeks * 7) == bars


MAKING = Making(bars_a_pour=24, minutes_a_pour=120, tenths_a_bar=30, mold_days=2, cure_days=42)


@pytest.mark.parametrize(
    ("room", "rack", "expected"),
    (
        pytest.param(
            MonthRoom(date(2026, 6, 1), 22, 22 * 240, 44), 10_000, Capacity(15 * 24, Limit.MOLDS),
            id="30 days, the mold is kept two: 15 pours of 24",
        ),
        pytest.param(
            MonthRoom(date(2026, 6, 1), 22, 1000, 44), 10_000, Capacity(5 * 24, Limit.BENCH),
            id="120 + 72 minutes a pour: 1000 minutes are 5",
        ),
        pytest.param(
            MonthRoom(date(2026, 6, 1), 22, 22 * 240, 3), 10_000, Capacity(3 * 24, Limit.BENCH),
            id="no more than three pours can be done",
        ),
        pytest.param(
            MonthRoom(date(2026, 6, 1), 22, 22 * 240, 44), 100, Capacity(71, Limit.RACK),
            id="100 places for 30 days over 42 days of cure: 71",
        ),
    ),
)  # fmt: skip
def test_the_month_is_as_full_as_its_narrowest_place(room, rack, expected):
    assert month_capacity(room, MAKING, rack_bars=rack) == expected


def test_months_of_every_length():
    assert [days_in_month(date(2028, month, 1)) for month in (2, 4, 12)] == [29, 30, 31]
    assert next_month(date(2026, 12, 31)) == date(2027, 1, 1)


class TestCases:
    def test_the_last_pour_for_a_december_market(self):
        """case-C64:  on sale on Dec 20, four weeks of cure, three days (18 and 19 to label and pack, on the 20th out):
        31 days before, Nov 19."""
        asked = CountbackInput(
            date(2026, 11, 1), date(2026, 12, 20), cure_days=28, least_cure_days=28, label_days=1, pack_days=1
        )
        assert count_back(asked).pour_by == date(2026, 11, 19)

    @pytest.mark.parametrize(("today", "is_late"), ((date(2026, 11, 19), False), (date(2026, 11, 20), True)))
    def test_a_day_after_it_a_remake_is_called_too_late(self, today, is_late):
        """case-C64."""
        asked = CountbackInput(
            today, date(2026, 12, 20), cure_days=28, least_cure_days=28, label_days=1, pack_days=1, route=()
        )
        assert count_back(asked).is_late is is_late

    def test_eight_weeks_before_the_day(self):
        """case-C60: one week to agree, six of cure, one to pack; 8 weeks are 56 days. Packed in 6 days before
        the last, poured a week after the asking."""
        today = date(2026, 3, 2)
        asked = CountbackInput(today, today + timedelta(days=56), label_days=1, pack_days=5, route=())
        found = count_back(asked)
        assert not found.is_late
        assert found.pour_by >= today + timedelta(days=7)

    def test_half_block_or_full_block(self):
        """case-C68: 100 bars open, blocks of 90 and 180 poured Tuesday to Thursday: one block of 180, the rest for
        the shelf; 80 bars take the half block."""
        design = PlanDesign("meadow", (MoldYield("half", 90, 90), MoldYield("full", 180, 180)), STEPS)
        shop = plan_shop(
            line("L", 60, 50), line("M", 40, 55), closed=(0, 4, 5, 6), minutes=600, supplies=(),
            designs=(design,), molds=(("half", 1), ("full", 1)), rack_bars=400,
        )  # fmt: skip
        plan = list_schedule(shop).plan
        assert check(shop, plan) == ()
        assert [(each.mold, each.on("pour").weekday() in (1, 2, 3)) for each in plan.batches] == [("full", True)]
        assert list_schedule(shop).score.leftover_bars == 80
        small = replace(shop, lines=(line("L", 40, 50), line("M", 40, 55)))
        assert [each.mold for each in list_schedule(small).plan.batches] == ["half"]

    def test_a_hall_that_is_full_takes_no_more_until_it_empties(self):
        """case-C66. 100 places, two orders of 88 bars for one day: the second waits for the release of the first."""
        design = PlanDesign("meadow", (MoldYield("block", 90, 88),), STEPS)
        shop = plan_shop(
            line("L", 88, 35), line("M", 88, 35), minutes=600, supplies=(), designs=(design,), molds=(("block", 2),),
            rack_bars=100,
        )  # fmt: skip
        plan = list_schedule(shop).plan
        assert check(shop, plan) == ()
        first, second = sorted(plan.batches, key=lambda each: each.on("pour"))
        assert second.on("cut") >= first.on("release")

    def test_600_bars_in_rounds_of_what_the_molds_hold(self):
        """case-C67. Molds for 350 bars at a time, 600 wanted: two rounds, each pour a batch of its own."""
        design = PlanDesign("meadow", (MoldYield("round", 350, 350),), STEPS)
        shop = plan_shop(
            line("L", 600, 60), minutes=2000, supplies=(), designs=(design,), molds=(("round", 1),), rack_bars=800
        )
        plan = list_schedule(shop).plan
        assert sorted(share.bars for share in plan.shares) == [250, 350]
        assert len({each.on("pour") for each in plan.batches}) == 2

    def test_pours_are_no_larger_than_the_pot(self, workshop):
        """case-C67. A slab of 10 × 10 × 10 cm filled to the top is 1 liter and gives 50 bars: a pot of 16 liters fills
        16 of them, one of 2 liters two, one of half a liter none."""
        side = Decimal(100)
        mold = Mold(
            name="block", kind=Mold.Kind.SLAB, length_mm=side, width_mm=side, height_mm=side, rows=10, columns=5,
            headroom_percent=Decimal(0), usable_bars=50, owned=20,
        )  # fmt: skip
        pots = (Decimal(16), Decimal(2), Decimal("0.5"), None)
        assert [bars_from_one_pot(mold, pot) for pot in pots] == [800, 100, 0, None]
        assert [way.gross_bars for way in new_ways(mold, workshop, Decimal(2))] == [50, 100]
        assert new_ways(mold, workshop, Decimal("0.5")) == ()
        assert len(new_ways(mold, workshop)) == 20
        plan = choose_molds(600, (MoldOffer("block", 50, 20),), most_bars_per_pour=100)
        assert [pour.bars for pour in plan.pours] == [100] * 6

    def test_an_order_is_split_by_the_pot_too(self, owner, workshop):
        """case-C67: what the work calendar says of the pot reaches the order's plan and the planner."""
        order = make_order(owner, make_design(owner), 20, needed_by=date(2027, 8, 7))
        asked = {"workshop": workshop, "today": date(2027, 1, 4)}
        read = Order.objects.for_plan().get(pk=order.pk)
        assert len(propose_for_order(read, **asked).lines[0].pours) == 1
        WorkWeek.current()
        mold = order.lines.get().design.mold
        one = mold_of(mold).volume_ml * (1 - mold.headroom_percent / 100) / 1000
        WorkWeek.objects.update(pot_liters=one.quantize(Decimal("0.01"), rounding=ROUND_UP))
        again = propose_for_order(Order.objects.for_plan().get(pk=order.pk), **asked).lines[0]
        assert [pour.mold_count for pour in again.pours] == [1] * len(again.pours)
        assert len(again.pours) == 2
        WorkWeek.objects.update(pot_liters=Decimal("0.1"))
        small = propose_for_order(Order.objects.for_plan().get(pk=order.pk), **asked).lines[0]
        assert small.problem.startswith("One pour makes 0 bars at most")

    def test_taking_off_ash_has_its_minutes_and_its_day(self):
        """case-C97. Steamed off a tray at a time, one or two days before the release: 50 minutes fixed, and on a bench
        of 60 minutes a day nothing else long fits beside it."""
        steps = (*STEPS[:1], PlanStep("cut", "pour", 1, 2, 10), PlanStep("release", "pour", 28, None, 20),
                 PlanStep("ash", "release", -2, -1, 50))  # fmt: skip
        design = PlanDesign("meadow", (MoldYield("loaf", 10, 9),), steps)
        shop = plan_shop(line("L", 9, 50), line("M", 9, 50), designs=(design,), minutes=80, molds=(("loaf", 2),),
                        supplies=())  # fmt: skip
        plan = list_schedule(shop).plan
        assert check(shop, plan) == ()
        days = [each.on("ash") for each in plan.batches]
        assert [(each.on("release") - each.on("ash")).days in (1, 2) for each in plan.batches] == [True, True]
        assert len(set(days)) == 2

    def test_a_shortage_is_told_while_an_order_is_quoted(self):
        """case-C65. 9 bars of 10 draw 80 g of lavender; 50 g are there, the rest comes in three months: no pour is
        promised before it, and the reason names it."""
        delivery = on(60)
        design = replace(MEADOW, uses=(("lavender", 8000),))
        shop = plan_shop(
            line("L", 9, 40), designs=(design,), days=150,
            supplies=(Supply("lavender", 50_000, ((delivery, 100_000),)),),
        )  # fmt: skip
        plan = list_schedule(shop).plan
        assert [each.on("pour") >= delivery for each in plan.batches] == [True]
        (reason,) = why_late(shop, plan)
        assert (reason.kind, reason.ingredient) == (INGREDIENT, "lavender")


class TestDays:
    """Dates only: neither summer time nor a leap day nor a closure moves a window."""

    @pytest.mark.parametrize(
        "needed_by",
        (
            pytest.param(date(2026, 4, 20), id="over March 8, 2026, when US clocks go forward"),
            pytest.param(date(2026, 12, 1), id="over November 1, 2026, when they go back"),
            pytest.param(date(2028, 4, 10), id="over February 29, 2028"),
        ),
    )
    def test_a_cure_has_all_its_days(self, needed_by):
        asked = CountbackInput(needed_by - timedelta(days=120), needed_by, route=())
        found = count_back(asked)
        assert (found.release_on - found.pour_by).days == 42

    def test_no_pour_before_a_closure_in_which_it_could_not_be_cut(self):
        """Away Dec 24 to Jan 3: a pour on Dec 23 would have to be cut within two days. The last is on Dec 22."""
        calendar = WorkDays(away=((date(2026, 12, 24), date(2027, 1, 3)),))
        asked = CountbackInput(date(2026, 11, 1), date(2027, 2, 5), calendar=calendar)
        found = count_back(asked)
        assert calendar.is_open(found.pour_by)
        cut = next(step for step in found.steps if step.key == "cut")
        assert calendar.is_open(cut.on_day)
        assert 1 <= (cut.on_day - found.pour_on).days <= 2

    def test_days_away_in_the_plan(self):
        """Nobody works on days 14 to 20: no step falls there, and every window holds."""
        shop = plan_shop(*(line(f"L{n}", 9, 46 + n) for n in range(4)), supplies=())
        bench = tuple(each for each in shop.bench if not on(14) <= each.day <= on(20))
        away = replace(shop, bench=bench)
        plan = list_schedule(away).plan
        assert check(away, plan) == ()
        assert not any(on(14) <= day <= on(20) for batch in plan.batches for _, day in batch.days)


@pytest.mark.django_db
class TestBookings:
    def order(self, owner, **wish):
        return planned_batch(owner, **wish).serves.get().line.order

    def test_promised_bars_count_and_quotes_do_not(self, owner, workshop, today):
        """case-C61: unpaid quotes hold nothing. One order of 10 bars in August is accepted: it counts in its month,
        but not against itself."""
        own = self.order(owner)
        months = {each.first: each for each in bookings_for(own, today=today)}
        month = own.needed_by.replace(day=1)
        assert (months[month].booked_bars, months[month].asked_bars) == (0, 10)
        other = make_order(owner, own.lines.first().design, 12, needed_by=own.needed_by)
        assert {each.first: each.booked_bars for each in bookings_for(own, today=today)}[month] == 12
        other.__class__.objects.filter(pk=other.pk).update(status=OrderState.QUOTED.value)
        assert {each.first: each.booked_bars for each in bookings_for(own, today=today)}[month] == 0
        HeldDate.objects.create(
            design=own.lines.first().design, bars=7, ready_on=own.needed_by, source="free", expires_on=today
        )
        assert {each.first: each.booked_bars for each in bookings_for(own, today=today)}[month] == 7

    def test_what_is_poured_needs_no_room(self, owner, workshop, today):
        """The other order's 12 bars are poured: promised 12, poured 12, nothing of the month's room is taken."""
        own = self.order(owner)
        month = own.needed_by.replace(day=1)
        other = make_order(owner, own.lines.first().design, 12, needed_by=own.needed_by)
        batch = own.lines.first().planned_in.first().batch
        batch.serves.create(line=other.lines.first(), bars=12)
        before = next(each for each in bookings_for(own, today=today) if each.first == month)
        batch.__class__.objects.filter(pk=batch.pk).update(poured_on=today)
        after = next(each for each in bookings_for(own, today=today) if each.first == month)
        assert (before.booked_bars, before.poured_bars, after.poured_bars) == (12, 0, 12)
        assert after.left_bars == before.left_bars + 12

    def test_a_month_is_full_when_the_rack_is(self, owner, workshop, today):
        own = self.order(owner)
        WorkWeek.current()
        WorkWeek.objects.update(rack_bars=1)
        found = next(each for each in bookings_for(own, today=today) if each.asked_bars)
        assert (found.capacity.limit, found.is_over) == (Limit.RACK, True)

    def test_the_order_page_says_it_before_the_order_is_accepted(self, owner_client, owner, today):
        own = self.order(owner)
        assert "Is there room?" not in owner_client.get(f"/orders/{own.number}/making/").content.decode()
        own.__class__.objects.filter(pk=own.pk).update(status=OrderState.QUOTED.value)
        assert "Is there room?" in owner_client.get(f"/orders/{own.number}/making/").content.decode()


@pytest.mark.django_db
class TestWeekList:
    def test_a_week_with_its_steps_and_closed_days(self, owner, workshop):
        batch = planned_batch(owner)
        TimeAway.objects.create(first_on=batch.pour_on + timedelta(days=2), last_on=batch.pour_on + timedelta(days=2))
        week = week_list(batch.pour_on)
        assert (week.first.weekday(), (week.last - week.first).days) == (0, 6)
        poured = next(day for day in week.days if day.day == batch.pour_on)
        assert "pour" in {step.key for step in poured.steps}
        assert (poured.room, poured.why_closed) == (240, "")
        away = [day for day in week.days if day.why_closed]
        assert [(day.day - batch.pour_on).days for day in away] in ([2], [])

    @pytest.mark.parametrize("day", ("", "2026-05-12", "2026-02-31", "soon", "0001-01-01", "9999-12-31"))
    def test_any_day_can_be_asked_for(self, owner_client, day):
        assert owner_client.get("/plan/week/", {"day": day}).status_code == 200


def test_the_made_up_weeks_begin_on_a_monday():
    assert START.weekday() == 0
