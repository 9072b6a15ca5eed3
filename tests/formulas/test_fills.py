"""How much a mold takes, as past pours showed it: heights to volumes, and the ways to fill one box."""

from decimal import Decimal

import pytest

from formulas.fills import BatterSize, FillSeen, filled_ml, own_fill_factor, seen_fill
from formulas.geometry import MM_PER_INCH, CavityMold, ColumnMold, LoafMold, Mold, MoldError, MoldTooSmall, SlabMold
from formulas.scaling import GRAMS_PER_OUNCE, BarsWanted, bars_by_fill, scale_to_mold_volume

D = Decimal
LOAF = LoafMold(D(300), D(80), D(65), D(25))


@pytest.mark.parametrize(
    ("mold", "height", "expected"),
    (
        pytest.param(LOAF, "50", "1200.0", id="loaf: 300 × 80 × 50 mm, by hand"),
        pytest.param(SlabMold(D(300), D(200), D(40), 3, 6), "25", "1500.0", id="slab: 300 × 200 × 25 mm, by hand"),
        pytest.param(ColumnMold(D(60), D(300), D(25)), "100", "282.7", id="column: 9 pi cm² × 10 cm, by hand"),
    ),
)
def test_a_height_is_a_volume(mold: Mold, height: str, expected: str):
    assert round(filled_ml(mold, D(height)), 1) == D(expected)
    assert filled_ml(mold, D(height), molds=3) == 3 * filled_ml(mold, D(height))


@pytest.mark.parametrize("height", ("0", "65.1"))
def test_a_height_the_mold_does_not_have(height: str):
    with pytest.raises(MoldTooSmall, match=r"cannot stand .* mm high in a mold of 65 mm"):
        filled_ml(LOAF, D(height))
    assert filled_ml(LOAF, D(65)) == LOAF.volume_ml


def test_a_cavity_has_no_height():
    with pytest.raises(MoldError, match="Leave that box empty"):
        filled_ml(CavityMold(D(95), 12), D(20))


@pytest.mark.parametrize(("batter", "says"), (("1019", "0.85"), ("1441", "1.20")))
def test_a_batter_that_cannot_weigh_so_much(batter: str, says: str):
    """Just outside 0.85 to 1.2 g a ml, the bounds of the plausible."""
    with pytest.raises(MoldError, match=f"That would be {says} g of batter a ml"):
        seen_fill(oils_grams=D(700), batter_grams=D(batter), volume_ml=D(1200))
    for weight in (D(1020), D(1440)):
        assert seen_fill(oils_grams=D(700), batter_grams=weight, volume_ml=D(1200)) == FillSeen(D(700), D(1200))


class TestCaseC34:
    """One box, several fill plans: nine bars 2.5 × 3 5/16 × 1.25 in take 2.3 lb of oils, two layers of them 4.6 lb."""

    @staticmethod
    def box(inches_high: str, layers: int) -> SlabMold:
        sides = (3 * D("3.3125") * MM_PER_INCH, 3 * D("2.5") * MM_PER_INCH, D(inches_high) * MM_PER_INCH)
        return SlabMold(*sides, rows=3, columns=3, layers=layers)

    @pytest.mark.parametrize(
        ("high", "layers", "bars", "pounds"),
        (("1.25", 1, 9, "2.3"), ("1.5", 1, 9, "2.76"), ("2.5", 2, 18, "4.6")),
        ids=("single layer", "thicker, 2.76 worked by hand", "double layer"),
    )
    def test_case_c34_oils_follow_the_fill(self, high: str, layers: int, bars: int, pounds: str):
        """Sized by the fill that was measured in the single layer, as the maker did."""
        measured = own_fill_factor((FillSeen(D("36.8") * GRAMS_PER_OUNCE, self.box("1.25", 1).volume_ml),))
        size = BatterSize(D(1000), D(1450), D(1440))
        plan = scale_to_mold_volume(size, self.box(high, layers), headroom_fraction=D(0), own_fill=measured)
        assert plan.bars == bars
        assert round(plan.oils_grams / (16 * GRAMS_PER_OUNCE), 2) == D(pounds)
        assert round((plan.bar_thickness_mm or D(0)) / MM_PER_INCH, 2) == D(high) / layers

    def test_case_c34_two_layers_are_thinner_bars_of_the_same_block(self):
        one, two = self.box("2.5", 1), self.box("2.5", 2)
        assert one.bar_size().volume_ml * 9 == pytest.approx(two.bar_size().volume_ml * 18)
        wanted = BarsWanted(18, D(100), D("0.88"))
        plan = bars_by_fill(BatterSize(D(1000), D(1450), D(1440)), wanted, two)
        assert (plan.molds, plan.bars) == (1, 18)
        assert round((plan.fill_height_mm or D(0)) / (plan.bar_thickness_mm or D(1)), 12) == 2
