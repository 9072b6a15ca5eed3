"""Groups of bars that are finished alike, counted again bar by bar."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from formulas.finishes import FinishError, FinishGroup, FinishWant, PartNeed, finish_groups, finish_key, part_needs


def topper(key: str, bars: int) -> FinishWant:
    return FinishWant(key, bars, "pour", kind="topper")


SEAL_ON_12 = FinishWant("seal", 12, "cut", kind="seal")

wants_of_twelve = st.lists(st.tuples(st.integers(1, 12), st.sampled_from(("topper", "seal", "embed"))), max_size=4).map(
    lambda rows: tuple(FinishWant(f"part{n}", bars, "cut", kind=kind) for n, (bars, kind) in enumerate(rows))
)


class TestGroups:
    def test_topper_on_some_seal_on_all(self):
        assert finish_groups(12, (topper("rose", 5), SEAL_ON_12)) == (
            FinishGroup("rose+seal", ("rose", "seal"), 5),
            FinishGroup("seal", ("seal",), 7),
        )

    def test_six_of_thirty_six(self):
        groups = finish_groups(36, (topper("crown", 6), FinishWant("seal", 36, "cut", kind="seal")))
        assert [(group.key, group.bars) for group in groups] == [("crown+seal", 6), ("seal", 30)]

    def test_two_toppers_never_share_a_bar(self):
        groups = finish_groups(12, (topper("rose", 5), topper("leaf", 4)))
        assert [(group.key, group.bars) for group in groups] == [("rose", 5), ("leaf", 4), ("plain", 3)]

    def test_another_kind_starts_again_at_the_first_bar(self):
        groups = finish_groups(12, (topper("rose", 5), FinishWant("star", 8, "pour", kind="embed")))
        assert [(group.key, group.bars) for group in groups] == [("rose+star", 5), ("star", 3), ("plain", 4)]

    def test_nothing_wanted(self):
        assert finish_groups(12, ()) == (FinishGroup("plain", (), 12),)

    def test_key_does_not_depend_on_order(self):
        assert finish_key(("seal", "rose")) == finish_key(("rose", "seal")) == "rose+seal"

    @given(wants_of_twelve)
    def test_counts_add_up(self, wants):
        try:
            groups = finish_groups(12, wants)
        except FinishError:
            partial = [want for want in wants if want.bars < 12]
            kinds = {want.kind for want in partial}
            assert any(sum(want.bars for want in partial if want.kind == kind) > 12 for kind in kinds)
            return
        assert sum(group.bars for group in groups) == 12
        for want in wants:
            assert sum(group.bars for group in groups if want.part_key in group.part_keys) == want.bars
        assert len({group.key for group in groups}) == len(groups)


class TestPieces:
    def test_pieces_of_each_part(self):
        gem = FinishWant("gem", 5, "pour", kind="embed", pieces_per_bar=3)
        assert part_needs((gem, SEAL_ON_12)) == (PartNeed("gem", "pour", 15), PartNeed("seal", "cut", 12))


class TestRefusals:
    def test_more_than_the_bars(self):
        with pytest.raises(FinishError, match="rose is asked for on 13 bars, but there are only 12"):
            finish_groups(12, (topper("rose", 13),))

    def test_two_toppers_together_exceed_the_bars(self):
        with pytest.raises(FinishError, match=r"The toppers are asked for on 14 bars.* Take 2 off"):
            finish_groups(12, (topper("rose", 9), topper("leaf", 5)))

    def test_two_toppers_just_fit(self):
        assert [group.bars for group in finish_groups(12, (topper("rose", 9), topper("leaf", 3)))] == [9, 3]

    def test_on_no_bar(self):
        with pytest.raises(FinishError, match="on no bar"):
            finish_groups(12, (topper("rose", 0),))

    def test_listed_twice(self):
        with pytest.raises(FinishError, match="listed twice"):
            finish_groups(12, (topper("rose", 2), topper("rose", 3)))

    def test_one_bar_is_enough(self):
        assert finish_groups(1, (topper("rose", 1),)) == (FinishGroup("rose", ("rose",), 1),)

    def test_no_bars(self):
        with pytest.raises(FinishError, match="at least one bar"):
            finish_groups(0, ())

    @pytest.mark.parametrize("key", ("", "plain", "rose+leaf"))
    def test_names_that_would_mix_up_the_key(self, key):
        with pytest.raises(FinishError, match="Choose another short name"):
            finish_groups(12, (topper(key, 2),))
