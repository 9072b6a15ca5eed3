"""Ready by facts. Limits (six weeks, under 1 % in the last week) are common practice without a published source."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from production.cure.readiness import (
    BarWeighing,
    CheckMade,
    CureFacts,
    CureState,
    MarkedBar,
    Reason,
    judge_readiness,
)

POURED, CUT, READY_DAY = date(2026, 4, 23), date(2026, 4, 24), date(2026, 6, 4)


def bar(mark, *weighings, **more):
    return MarkedBar(mark, tuple(BarWeighing(date.fromisoformat(on), Decimal(g)) for on, g in weighings), **more)


# 130 g at the cut, 116.0 → 115.5 g in the last week: 0.5 / 116 = 0.43 %.
STEADY = bar("1", ("2026-04-24", "130"), ("2026-05-28", "116.0"), ("2026-06-04", "115.5"))
# 116.6 → 115.0: 1.6 / 116.6 = 1.37 %.
STILL_LOSING = bar("2", ("2026-04-24", "130"), ("2026-05-28", "116.6"), ("2026-06-04", "115.0"))
GOOD_CHECKS = (CheckMade("looks", READY_DAY), CheckMade("titration", READY_DAY, Decimal("0.03")))


def facts(**changes):
    known = {
        "poured_on": POURED,
        "cut_on": CUT,
        "today": READY_DAY,
        "bars": (STEADY,),
        "checks": GOOD_CHECKS,
        "superfat_percent": Decimal(5),
        "water_percent": Decimal(19),
        "scent_percent": Decimal(2),
        "batch": "26-014",
    }
    return CureFacts(**(known | changes))


def codes(readiness):
    return [reason.code for reason in readiness.reasons]


def test_days_weights_and_checks_together_make_it_ready():
    readiness = judge_readiness(facts())
    assert readiness.state == CureState.READY
    assert readiness.is_ready
    assert (readiness.day_of_cure, readiness.days_to_go, readiness.reasons) == (42, 0, ())
    assert readiness.ready_on == readiness.best_from == READY_DAY
    assert round(readiness.week_loss_percent, 2) == Decimal("0.43")
    assert not readiness.may_release_early


@pytest.mark.parametrize(
    ("changes", "expected"),
    (
        pytest.param(
            {
                "today": READY_DAY - timedelta(days=1),
                "bars": (bar("1", ("2026-04-24", "130"), ("2026-05-27", "116.0"), ("2026-06-03", "115.5")),),
            },
            ["cure_days"],
            id="one day short",
        ),
        pytest.param({"bars": ()}, ["not_weighed"], id="never by the calendar alone"),
        pytest.param({"bars": (bar("1", ("2026-06-04", "115.5")),)}, ["too_few_weighings"], id="weighed once"),
        pytest.param({"bars": (STEADY, STILL_LOSING)}, ["still_losing"], id="the wettest bar decides"),
        pytest.param({"today": READY_DAY + timedelta(days=8)}, ["old_weighing"], id="last weighing too old"),
        pytest.param({"checks": ()}, ["no_check"], id="no check"),
        pytest.param({"checks": (CheckMade("zap", READY_DAY),)}, ["no_check", "no_test"], id="a tongue touch alone"),
    ),
)
def test_what_is_missing_keeps_it_curing(changes, expected):
    readiness = judge_readiness(facts(**changes))
    assert (readiness.state, codes(readiness)) == (CureState.CURING, expected)


@pytest.mark.parametrize(
    ("changes", "expected"),
    (
        ({"has_hold": True, "hold_reason": "smells wrong"}, ["hold"]),
        ({"open_deviations": ("scale was off by 4 g.",)}, ["open_deviation"]),
        ({"checks": (CheckMade("titration", READY_DAY, Decimal("0.07")),)}, ["titration_hold"]),
        ({"checks": (CheckMade("looks", READY_DAY, is_normal=False),)}, ["looks", "no_test"]),
        (
            {"checks": (CheckMade("looks", READY_DAY),), "superfat_percent": Decimal("-0.4")},
            ["superfat_none", "no_test"],
        ),
    ),
)
def test_what_holds_a_batch(changes, expected):
    readiness = judge_readiness(facts(**changes))
    assert (readiness.state, codes(readiness)) == (CureState.HELD, expected)
    assert not readiness.may_release_early


def test_notes_for_the_reviewer_do_not_block():
    readiness = judge_readiness(facts(checks=(CheckMade("looks", READY_DAY),)))
    assert readiness.state == CureState.READY
    assert [(reason.code, reason.blocks) for reason in readiness.reasons] == [("no_test", False)]


def test_every_reason_reads_as_a_sentence_with_a_mend():
    readiness = judge_readiness(
        facts(today=date(2026, 5, 28), bars=(), checks=(), open_deviations=("soda ash",), has_hold=True)
    )
    assert readiness.reasons == (
        Reason("hold", "The batch is on hold.", "Clear the hold, or reject it."),
        Reason("open_deviation", "A deviation is still open: soda ash.", "Close it with a decision."),
        Reason("cure_days", "Day 35 of 42: 7 days to go.", "Wait until June 4, 2026."),
        Reason("not_weighed", "No bar has been weighed yet.", "Weigh the marked bars."),
        Reason("no_check", "No check is entered.", "Enter how the bars look, a pH or a titration."),
    )


@pytest.mark.parametrize(
    ("today", "may"),
    (("2026-05-20", False), ("2026-05-21", True), ("2026-06-03", True)),
)
def test_early_release_begins_at_the_least_cure(today, may):
    """28 days from 23 April is 21 May; only time and weight may be missing."""
    readiness = judge_readiness(facts(today=date.fromisoformat(today), bars=()))
    assert readiness.may_release_early == may
    assert readiness.best_from == READY_DAY


def test_early_release_is_not_offered_without_a_check_or_with_a_doubtful_weight():
    early = date(2026, 5, 25)
    assert not judge_readiness(facts(today=early, bars=(), checks=())).may_release_early
    odd = bar("1", ("2026-04-24", "130"), ("2026-05-24", "140"))
    assert not judge_readiness(facts(today=early, bars=(odd,))).may_release_early


def test_not_cut_yet():
    readiness = judge_readiness(facts(cut_on=None, today=CUT, bars=(), checks=()))
    assert (readiness.state, codes(readiness)) == (CureState.NOT_CUT, ["not_cut", "cure_days"])


def test_the_forecast_moves_the_ready_day_and_never_before_today():
    late = date(2026, 6, 12)
    waiting = facts(today=date(2026, 6, 4), bars=(STEADY, STILL_LOSING), forecast_ready_on=late)
    assert judge_readiness(waiting).ready_on == late
    assert judge_readiness(replace(waiting, today=date(2026, 6, 20))).ready_on == date(2026, 6, 20)
    assert judge_readiness(facts(today=date(2026, 5, 1))).ready_on == READY_DAY


class TestDoubtfulWeights:
    @pytest.mark.parametrize(
        ("doubtful", "code", "sentence"),
        (
            (
                bar("3", ("2026-04-24", "130"), ("2026-05-28", "132")),
                "heavier",
                "Bar 3 weighs 132 g, more than the 130 g at the cut.",
            ),
            (
                bar("3", ("2026-04-24", "130"), ("2026-05-28", "100")),
                "too_light",
                "Bar 3 lost 23.1 %, more than its water and scent (21.0 %).",
            ),
            (bar("3", ("2026-04-24", "130"), ("2026-05-28", "0")), "no_weight", "Bar 3 has no weight."),
            (bar("3", ("2026-04-23", "130"), ("2026-05-28", "116")), "before_cut", "Bar 3 was weighed before the cut."),
            (
                bar("3", ("2026-04-24", "130"), ("2026-06-05", "116")),
                "in_future",
                "Bar 3 has a weighing on a day still to come.",
            ),
        ),
    )
    def test_they_are_questioned_and_block(self, doubtful, code, sentence):
        readiness = judge_readiness(facts(bars=(STEADY, doubtful)))
        assert readiness.state == CureState.CURING
        assert [(reason.code, reason.text) for reason in readiness.reasons] == [(code, sentence)]

    def test_a_bar_of_another_batch(self):
        other = bar("3", ("2026-06-04", "116"), batch="26-013")
        texts = [reason.text for reason in judge_readiness(facts(bars=(STEADY, other))).reasons]
        assert texts == ["Bar 3 carries batch 26-013, not 26-014."]
        same = bar("3", ("2026-06-04", "116"), batch="26-014")
        assert judge_readiness(facts(bars=(STEADY, same))).reasons == ()

    def test_one_scale_step_is_no_doubt(self):
        damp = bar("3", ("2026-04-24", "130"), ("2026-04-25", "131"))
        assert judge_readiness(facts(bars=(STEADY, damp))).is_ready

    def test_a_doubtful_weight_never_makes_a_bar_steady(self):
        """Without the slip the bar was weighed once after the cut, 6 weeks apart: 130 → 116 is 1.8 % a week."""
        slip = bar("3", ("2026-04-24", "130"), ("2026-05-28", "60"), ("2026-06-04", "115.9"))
        readiness = judge_readiness(facts(bars=(slip,)))
        assert codes(readiness) == ["too_light", "still_losing"]
        assert round(readiness.week_loss_percent, 1) == Decimal("1.9")


class TestDates:
    @pytest.mark.parametrize(
        ("poured_on", "today", "day_of_cure"),
        (
            pytest.param("2028-02-01", "2028-03-01", 29, id="over a leap day"),
            pytest.param("2026-02-01", "2026-03-01", 28, id="a short February"),
            pytest.param("2026-03-07", "2026-03-09", 2, id="clocks go forward in America"),
            pytest.param("2026-10-24", "2026-10-26", 2, id="clocks go back in Europe"),
            pytest.param("2026-12-20", "2027-01-31", 42, id="over the turn of the year"),
            pytest.param("2026-04-23", "2026-04-23", 0, id="the day of the pour"),
        ),
    )
    def test_cure_counts_calendar_days(self, poured_on, today, day_of_cure):
        pour = date.fromisoformat(poured_on)
        readiness = judge_readiness(CureFacts(poured_on=pour, today=date.fromisoformat(today)))
        assert readiness.day_of_cure == day_of_cure

    @pytest.mark.parametrize("zone", ("Pacific/Auckland", "America/Los_Angeles", "Europe/Berlin"))
    def test_half_past_eleven_at_night_is_still_that_day(self, zone):
        local = datetime(2026, 6, 3, 23, 30, tzinfo=ZoneInfo(zone)).astimezone(UTC).astimezone(ZoneInfo(zone))
        assert judge_readiness(facts(today=local.date())).days_to_go == 1
        assert judge_readiness(facts(today=(local + timedelta(minutes=30)).date())).days_to_go == 0

    def test_a_pour_in_the_future_is_questioned(self):
        readiness = judge_readiness(CureFacts(poured_on=READY_DAY, today=POURED, cut_on=READY_DAY))
        assert "pour_in_future" in codes(readiness)
