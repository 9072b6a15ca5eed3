"""Which molds for so many bars: against a search through every combination."""

from itertools import combinations_with_replacement, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from formulas.geometry import MoldError, MoldTooSmall
from formulas.mold_choice import MoldOffer, MoldUse, choose_molds

LOAF, SLAB, SMALL = MoldOffer("loaf", 12, 2), MoldOffer("slab", 9), MoldOffer("small loaf", 5)

offers = st.lists(st.tuples(st.integers(1, 14), st.integers(1, 2)), min_size=1, max_size=3).map(
    lambda pairs: tuple(MoldOffer(f"mold {n}", bars, owned) for n, (bars, owned) in enumerate(pairs))
)


def best_by_search(bars_needed: int, molds: tuple[MoldOffer, ...]) -> tuple[int, int]:
    """Try everything: return the fewest pours and the fewest bars left over with them."""
    one_pour = {
        sum(count * mold.usable_bars for count, mold in zip(counts, molds, strict=True))
        for counts in product(*(range(mold.owned + 1) for mold in molds))
    } - {0}
    for pours in range(1, bars_needed + 1):
        left = [sum(c) - bars_needed for c in combinations_with_replacement(one_pour, pours) if sum(c) >= bars_needed]
        if left:
            return pours, min(left)
    raise AssertionError


class TestChoice:
    def test_one_loaf_is_enough(self):
        plan = choose_molds(12, (LOAF, SLAB))
        assert (plan.batches, plan.bars_made, plan.left_over) == (1, 12, 0)
        assert plan.uses == (MoldUse("loaf", 1, 12),)

    def test_block_and_a_small_mold(self):
        """case-C69: 40 bars to pour, the block gives 33 clean ones: 7 short, so a second small mold."""
        plan = choose_molds(40, (MoldOffer("block", 33), MoldOffer("small loaf", 8)))
        assert plan.uses == (MoldUse("block", 1, 33), MoldUse("small loaf", 1, 8))
        assert (plan.batches, plan.left_over) == (1, 1)

    def test_least_left_over_at_the_same_pours(self):
        assert choose_molds(14, (LOAF, SLAB, SMALL)).uses == (MoldUse("slab", 1, 9), MoldUse("small loaf", 1, 5))

    def test_fewest_molds_at_the_same_bars(self):
        assert choose_molds(18, (MoldOffer("cavity sheet", 6, 3), MoldOffer("slab", 18))).uses == (
            MoldUse("slab", 1, 18),
        )

    def test_pot_limits_one_pour(self):
        plan = choose_molds(36, (LOAF, SLAB), most_bars_per_pour=24)
        assert [pour.bars for pour in plan.pours] == [24, 12]

    @given(st.integers(1, 60), offers)
    def test_as_good_as_trying_everything(self, bars_needed, molds):
        plan = choose_molds(bars_needed, molds)
        assert (plan.batches, plan.left_over) == best_by_search(bars_needed, molds)

    @given(st.integers(1, 400), offers)
    def test_plan_adds_up(self, bars_needed, molds):
        plan = choose_molds(bars_needed, molds)
        owned = {mold.name: mold.owned for mold in molds}
        assert plan.bars_made == bars_needed + plan.left_over == sum(pour.bars for pour in plan.pours)
        assert all(use.molds <= owned[use.name] for pour in plan.pours for use in pour.uses)


class TestRefusals:
    def test_nothing_owned(self):
        with pytest.raises(MoldTooSmall, match="No mold that you own"):
            choose_molds(12, (MoldOffer("loaf", 12, 0), MoldOffer("tray", 0, 1)))

    def test_pot_smaller_than_the_smallest_mold(self):
        with pytest.raises(MoldTooSmall, match="makes 4 bars at most, and the smallest mold takes 5"):
            choose_molds(12, (LOAF, SMALL, MoldOffer("lent out", 3, 0), MoldOffer("broken", 0)), most_bars_per_pour=4)

    def test_too_few_pours(self):
        with pytest.raises(MoldTooSmall, match="40 bars are needed, and 1 pour of these molds can give only 24"):
            choose_molds(40, (LOAF,), most_pours=1)

    def test_just_enough_pours(self):
        assert choose_molds(40, (LOAF,), most_pours=2).bars_made == 48

    def test_no_bars(self):
        with pytest.raises(MoldError, match="at least one bar"):
            choose_molds(0, (LOAF,))
