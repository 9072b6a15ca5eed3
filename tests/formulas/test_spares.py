"""Spares: the worked day of 36 favors, and the rule of thumb for guests."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from formulas.spares import (
    FRAGILE_PERCENT,
    LEAST_FRAGILE_SPARES,
    SparesError,
    bars_with_spares,
    parts_with_spares,
    usual_bars_to_pour,
)

D = Decimal


class TestWorkedDay:
    """36 favors, 6 toppers, 36 seals: worked by hand from the makers' rules of thumb."""

    def test_bars(self):
        assert bars_with_spares(36, percent=D(10), least=2) == 40

    def test_toppers(self):
        assert parts_with_spares(6, percent=FRAGILE_PERCENT, least=LEAST_FRAGILE_SPARES) == 8

    def test_seals(self):
        assert parts_with_spares(36, percent=D(10), least=1) == 40


class TestRule:
    @pytest.mark.parametrize(
        ("bars", "expected"),
        ((1, 3), (20, 22), (21, 24), (200, 220), (201, 221), (400, 420), (401, 422)),
        ids=str,
    )
    def test_usual_bars(self, bars, expected):
        """10 % up to 200 pieces, 5 % above: public maker threads; at least 2: common practice, no source."""
        assert usual_bars_to_pour(bars) == expected

    @given(st.integers(1, 5000))
    def test_more_ordered_never_means_fewer_poured(self, bars):
        assert usual_bars_to_pour(bars) < usual_bars_to_pour(bars + 1)

    def test_nothing_needed_nothing_made(self):
        assert parts_with_spares(0, percent=D(25), least=2) == 0

    def test_no_spares_wanted(self):
        assert parts_with_spares(12, percent=D(0), least=0) == 12

    @pytest.mark.parametrize(("count", "percent", "least"), ((-1, "10", 1), (5, "-1", 1), (5, "101", 1), (5, "10", -1)))
    def test_refusals(self, count, percent, least):
        with pytest.raises(SparesError, match="Correct the"):
            parts_with_spares(count, percent=D(percent), least=least)


def test_a_fragile_piped_top_gets_more_spares():
    """case-C57: piped tops break in the post. 36 at 25 % are 9 spares, worked by hand; a sturdy one at 10 % gets 4."""
    assert parts_with_spares(36, percent=Decimal(25), least=2) == 45
    assert parts_with_spares(36, percent=Decimal(10), least=1) == 40
