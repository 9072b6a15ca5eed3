"""Days of made-ahead parts; each refusal has the last day on which it is silent."""

from datetime import date

import pytest

from formulas.part_windows import (
    PartWindowError,
    check_attach_day,
    check_part_age,
    check_use_by,
    usual_use_by,
)

MADE, CUT = date(2024, 4, 14), date(2024, 4, 24)


class TestUseBy:
    @pytest.mark.parametrize(
        ("is_wrapped", "expected"),
        ((True, date(2024, 7, 13)), (False, date(2024, 4, 15))),
        ids=("case-C58 wrapped", "case-C58 open"),
    )
    def test_usual(self, is_wrapped, expected):
        """3 months wrapped, a day in open air: common practice, no source."""
        assert usual_use_by(MADE, is_wrapped=is_wrapped) == expected

    def test_six_months_at_most(self):
        """case-C58; 180 days from April 14 is October 11."""
        check_use_by(date(2024, 10, 11), made_on=MADE)
        with pytest.raises(PartWindowError, match="Give an earlier use-by"):
            check_use_by(date(2024, 10, 12), made_on=MADE)

    def test_before_it_was_made(self):
        with pytest.raises(PartWindowError, match="Correct one of the two days"):
            check_use_by(date(2024, 4, 13), made_on=MADE)


class TestAge:
    def use(self, on: date, **more) -> None:
        check_part_age("Seal", made_on=MADE, used_on=on, use_by=date(2024, 7, 13), **more)

    def test_on_the_last_day(self):
        self.use(date(2024, 7, 13))

    def test_a_day_too_late(self):
        with pytest.raises(PartWindowError, match=r"Seal was to be used by Jul 13, 2024\. Make fresh pieces"):
            self.use(date(2024, 7, 14))

    def test_still_resting(self):
        with pytest.raises(PartWindowError, match=r"has to rest 2 days and is ready on Apr 16, 2024\. Use it then"):
            self.use(date(2024, 4, 15), least_days=2)

    def test_rested(self):
        self.use(date(2024, 4, 16), least_days=2)

    def test_most_days_ahead_beat_the_use_by(self):
        self.use(date(2024, 4, 28), most_days=14)
        with pytest.raises(PartWindowError, match=r"by Apr 28, 2024"):
            self.use(date(2024, 4, 29), most_days=14)


class TestAttach:
    def attach(self, on: date, window_days: int | None = 2) -> None:
        check_attach_day("Seal", cut_on=CUT, attach_on=on, window_days=window_days)

    @pytest.mark.parametrize("day", (24, 25, 26))
    def test_inside_the_window(self, day):
        self.attach(date(2024, 4, day))

    def test_after_the_window(self):
        with pytest.raises(PartWindowError, match=r"had to go on by Apr 26, 2024.*Attach it with melted soap"):
            self.attach(date(2024, 4, 27))

    def test_before_the_cut(self):
        with pytest.raises(PartWindowError, match=r"goes on after the cut on Apr 24, 2024"):
            self.attach(date(2024, 4, 23))

    def test_no_window(self):
        self.attach(date(2024, 9, 1), window_days=None)
