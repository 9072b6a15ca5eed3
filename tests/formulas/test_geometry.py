"""Mold volumes, bars and fill heights against conversion factors, numeric integration and makers' own figures."""

from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from formulas.geometry import (
    ML_PER_CUBIC_INCH,
    MM_PER_INCH,
    CavityMold,
    ColumnMold,
    LoafMold,
    MoldError,
    MoldTooSmall,
    SlabMold,
    YieldSeen,
    usable_bars,
)

D = Decimal
UNITS = pint.UnitRegistry(non_int_type=Decimal)


def inches(text: str) -> Decimal:
    return D(text) * MM_PER_INCH


def loaf(length="300", width="80", height="65", bar="25") -> LoafMold:
    return LoafMold(D(length), D(width), D(height), D(bar))


sizes_mm = st.decimals(min_value=20, max_value=600, places=1)


class TestConversionFactors:
    @pytest.mark.parametrize(
        ("ours", "unit", "into"),
        (
            pytest.param(MM_PER_INCH, "inch", "millimeter", id="pint: inch"),
            pytest.param(ML_PER_CUBIC_INCH, "inch ** 3", "milliliter", id="pint: cubic inch"),
        ),
    )
    def test_factor_is_the_published_one(self, ours, unit, into):
        assert ours == UNITS.Quantity(D(1), unit).to(into).magnitude.normalize()


class TestVolume:
    def test_case_c28_loaf_in_inches(self):
        """case-C28: 13.75 × 3.375 × 2.125 in is 98.6 cubic inches."""
        mold = LoafMold(inches("13.75"), inches("3.375"), inches("2.125"), inches("1"))
        assert round(mold.volume_ml / ML_PER_CUBIC_INCH, 1) == D("98.6")

    def test_case_c34_slab_in_inches(self):
        """case-C34: nine bars 2.5 × 3 5/16 × 1.25 in are 93.2 cubic inches."""
        mold = SlabMold(3 * inches("3.3125"), 3 * inches("2.5"), inches("1.25"), rows=3, columns=3)
        assert round(mold.volume_ml / ML_PER_CUBIC_INCH, 1) == D("93.2")

    def test_cavities_add_up(self):
        assert CavityMold(D("95.5"), 6).volume_ml == D("573.0")

    @pytest.mark.parametrize(("diameter", "length"), ((50.8, 304.8), (76.2, 250.0), (63.0, 410.0)))
    def test_column_against_thin_slices(self, diameter, length):
        """Midpoint rule over 20 000 strips of the circle; its own error is below one part in a million."""
        strips, radius = 20_000, diameter / 2
        width = diameter / strips
        chords = (2 * (radius**2 - (-radius + (i + 0.5) * width) ** 2) ** 0.5 for i in range(strips))
        expected_ml = sum(chords) * width * length / 1000
        ours = ColumnMold(D(str(diameter)), D(str(length)), D("25")).volume_ml
        assert float(ours) == pytest.approx(expected_ml, rel=1e-6)

    @given(sizes_mm, sizes_mm, sizes_mm)
    def test_loaf_lying_or_standing_holds_the_same(self, length, width, height):
        first = LoafMold(length, width, height, D(1)).volume_ml
        assert first == LoafMold(height, length, width, D(1)).volume_ml


class TestFill:
    def test_half_full(self):
        assert loaf().fill_height_mm(loaf().volume_ml / 2) == D("32.5")

    def test_brim_full_is_the_height_itself(self):
        assert loaf().fill_height_mm(loaf().volume_ml) == D("65")

    def test_one_drop_more_runs_over(self):
        with pytest.raises(MoldTooSmall, match="Make a smaller batch, or add a mold"):
            loaf().fill_height_mm(loaf().volume_ml + D("0.001"))

    def test_says_how_much_runs_over(self):
        with pytest.raises(MoldTooSmall, match="holds 1560 ml and the batter is 1600 ml: 40 ml would run over"):
            loaf().fill_height_mm(D(1600))

    def test_slab_and_its_base(self):
        """Worked by hand: 300 × 200 mm are 600 cm²; 1500 ml stand 25 mm high."""
        slab = SlabMold(D(300), D(200), D(40), rows=3, columns=6)
        assert (slab.base_cm2, slab.fill_height_mm(D(1500)), loaf().base_cm2) == (D(600), D(25), D(240))

    def test_nothing_to_fill_with(self):
        with pytest.raises(MoldError, match="above 0"):
            loaf().fill_height_mm(D(0))

    def test_column_fills_along_its_length(self):
        mold = ColumnMold(D(60), D(300), D(25))
        assert round(mold.fill_height_mm(mold.volume_ml / 3), 9) == D(100)

    @given(sizes_mm, sizes_mm, sizes_mm, st.decimals(min_value="0.01", max_value=1, places=2))
    def test_fill_height_and_volume_agree(self, length, width, height, part):
        mold = LoafMold(length, width, height, D(20))
        filled_mm = mold.fill_height_mm(mold.volume_ml * part)
        assert abs(filled_mm * length * width / 1000 - mold.volume_ml * part) < D("1e-15")


