"""Counting back. The worked plan is arithmetic by hand on rules of common practice; no published source exists."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from production.planning.calendar import WorkDays
from production.planning.countback import (
    CountbackError,
    CountbackInput,
    PartLead,
    RouteStep,
    count_back,
    needed_in_hand,
)
from production.planning.route import RouteError, check_route, route_for

EVENT = date(2026, 6, 14)
AGREED = RouteStep("agree", "Agree, deposit, approval", "pour", -60, -29, binds=False)
STAMP = RouteStep("stamp", "Stamp", "pour", 2, 7)
# This plan puts the seals on the day after the cut; the starting route allows up to two days.
SEALS_NEXT_DAY = RouteStep("attach_seals", "Attach seals", "cut", 1, 1, is_for_part=True)
STARTING_ROUTE = route_for(has_dough=True, has_toppers=True, has_seals=True, is_new_scent=True)
WEDDING_ROUTE = (AGREED, *(SEALS_NEXT_DAY if step.key == "attach_seals" else step for step in STARTING_ROUTE), STAMP)
WEEKEND = frozenset({5, 6})


def day(text):
    return date.fromisoformat(text)


def favors(today="2026-03-01", **changes):
    known = {"today": day(today), "needed_by": needed_in_hand(EVENT), "bars": 40, "route": WEDDING_ROUTE}
    return CountbackInput(**(known | changes))


def planned(plan, key):
    return next(step for step in plan.steps if step.key == key)


class TestWorkedPlan:
    """36 favors with two layers, 6 toppers and 36 seals for an event on 14 June, six weeks of cure."""

    def test_the_fixed_days(self):
        plan = count_back(favors())
        assert needed_in_hand(EVENT) == day("2026-06-07")
        assert plan.in_hand_on == plan.hand_over_on == day("2026-06-07")
        assert plan.release_on == plan.ready_on == day("2026-06-04")
        assert plan.pour_by == plan.pour_on == day("2026-04-23")
        assert plan.last_safe_pour == day("2026-05-07")
        assert plan.change_by == day("2026-04-16")
        assert (plan.is_late, plan.late_days, plan.choices, plan.warnings) == (False, 0, (), ())
        assert plan.reason == (
            "Pour by April 23, 2026: 42 days of cure to June 4, 2026, "
            "handed over on June 7, 2026, in hand on June 7, 2026."
        )

    @pytest.mark.parametrize(
        ("key", "first", "last"),
        (
            ("agree", "2026-02-22", "2026-03-25"),
            ("test_bar", "2026-02-22", "2026-04-01"),
            ("dough", "2026-04-14", "2026-04-18"),
            ("seals", "2026-04-20", "2026-04-22"),
            ("cut", "2026-04-24", "2026-04-25"),
            ("attach_seals", "2026-04-25", "2026-04-26"),
            ("stamp", "2026-04-25", "2026-04-30"),
            ("label", "2026-06-05", "2026-06-05"),
            ("pack", "2026-06-06", "2026-06-06"),
        ),
    )
    def test_the_windows_of_the_steps(self, key, first, last):
        step = planned(count_back(favors()), key)
        assert (step.first_day, step.last_day) == (day(first), day(last))

    def test_weighings_are_weekly_and_end_with_the_release(self):
        days = planned(count_back(favors()), "weigh").on_days
        assert [f"{each:%d.%m.}" for each in days] == [
            "24.04.", "01.05.", "08.05.", "15.05.", "22.05.", "29.05.", "04.06.",
        ]  # fmt: skip

    def test_steps_come_in_the_order_of_their_days(self):
        days = [step.on_day for step in count_back(favors()).steps]
        assert days == sorted(days)


class TestTheDayHasPassed:
    def test_the_pour_by_day_itself_is_in_time(self):
        done = frozenset({"agree", "test_bar", "dough", "toppers", "seals", "gather"})
        plan = count_back(favors("2026-04-23", done=done))
        assert (plan.is_late, plan.pour_on, plan.warnings) == (False, day("2026-04-23"), ())

    def test_one_day_later_the_honest_day_and_what_is_left(self):
        """Poured on 24 April: 42 days to 5 June, label 6, pack 7, hand over 8 June: one day late."""
        done = frozenset({"agree", "test_bar", "dough", "toppers", "seals", "gather"})
        plan = count_back(favors("2026-04-24", done=done))
        assert (plan.is_late, plan.late_days, plan.in_hand_on) == (True, 1, day("2026-06-08"))
        assert plan.reason == (
            "Needed on June 7, 2026, so the last day to pour was April 23, 2026. "
            "The earliest pour is on April 24, 2026: 42 days of cure to June 5, 2026, "
            "in hand on June 8, 2026, 1 day late."
        )
        assert [warning.code for warning in plan.warnings] == ["pour_by_passed"]
        assert [(choice.kind, choice.is_on_time) for choice in plan.choices] == [
            ("shorter_cure", True),
            ("later", False),
        ]
        shorter = plan.choices[0]
        assert (shorter.cure_days, shorter.best_from) == (41, day("2026-06-05"))

    def test_parts_made_ahead_push_the_pour(self):
        """Dough needs five days before the pour: on 1 May the first pour is 6 May, 29 days before the release."""
        plan = count_back(favors("2026-05-01"))
        assert plan.earliest_pour == day("2026-05-06")
        assert [(choice.kind, choice.pour_on, choice.cure_days) for choice in plan.choices] == [
            ("shorter_cure", day("2026-05-06"), 29),
            ("plain_bar", day("2026-05-01"), 34),
            ("later", day("2026-05-06"), 42),
        ]

    def test_after_the_last_safe_pour_no_shorter_cure_is_offered(self):
        done = frozenset({"dough", "toppers", "seals"})
        assert "shorter_cure" in [each.kind for each in count_back(favors("2026-05-07", done=done)).choices]
        late = count_back(favors("2026-05-08", done=done))
        assert [choice.kind for choice in late.choices] == ["later"]
        assert late.choices[0].in_hand_on == late.in_hand_on == day("2026-06-22")

    def test_stock_bars_serve_all_or_a_part(self):
        done = frozenset({"dough", "toppers", "seals"})
        part = count_back(favors("2026-05-20", done=done, stock_bars=10)).choices[0]
        assert (part.kind, part.bars, part.is_on_time) == ("part_delivery", 10, True)
        assert part.text == "Deliver 10 bars from stock in time and the other 30 on July 4, 2026."
        full = count_back(favors("2026-05-20", done=done, stock_bars=90)).choices[0]
        assert (full.kind, full.bars, full.in_hand_on) == ("stock", 40, day("2026-05-23"))

    def test_without_stock_none_is_offered(self):
        assert {choice.kind for choice in count_back(favors("2026-05-20")).choices} == {"plain_bar", "later"}

    def test_a_needed_by_day_in_the_past_is_said(self):
        codes = [warning.code for warning in count_back(favors("2026-06-08")).warnings]
        assert codes[:2] == ["needed_by_passed", "pour_by_passed"]

    def test_a_delivery_that_comes_too_late_sets_the_pour(self):
        shea = PartLead("Shea butter", ready_on=day("2026-04-27"))
        plan = count_back(favors(parts=(shea,)))
        assert (plan.is_late, plan.earliest_pour) == (True, day("2026-04-27"))
        in_time = count_back(favors(parts=(PartLead("Shea butter", ready_on=day("2026-04-23")),)))
        assert (in_time.is_late, in_time.pour_on) == (False, day("2026-04-23"))

    def test_a_step_left_behind_is_named(self):
        warning = count_back(favors("2026-04-02")).warnings[-1]
        assert warning.text == "“Pour a test bar of the new scent” should have been done by April 1, 2026."


class TestAlreadyPoured:
    def test_poured_in_time(self):
        plan = count_back(favors("2026-05-01", poured_on=day("2026-04-20")))
        assert (plan.is_late, plan.pour_on, plan.ready_on) == (False, day("2026-04-20"), day("2026-06-01"))
        assert "pour" not in [step.key for step in plan.steps]
        assert planned(plan, "release").on_day == day("2026-06-04")

    def test_poured_too_late_may_still_go_out_early(self):
        plan = count_back(favors("2026-05-10", poured_on=day("2026-05-01")))
        assert (plan.is_late, plan.in_hand_on) == (True, day("2026-06-15"))
        assert [(choice.kind, choice.cure_days) for choice in plan.choices] == [("shorter_cure", 34), ("later", 42)]

    def test_a_batch_poured_in_time_but_not_released_is_late_from_today_on(self):
        """On 6 June, one day before it is needed, label (7), pack (8) and hand-over (9 June) are still ahead."""
        waiting = favors("2026-06-06", poured_on=day("2026-04-20"))
        plan = count_back(waiting)
        assert (plan.is_late, plan.late_days, plan.in_hand_on) == (True, 2, day("2026-06-09"))
        assert not count_back(favors("2026-06-04", poured_on=day("2026-04-20"))).is_late

    def test_labels_and_packing_that_are_done_take_no_more_days(self):
        done = frozenset({"release", "label", "pack"})
        plan = count_back(favors("2026-06-07", poured_on=day("2026-04-20"), done=done))
        assert (plan.is_late, plan.in_hand_on) == (False, day("2026-06-07"))

    def test_a_pour_still_to_come_is_refused(self):
        with pytest.raises(CountbackError, match="still to come"):
            count_back(favors("2026-04-01", poured_on=day("2026-04-02")))


class TestClosedDays:
    def test_weekends_off_worked_by_hand(self):
        """June 7, 2026 is a Sunday: hand over Friday 5, pack 4, label 3, release 2 June; 42 days before is 21 April."""
        plan = count_back(favors(calendar=WorkDays(WEEKEND)))
        assert (plan.hand_over_on, plan.release_on, plan.pour_by) == (
            day("2026-06-05"),
            day("2026-06-02"),
            day("2026-04-21"),
        )
        assert plan.last_safe_pour == day("2026-05-05")

    def test_no_pour_before_days_off_in_which_nobody_could_cut(self):
        """Away 24 to 27 April: a pour on the 23rd or 22nd leaves its cut (1 to 2 days) or its seals without a day."""
        away = WorkDays(away=((day("2026-04-24"), day("2026-04-27")),))
        plan = count_back(favors(calendar=away))
        assert plan.pour_by == day("2026-04-21")
        assert [warning.code for warning in plan.warnings] == ["pour_moved"]
        assert plan.warnings[0].text == (
            "The cure alone would allow a pour on April 23, 2026, "
            "but a step that follows the pour would find no open day."
        )

    def test_a_cut_waits_a_day_when_only_then_its_seals_find_one(self):
        """Only the 26th is closed: cut on the 24th, seals on the 25th. Only the 25th: no cut-and-next-day pair."""
        one_day = {"2026-04-26": "2026-04-23", "2026-04-25": "2026-04-22"}
        for closed, pour_by in one_day.items():
            calendar = WorkDays(closed_days=frozenset({day(closed)}))
            assert count_back(favors(calendar=calendar)).pour_by == day(pour_by)

    def test_the_cure_runs_on_while_the_workshop_is_closed(self):
        away = WorkDays(away=((day("2026-05-03"), day("2026-06-02")),))
        assert count_back(favors(calendar=away)).pour_by == day("2026-04-23")

    def test_without_labels_and_packing_the_release_is_the_hand_over(self):
        plan = count_back(favors(label_days=0, pack_days=0))
        assert plan.release_on == plan.hand_over_on == day("2026-06-07")
        assert plan.pour_by == day("2026-04-26")

    def test_post_days_are_calendar_days(self):
        assert count_back(favors(handover_days=3)).pour_by == day("2026-04-20")

    def test_closed_over_the_turn_of_the_year(self):
        """Needed 10 January, away 24 December to 6 January: the release falls on 7 January at the earliest use."""
        away = WorkDays(away=((day("2026-12-24"), day("2027-01-06")),))
        plan = count_back(CountbackInput(day("2026-10-01"), day("2027-01-10"), bars=10, calendar=away))
        assert (plan.release_on, plan.pour_by) == (day("2027-01-07"), day("2026-11-26"))


class TestDates:
    @pytest.mark.parametrize(
        ("needed_by", "cure_days", "pour_by"),
        (
            pytest.param("2028-03-03", 28, "2028-02-01", id="over a leap day: 29 February is the release"),
            pytest.param("2026-03-03", 28, "2026-01-31", id="over the end of a short February"),
            pytest.param("2026-04-12", 42, "2026-02-26", id="over the spring clock change in two zones"),
            pytest.param("2026-11-15", 42, "2026-10-01", id="over the autumn clock change"),
            pytest.param("2027-01-03", 42, "2026-11-19", id="over the turn of the year"),
        ),
    )
    def test_cure_counts_calendar_days(self, needed_by, cure_days, pour_by):
        """Label, pack and the release itself take three days before hand-over; counted on a printed calendar."""
        plan = count_back(CountbackInput(day("2025-06-01"), day(needed_by), cure_days=cure_days, bars=10))
        assert plan.pour_by == day(pour_by)

    @pytest.mark.parametrize("zone", ("Pacific/Auckland", "America/Los_Angeles", "Europe/Berlin"))
    def test_half_past_eleven_at_night_is_still_today(self, zone):
        """At 23:30 local on the pour-by day the order is in time; half an hour later it is not."""
        evening = datetime(2026, 4, 23, 23, 30, tzinfo=ZoneInfo(zone)).astimezone(UTC)
        done = frozenset({"dough", "toppers", "seals"})
        for moment, is_late in ((evening, False), (evening + timedelta(minutes=30), True)):
            local_day = moment.astimezone(ZoneInfo(zone)).date()
            assert count_back(favors(local_day.isoformat(), done=done)).is_late == is_late


class TestRefusals:
    @pytest.mark.parametrize(
        ("changes", "sentence"),
        (
            ({"cure_days": -1}, "below zero"),
            ({"bars": -1}, "below zero"),
            ({"cure_days": 20}, "The least cure of 28 days is longer than the cure of 20 days"),
        ),
    )
    def test_impossible_figures(self, changes, sentence):
        with pytest.raises(CountbackError, match=sentence):
            count_back(favors(**changes))

    @pytest.mark.parametrize(
        ("route", "sentence"),
        (
            ((RouteStep("a", "A", "b"), RouteStep("b", "B", "a")), "waits for a step that waits for it"),
            ((RouteStep("a", "A", "nowhere"),), "counted from “nowhere”"),
            ((RouteStep("a", "A"), RouteStep("a", "B")), "same key"),
        ),
    )
    def test_routes_that_cannot_be(self, route, sentence):
        with pytest.raises(RouteError, match=sentence):
            check_route(route)

    def test_steps_that_cannot_be(self):
        with pytest.raises(RouteError, match="fewer most days"):
            RouteStep("a", "A", "pour", 3, 1)
        with pytest.raises(RouteError, match="negative time"):
            RouteStep("a", "A", fixed_minutes=-1)
        with pytest.raises(RouteError, match="counted from itself"):
            RouteStep("a", "A", "a")

    def test_a_sound_route_passes(self):
        check_route(WEDDING_ROUTE)

    def test_minutes_are_rounded_up_once(self):
        assert RouteStep("a", "A", fixed_minutes=10, minutes_per_bar=Decimal("0.5")).minutes_for(7) == 14


@settings(max_examples=150, deadline=None)
@given(
    today=st.integers(0, 120),
    needed=st.integers(0, 200),
    cure=st.integers(28, 90),
    post=st.integers(0, 5),
    closed=st.sets(st.integers(0, 6), max_size=3),
    away=st.integers(0, 150),
    away_for=st.integers(0, 12),
)
def test_whatever_is_asked_the_plan_keeps_its_own_rules(today, needed, cure, post, closed, away, away_for):
    """Work falls on open days, the cure is never cut short, and a plan called in time is in hand in time."""
    start = date(2028, 1, 1)
    calendar = WorkDays(
        frozenset(closed), away=((start + timedelta(days=away), start + timedelta(days=away + away_for)),)
    )
    asked = CountbackInput(
        start + timedelta(days=today),
        start + timedelta(days=needed),
        handover_days=post,
        cure_days=cure,
        bars=12,
        calendar=calendar,
        route=route_for(has_seals=True),
    )
    plan = count_back(asked)
    assert calendar.is_open(plan.pour_on)
    assert calendar.is_open(plan.release_on)
    assert calendar.is_open(plan.hand_over_on)
    assert plan.pour_on >= asked.today
    assert (plan.release_on - plan.pour_on).days >= cure
    assert plan.pour_by <= plan.last_safe_pour
    assert plan.is_late == (plan.in_hand_on > asked.needed_by)
    assert plan.pour_on <= plan.release_on <= plan.hand_over_on
    assert plan.in_hand_on == plan.hand_over_on + timedelta(days=post)
    for choice in plan.choices:
        assert choice.is_on_time == (choice.in_hand_on <= asked.needed_by)
        assert choice.cure_days is None or choice.cure_days >= asked.least_cure_days
