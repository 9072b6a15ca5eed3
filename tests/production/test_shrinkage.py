"""Bars of one order that dry to different sizes."""

from decimal import Decimal

import pytest

from production.batches.shrinkage import DryingBar, shrink_words


def bar(name: str, lye_percent: str) -> DryingBar:
    """1000 g of oils with 135.5 g of lye in water of this strength, as a published recipe of 85 % olive has it."""
    lye = Decimal("135.5")
    water = lye * (100 - Decimal(lye_percent)) / Decimal(lye_percent)
    return DryingBar(name, 1000 + lye + water, water, Decimal(lye_percent))


@pytest.mark.parametrize(
    ("lye", "loss", "shrink"),
    (("37", "8.7", "2.9"), ("32", "12.3", "4.1"), ("30", "14.0", "4.7")),
    ids=("case-C37: at 37 %", "case-C37: at 32 %", "case-C37: at 30 %"),
)
def test_a_weaker_lye_dries_and_shrinks_more(lye, loss, shrink):
    """Worked by hand: at 37 % 230.7 g of water in 1366.2 g; 118.4 g go until 9 % is left, 8.67 %."""
    dried = bar("Dune", lye)
    assert (round(dried.loss_percent, 1), round(dried.shrink_percent, 1)) == (Decimal(loss), Decimal(shrink))


def test_a_mixed_order_is_told_to_use_one_strength():
    """case-C37."""
    assert shrink_words((bar("Olive", "37"), bar("Dune", "31"))) == (
        "These bars shrink differently while they dry: Olive about 2.9 % (lye at 37 %), Dune about 4.4 % "
        "(lye at 31 %) of every length. Pour them at one strength of lye, or measure bands and boxes after the cure."
    )


@pytest.mark.parametrize("bars", ((), (bar("Olive", "37"),), (bar("Olive", "33"), bar("Dune", "32"))))
def test_one_band_fits_them_all(bars):
    assert shrink_words(bars) == ""