class TestBars:
    def test_loaf_is_cut_across_its_length(self):
        assert loaf().gross_bars == 12

    def test_inch_bars_of_a_ten_inch_loaf(self):
        """Public maker thread: a 10 in loaf is sold as 9 to 10 bars of 1 in."""
        mold = LoafMold(inches("10"), inches("3.6"), inches("2.25"), inches("1"))
        assert (mold.gross_bars, usable_bars(mold, end_trim_mm=D(5))) == (10, 9)

    def test_no_trim_loses_no_bar(self):
        assert usable_bars(loaf()) == 12

    def test_spoil_rounds_down(self):
        assert usable_bars(loaf(), spoil_fraction=D("0.05")) == 11

    def test_case_c69_own_yields_beat_the_guess(self):
        """case-C69: a 10 lb block gave 33 clean bars and 6 ends; worked by hand for a block of 39 slices."""
        block = LoafMold(D(975), D(90), D(70), D(25))
        seen = (YieldSeen(pieces=39, good_bars=33),)
        assert usable_bars(block, end_trim_mm=D(40), spoil_fraction=D("0.1"), own_yields=seen) == 33

    def test_yield_cannot_be_better_than_all(self):
        with pytest.raises(MoldError, match="no more good bars than pieces"):
            YieldSeen(pieces=10, good_bars=11)

    def test_slab_grid(self):
        slab = SlabMold(D(300), D(200), D(40), rows=3, columns=6)
        assert (slab.gross_bars, usable_bars(slab, end_trim_mm=D(3))) == (18, 18)

    def test_slab_trim_as_wide_as_a_bar(self):
        with pytest.raises(MoldError, match="Trim less"):
            usable_bars(SlabMold(D(300), D(200), D(40), rows=3, columns=6), end_trim_mm=D(25))

    def test_ends_longer_than_the_mold(self):
        with pytest.raises(MoldError, match="Trim less"):
            usable_bars(loaf(), end_trim_mm=D(150))

    def test_cavity_has_no_ends(self):
        assert usable_bars(CavityMold(D(90), 8), end_trim_mm=D(10), spoil_fraction=D("0.05")) == 7

    def test_loaf_bar_takes_the_fill_height(self):
        bar = loaf().bar_size(D(60))
        assert (bar.width_mm, bar.height_mm, bar.thickness_mm, bar.volume_ml) == (D(80), D(60), D(25), D(120))

    def test_slab_bar_is_as_thick_as_the_fill(self):
        bar = SlabMold(D(300), D(200), D(40), rows=4, columns=4).bar_size(D(30))
        assert (bar.width_mm, bar.height_mm, bar.thickness_mm, bar.volume_ml) == (D(75), D(50), D(30), D("112.5"))

    @pytest.mark.parametrize("height", ("65.1", "0"))
    def test_bar_taller_than_the_mold_or_flat(self, height):
        with pytest.raises(MoldTooSmall, match="Fill less, or use a taller mold"):
            loaf().bar_size(D(height))


class TestSizesThatCannotBe:
    @pytest.mark.parametrize(
        "make",
        (
            lambda: loaf(length="0"),
            lambda: loaf(width="-80"),
            lambda: loaf(height="NaN"),
            lambda: loaf(bar="Infinity"),
            lambda: CavityMold(D(0), 6),
            lambda: ColumnMold(D("-1"), D(200), D(20)),
        ),
    )
    def test_size_is_above_zero(self, make):
        with pytest.raises(MoldError, match="Measure the inside and correct it"):
            make()

    @pytest.mark.parametrize(
        "make", (lambda: CavityMold(D(90), 0), lambda: SlabMold(D(300), D(200), D(40), rows=0, columns=3))
    )
    def test_count_is_at_least_one(self, make):
        with pytest.raises(MoldError, match="at least one"):
            make()

    def test_bar_thicker_than_the_loaf(self):
        with pytest.raises(MoldError, match="Cut thinner bars"):
            loaf(length="20")
