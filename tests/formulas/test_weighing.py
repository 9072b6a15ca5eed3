"""What a scale can weigh, against the published yardsticks and hand-worked rows."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from formulas.weighing import (
    TOLERANCE_FRACTIONS,
    AcceptBand,
    DoseTooSmall,
    Scale,
    ScaleOverloaded,
    WeighingError,
    accept_band,
    in_service_error_grams,
    is_scale_true,
    pot_difference_grams,
    round_to_step,
    running_totals,
    smallest_dose_grams,
    superfat_actual_fraction,
    weigh_plan,
)

D = Decimal
KITCHEN = Scale("kitchen scale", D(1), D(5000))
BENCH = Scale("bench scale", D("0.1"), D(2000))
POCKET = Scale("pocket scale", D("0.01"), D(200))
ALL = (KITCHEN, BENCH, POCKET)


class TestSmallestDose:
    @pytest.mark.parametrize(
        ("tolerance", "steps"),
        (("0.001", "820"), ("0.005", "164"), ("0.01", "82"), ("0.02", "41"), ("0.05", "16.4")),
        ids=lambda value: f"rule W1 {value}",
    )
    @pytest.mark.parametrize("step", ("1", "0.1", "0.01"))
    def test_in_steps_of_the_scale(self, tolerance, steps, step):
        """820 steps at 0.1 % is the published lower end for a balance (USP general chapter 41); the rest scales."""
        least = smallest_dose_grams(
            scale_min_grams=D(0), sd_grams=None, step_grams=D(step), tolerance_fraction=D(tolerance)
        )
        assert least == D(steps) * D(step)

    def test_own_repeatability_counts_when_worse(self):
        """Worked by hand: 2 × 0.8 g / 0.5 %."""
        assert smallest_dose_grams(
            scale_min_grams=D(0), sd_grams=D("0.8"), step_grams=D(1), tolerance_fraction=D("0.005")
        ) == D(320)

    def test_sd_better_than_the_step_is_not_believed(self):
        assert smallest_dose_grams(
            scale_min_grams=D(0), sd_grams=D("0.01"), step_grams=D(1), tolerance_fraction=D("0.01")
        ) == D(82)

    def test_least_load_of_the_scale(self):
        assert smallest_dose_grams(
            scale_min_grams=D(20), sd_grams=None, step_grams=D("0.1"), tolerance_fraction=D("0.05")
        ) == D(20)

    def test_four_parts_double_it(self):
        """rule W5: the spread grows with the square root of the parts."""
        assert smallest_dose_grams(
            scale_min_grams=D(0), sd_grams=None, step_grams=D(1), tolerance_fraction=D("0.01"), weighed_in_parts=4
        ) == D(164)

    @pytest.mark.parametrize(("step", "tolerance", "parts"), (("0", "0.01", 1), ("1", "0", 1), ("1", "0.01", 0)))
    def test_scale_that_cannot_be(self, step, tolerance, parts):
        with pytest.raises(WeighingError, match="Correct the scale"):
            smallest_dose_grams(
                scale_min_grams=D(0),
                sd_grams=None,
                step_grams=D(step),
                tolerance_fraction=D(tolerance),
                weighed_in_parts=parts,
            )


class TestRounding:
    @pytest.mark.parametrize(
        ("grams", "step", "kind", "expected"),
        (
            ("147.474", "0.1", "lye", "147.4"),
            ("147.474", "1", "lye", "147"),
            ("147.499", "0.01", "lye", "147.49"),
            ("299.416", "1", "other", "299"),
            ("299.5", "1", "other", "300"),
            ("12.05", "0.1", "other", "12.1"),
            ("147.4", "0.1", "lye", "147.4"),
        ),
    )
    def test_lye_down_others_nearest(self, grams, step, kind, expected):
        """rule W3, worked by hand."""
        assert round_to_step(D(grams), D(step), kind=kind) == D(expected)

    @given(st.decimals(min_value="0.001", max_value=5000, places=3), st.sampled_from(("1", "0.1", "0.01", "0.5")))
    def test_lye_never_grows(self, grams, step):
        rounded = round_to_step(grams, D(step), kind="lye")
        assert rounded <= grams < rounded + D(step)


class TestBand:
    @pytest.mark.parametrize(
        ("planned", "tolerance", "step", "low", "high"),
        (
            ("147.4", "0.005", "0.1", "146.7", "148.1"),
            ("1000", "0.01", "1", "990", "1010"),
            ("33", "0.05", "1", "32", "34"),
        ),
        ids=("rule W4 lye", "rule W4 fat", "rule W4 inward"),
    )
    def test_rounds_inward(self, planned, tolerance, step, low, high):
        """Worked by hand."""
        assert accept_band(D(planned), D(tolerance), D(step)) == AcceptBand(D(low), D(high))

    def test_empty_band_is_refused(self):
        with pytest.raises(DoseTooSmall, match=r"Not one step of 1 g lies within 5 % of 5\.4 g\. Use a finer scale"):
            accept_band(D("5.4"), D("0.05"), D(1))

    @given(st.decimals(min_value=1, max_value=5000, places=3), st.sampled_from(list(TOLERANCE_FRACTIONS.values())))
    def test_never_wider_than_the_tolerance(self, planned, tolerance):
        try:
            band = accept_band(planned, tolerance, D("0.1"))
        except DoseTooSmall:
            assert 2 * planned * tolerance < D("0.1")
            return
        assert planned * (1 - tolerance) <= band.low_grams <= band.high_grams <= planned * (1 + tolerance)

    @pytest.mark.parametrize(
        ("grams", "inside"), (("146.6", False), ("146.7", True), ("148.1", True), ("148.2", False))
    )
    def test_holds(self, grams, inside):
        assert AcceptBand(D("146.7"), D("148.1")).holds(D(grams)) is inside


class TestPlanOnScales:
    def test_coarsest_that_is_good_enough(self):
        plans = [weigh_plan(D(grams), ALL, tolerance_fraction=D("0.005"), kind="lye") for grams in ("500", "50", "5")]
        assert [plan.scale for plan in plans] == [KITCHEN, BENCH, POCKET]

    def test_lye_is_rounded_for_that_scale(self):
        plan = weigh_plan(D("147.474"), (BENCH,), tolerance_fraction=D("0.005"), kind="lye")
        assert (plan.grams, plan.band) == (D("147.4"), AcceptBand(D("146.7"), D("148.1")))

    def test_too_little_for_any_scale(self):
        """rule W1: 1 g at 0.5 % needs 1.64 g on a 0.01 g scale."""
        with pytest.raises(
            DoseTooSmall, match=r"1 g is too little to weigh: the finest scale here needs 1\.64 g for 0\.5 %"
        ):
            weigh_plan(D(1), ALL, tolerance_fraction=D("0.005"))

    def test_just_enough(self):
        assert weigh_plan(D("1.64"), ALL, tolerance_fraction=D("0.005")).scale == POCKET

    def test_vessel_and_dose_over_the_top(self):
        """rule W2."""
        with pytest.raises(ScaleOverloaded, match="weigh 5100 g, and the scale takes 5000 g"):
            weigh_plan(D(4500), (KITCHEN,), tolerance_fraction=D("0.01"), vessel_grams=D(600))

    def test_in_two_parts_it_goes(self):
        plan = weigh_plan(D(4500), (KITCHEN,), tolerance_fraction=D("0.01"), vessel_grams=D(600), weighed_in_parts=2)
        assert (plan.grams, plan.note) == (D(4500), "")

    @pytest.mark.parametrize(
        ("vessel", "note"), (("250", ""), ("251", "kitchen scale is nearly full: 4751 of 5000 g."))
    )
    def test_note_above_95_percent(self, vessel, note):
        plan = weigh_plan(D(4500), (KITCHEN,), tolerance_fraction=D("0.01"), vessel_grams=D(vessel))
        assert plan.note == note

    def test_weak_scale_is_passed_over(self):
        letter_scale = Scale("letter scale", D(1), D(300))
        plan = weigh_plan(D(250), (letter_scale, BENCH), tolerance_fraction=D("0.01"), vessel_grams=D(100))
        assert plan.scale == BENCH

    def test_no_scale(self):
        with pytest.raises(WeighingError, match="Add a scale"):
            weigh_plan(D(100), (), tolerance_fraction=D("0.01"))

    def test_nothing_to_weigh(self):
        with pytest.raises(WeighingError, match="above 0 grams"):
            weigh_plan(D(0), ALL, tolerance_fraction=D("0.01"))


class TestRunningTotal:
    def test_after_each_ingredient(self):
        assert running_totals((D(400), D("300.5"), D(300))) == (D(400), D("700.5"), D("1000.5"))

    @pytest.mark.parametrize(
        ("shown", "difference"),
        (("1004", "0"), ("1004.1", "4.1"), ("996", "0"), ("700", "-300")),
        ids=("at the limit", "too much", "at the low limit", "one fat forgotten"),
    )
    def test_pot_against_its_weighings(self, shown, difference):
        """rule W7: 2 steps and 0.2 % of the pot, worked by hand for 1000 g on a 1 g scale."""
        assert pot_difference_grams(D(shown), (D(400), D(300), D(300)), D(1)) == D(difference)


class TestSuperfatEffect:
    @pytest.mark.parametrize(
        ("errors", "expected"),
        (
            ({"lye_error_fraction": D("0.005")}, "0.04525"),
            ({"lye_error_fraction": D("0.01")}, "0.04050"),
            ({"lye_error_fraction": D("0.05")}, "0.00250"),
            ({"lye_error_fraction": D("0.0526")}, "0.00003"),
            ({"purity_true_fraction": D("0.97")}, "0.07850"),
            ({"fat_error_fraction": D("-0.05")}, "0.00000"),
        ),
        ids=("lye +0.5 %", "lye +1 %", "lye +5 %", "lye +5.26 %", "purity 97 for 100", "fats -5 %"),
    )
    def test_six_rows(self, errors, expected):
        """Worked by hand from the definition of superfat."""
        assert round(superfat_actual_fraction(D("0.05"), **errors), 5) == D(expected)

    def test_purity_on_both_sides(self):
        """Worked by hand: 1 - 0.95 × 0.97 / 0.98."""
        result = superfat_actual_fraction(D("0.05"), purity_true_fraction=D("0.97"), purity_assumed_fraction=D("0.98"))
        assert round(result, 6) == D("0.059694")

    def test_no_error_changes_nothing(self):
        assert superfat_actual_fraction(D("0.05")) == D("0.05")

    def test_rounding_the_lye_down_raises_it(self):
        """rule W3: 147.474 g weighed as 147 g is 0.3214 % less lye; worked by hand 5.3053 %."""
        error = D(147) / D("147.474") - 1
        assert round(superfat_actual_fraction(D("0.05"), lye_error_fraction=error), 6) == D("0.053053")


class TestDailyCheck:
    @pytest.mark.parametrize(
        ("load", "limit"), (("500", "1"), ("501", "2"), ("2000", "2"), ("2001", "3"), ("10000", "3"))
    )
    def test_class_iii_in_service(self, load, limit):
        """rule W8; OIML R 76-1:2006: ±0.5, 1, 1.5 steps on verification, twice that in service."""
        assert in_service_error_grams(D(1), D(load)) == D(limit)

    def test_class_iii_on_a_finer_scale(self):
        """Worked by hand: 100 g are 1000 steps of 0.1 g, so ±2 steps in service."""
        assert in_service_error_grams(D("0.1"), D(100)) == D("0.2")

    def test_beyond_the_table(self):
        with pytest.raises(WeighingError, match="smaller mass"):
            in_service_error_grams(D("0.1"), D(1001))

    @pytest.mark.parametrize(("shown", "passes"), (("501", True), ("499", True), ("501.5", False)))
    def test_pass_or_fail(self, shown, passes):
        assert is_scale_true(mass_grams=D(500), shown_grams=D(shown), limit_grams=D(1)) is passes
