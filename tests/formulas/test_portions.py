"""From the picture to grams per jug: areas counted point by point, makers' own cases, and sums that close."""

from dataclasses import replace
from decimal import Decimal
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from formulas.cross_section import (
    ColorDose,
    DesignCell,
    DesignRow,
    PortionError,
    SwirlShare,
    WetAddition,
    portion_shares,
    split_grams,
)
from formulas.fills import BatterSize
from formulas.finishes import FinishWant, finish_groups, part_needs
from formulas.geometry import LoafMold
from formulas.jugs import BatterMade, most_color_teaspoons, water_fraction_with
from formulas.portions import portion_plan, stirred_in_fraction
from formulas.scaling import scale_to_mold_volume
from formulas.spares import parts_with_spares

D = Decimal
OUNCE = D("28.349523125")  # exact by definition


def cell(letter: str, width="1", **more) -> DesignCell:
    return DesignCell(letter=letter, width=D(width), **more)


def row(height: str, *cells: DesignCell, swirls=()) -> DesignRow:
    return DesignRow(D(height), cells, swirls)


def swirl(letter: str, percent: str, **more) -> SwirlShare:
    return SwirlShare(letter=letter, percent=D(percent), **more)


def dose(name: str, percent: str, spoon: str | None = None, **more) -> ColorDose:
    return ColorDose(name, D(percent), None if spoon is None else D(spoon), **more)


def made(batter="1450", oils="1000", water: str | None = None, superfat: str | None = None) -> BatterMade:
    return BatterMade(D(batter), D(oils), D(water) if water else None, D(superfat) if superfat else None)


def by_letter(plans):
    return {plan.letter: plan for plan in plans}


# Three layers, the middle one divided into three cells, five colors in all.
HILLSIDE = (
    row("25", cell("A", name="river blue", colors=(dose("blue mica", "0.6", "2.5"),), pour_order=1)),
    row(
        "15",
        cell("B", "1", name="moss", colors=(dose("green oxide", "0.3", "4"),), pour_order=2),
        cell("C", "2", name="cream", scented=False, colors=(dose("titanium dioxide", "0.5", "3.5"),), pour_order=3),
        cell("D", "1", name="clay", colors=(dose("rose clay", "1", "2.5"),), pour_order=4),
    ),
    row("20", cell("E", name="dusk", colors=(dose("purple mica", "0.8", "2.5"),), pour_order=5)),
)


class TestShares:
    def test_against_counting_points(self):
        """Lay a grid of 240 × 240 points over the drawing and count whose cell each lies in."""
        grid, widths = 240, {"B": (0, 0.25), "C": (0.25, 0.75), "D": (0.75, 1)}
        counts = dict.fromkeys("ABCDE", 0)
        for up in range(grid):
            height = (up + 0.5) / grid * 60
            for across in range(grid):
                x = (across + 0.5) / grid
                if height < 25:
                    counts["A"] += 1
                elif height >= 40:
                    counts["E"] += 1
                else:
                    counts[next(letter for letter, (low, high) in widths.items() if low <= x < high)] += 1
        ours = {letter: round(share, 12) for letter, share in portion_shares(HILLSIDE).items()}
        assert ours == {letter: round(D(count) / grid**2, 12) for letter, count in counts.items()}

    def test_swirl_takes_its_percent_of_the_layer(self):
        """Worked by hand: half the bar, 20 % of it swirled."""
        shares = portion_shares((row("1", cell("A")), row("1", cell("B"), swirls=(swirl("C", "20"),))))
        assert shares == {"A": D("0.5"), "B": D("0.4"), "C": D("0.1")}

    def test_drops_take_their_percent_of_the_batter(self):
        """Worked by hand: 10 % drops leave 90 % for two equal layers."""
        shares = portion_shares((row("1", cell("A")), row("1", cell("B"))), (swirl("C", "10"),))
        assert shares == {"A": D("0.45"), "B": D("0.45"), "C": D("0.1")}

    def test_one_jug_poured_in_two_places(self):
        shares = portion_shares((row("1", cell("A")), row("2", cell("B")), row("1", cell("A"))))
        assert shares == {"A": D("0.5"), "B": D("0.5")}

    def test_accent_is_enlarged_and_the_rest_gives_way(self):
        """An accent of 6 % of 1450 g is 87 g; 25 % more is 108.75 g, as makers found they used 100 to 150."""
        shares = portion_shares((row("1", cell("A"), cell("B")),), (swirl("C", "6", accent_extra_percent=D(25)),))
        assert (shares["C"] * 1450, shares["A"], shares["B"]) == (D("108.75"), D("0.4625"), D("0.4625"))

    @given(
        st.lists(
            st.tuples(st.integers(1, 50), st.lists(st.integers(1, 9), min_size=1, max_size=4)), min_size=1, max_size=5
        )
    )
    def test_shares_add_up(self, drawing):
        letters = iter("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
        rows = tuple(
            row(str(height), *(cell(next(letters), str(width)) for width in widths)) for height, widths in drawing
        )
        assert abs(sum(portion_shares(rows).values()) - 1) < D("1e-24")

    @given(st.integers(1, 9), st.integers(1, 9), st.integers(1, 9))
    def test_order_of_layers_does_not_matter(self, first, second, third):
        layers = (row(str(first), cell("A")), row(str(second), cell("B")), row(str(third), cell("C")))
        shares = [portion_shares(order) for order in permutations(layers)]
        assert all(other == shares[0] for other in shares)


class TestSplit:
    @given(
        st.decimals(min_value=1, max_value=50000, places=3),
        st.lists(st.integers(1, 997), min_size=1, max_size=9),
        st.sampled_from(("0.001", "0.1", "1")),
    )
    def test_closes_and_stays_near(self, total, parts, step):
        shares = {f"jug {n}": D(part) for n, part in enumerate(parts)}
        split = split_grams(total, shares, step_grams=D(step))
        assert sum(split.values()) == total
        for letter, share in shares.items():
            assert abs(split[letter] - total * share / sum(parts)) < 2 * D(step)

    def test_thirds(self):
        """Worked by hand: the odd milligram goes to the first of equals."""
        assert split_grams(D(100), {"A": D(1), "B": D(1), "C": D(1)}) == {
            "A": D("33.334"),
            "B": D("33.333"),
            "C": D("33.333"),
        }

    def test_odd_milligrams_go_where_most_was_cut_off(self):
        """Worked by hand: 10 mg by 1 : 2 : 4 is 1.43, 2.86 and 5.71 mg."""
        split = split_grams(D("0.010"), {"A": D(1), "B": D(2), "C": D(4)})
        assert split == {"A": D("0.001"), "B": D("0.003"), "C": D("0.006")}

    def test_whole_grams_and_the_largest_takes_the_rest(self):
        assert split_grams(D("100.4"), {"A": D(1), "B": D(3)}, step_grams=D(1)) == {"A": D(25), "B": D("75.4")}


class TestHillsideInATwelveBarLoaf:
    """Three layers, three cells in the middle one, five colors; then a topper on 5 of 12 and a seal on all."""

    @pytest.fixture
    def batch(self):
        loaf = LoafMold(D(300), D(80), D(60), D(25))
        size = BatterSize(D(1000), D("1446.889"), D("1438.8"))
        plan = scale_to_mold_volume(size, loaf, headroom_fraction=D(0))
        assert (plan.bars, plan.batter_ml) == (12, D(1440))
        return BatterMade(round(plan.batter_grams, 3), round(plan.oils_grams, 3))

    def test_jugs_add_up_to_the_batch(self, batch):
        jugs = portion_plan(HILLSIDE, batch)
        assert sum(jug.batter_grams for jug in jugs) == batch.batter_grams
        assert sum(jug.oils_grams for jug in jugs) == batch.oils_grams
        assert [jug.letter for jug in jugs] == ["A", "B", "C", "D", "E"]

    def test_grams_by_hand(self, batch):
        """1440 ml at 1446.889 / 1438.8 g/ml is 1448.096 g; shares 25, 15 (1 : 2 : 1) and 20 of 60."""
        jugs = by_letter(portion_plan(HILLSIDE, batch))
        assert {letter: round(jug.batter_grams, 1) for letter, jug in jugs.items()} == {
            "A": D("603.4"),
            "B": D("90.5"),
            "C": D("181.0"),
            "D": D("90.5"),
            "E": D("482.7"),
        }

    def test_colors_by_the_oils_in_the_jug(self, batch):
        """Worked by hand: A holds 417.014 g of oils; 0.6 % is 2.502 g, at 2.5 g a level spoon 1.00 spoons."""
        (blue,) = by_letter(portion_plan(HILLSIDE, batch))["A"].colors
        assert (blue.name, round(blue.grams, 3), round(blue.level_teaspoons, 2)) == ("blue mica", D("2.502"), D("1.00"))

    def test_topper_on_some_and_seal_on_all(self):
        wants = (FinishWant("leaf", 5, "pour", kind="topper"), FinishWant("seal", 12, "cut", kind="seal"))
        assert [(group.key, group.bars) for group in finish_groups(12, wants)] == [("leaf+seal", 5), ("seal", 7)]
        leaf, seal = part_needs(wants)
        assert parts_with_spares(leaf.pieces, percent=D(25), least=2) == 7
        assert parts_with_spares(seal.pieces, percent=D(10), least=1) == 14

    def test_unscented_cell_and_pour_order_are_carried(self, batch):
        jugs = portion_plan(HILLSIDE, batch)
        assert [(jug.letter, jug.scented, jug.pour_order) for jug in jugs][2] == ("C", False, 3)

    def test_pour_order_rules_the_list(self, batch):
        turned = (replace(HILLSIDE[0], cells=(replace(HILLSIDE[0].cells[0], pour_order=9),)), *HILLSIDE[1:])
        assert [jug.letter for jug in portion_plan(turned, batch)] == ["B", "C", "D", "E", "A"]


class TestColorLimits:
    @pytest.mark.parametrize(
        ("batter_oz", "most"), (("10", "0.875"), ("17", "1.49")), ids=("case-C48 layer", "case-C48 third")
    )
    def test_case_c48_base_is_oils_not_batter(self, batter_oz, most):
        """A 50 oz batch with 35 oz of oils: 2 level spoons per pound of OILS."""
        oils_grams = D(batter_oz) * 35 / 50 * OUNCE
        assert round(most_color_teaspoons(oils_grams), len(most) - 2) == D(most)

    @pytest.mark.parametrize(
        ("parts", "spoons"), ((("1", "1"), (6, 6)), (("8", "4"), (8, 4))), ids=("case-C49 halves", "case-C49 8 to 4")
    )
    def test_case_c49_rate_applies_to_the_share(self, parts, spoons):
        """12 lb of oils at one spoon per pound; a spoon of this color weighs 1 % of a pound."""
        pound = D("453.59237")
        rows = tuple(
            row(height, cell(letter, colors=(ColorDose("mica", D(1), pound / 100),)))
            for height, letter in zip(parts, "AB", strict=True)
        )
        jugs = portion_plan(rows, BatterMade(round(18 * pound, 3), round(12 * pound, 3)))
        assert tuple(round(jug.colors[0].level_teaspoons, 3) for jug in jugs) == spoons

    @pytest.mark.parametrize(("percent", "warns"), (("1.1", False), ("1.2", True)))
    def test_warns_when_the_lather_may_tint(self, percent, warns):
        """Worked by hand: 2 spoons of 2.5 g per pound of oils are 1.102 %."""
        (jug,) = portion_plan((row("1", cell("A", colors=(dose("black mica", percent, "2.5"),))),), made())
        assert bool(jug.warnings) is warns

    def test_no_spoon_weight_means_no_spoons(self):
        (jug,) = portion_plan((row("1", cell("A", colors=(dose("clay", "1"),))),), made())
        assert (jug.colors[0].grams, jug.colors[0].level_teaspoons) == (D(10), None)


class TestCarrierOil:
    def test_case_c49_extra_oil_lifts_one_third(self):
        """case-C49: 1 oz extra in a third of a batch of 2 lb oils lifts it from 5 to 13 %."""
        blue = dose("blue", "0.5", carrier_oil_grams=D(1), is_carrier_extra=True)
        rows = (row("1", cell("A", colors=(blue,))), row("1", cell("B")), row("1", cell("C")))
        jugs = by_letter(portion_plan(rows, made("46", "32", superfat="0.05"), smallest_jug_grams=D(1)))
        assert round(jugs["A"].superfat_fraction, 2) == D("0.13")
        assert round(jugs["B"].superfat_fraction, 6) == D("0.05")
        assert jugs["A"].extra_oil_grams == 1

    def test_case_c49_whole_batch_with_that_ounce(self):
        """case-C49: 7.9 % over the whole batch."""
        blue = dose("blue", "0.5", carrier_oil_grams=D(1), is_carrier_extra=True)
        (jug,) = portion_plan((row("1", cell("A", colors=(blue,))),), made("46", "32", superfat="0.05"))
        assert round(jug.superfat_fraction, 3) == D("0.079")

    def test_oil_held_back_from_the_batch(self):
        """Worked by hand: 10 g of 1000 g oils held back; the pot weighs 1440 g and holds 990 g of oils.

        Jug A: 715 g from the pot (0.496528 of the lye) and 491.5625 + 10 g of fats: 1 - 0.95 × 496.528 / 501.5625.
        """
        blue = dose("blue", "0.5", carrier_oil_grams=D(10))
        rows = (row("1", cell("A", colors=(blue,))), row("1", cell("B")))
        jugs = by_letter(portion_plan(rows, made(superfat="0.05")))
        assert (jugs["A"].batter_grams, jugs["A"].from_pot_grams, jugs["A"].held_back_oil_grams) == (
            D(725),
            D(715),
            D(10),
        )
        assert round(jugs["A"].superfat_fraction, 6) == D("0.059536")
        assert jugs["B"].from_pot_grams == 725

    def test_no_carrier_leaves_every_jug_alike(self):
        jugs = portion_plan(HILLSIDE, made(superfat="0.05"))
        assert {round(jug.superfat_fraction, 9) for jug in jugs} == {D("0.05")}

    def test_holding_back_too_much_leaves_another_jug_without_fat(self):
        """Worked by hand: 60 of 1000 g held back for A leave the pot 940 g of fat against lye for 950 g."""
        blue = dose("blue", "0.5", carrier_oil_grams=D(60))
        jugs = by_letter(
            portion_plan((row("1", cell("A", colors=(blue,))), row("1", cell("B"))), made(superfat="0.05"))
        )
        assert round(jugs["B"].superfat_fraction, 6) == D("-0.010638")
        assert jugs["B"].warnings == ("Jug B has no fat left over. Hold back less oil for the other jugs.",)
        assert jugs["A"].warnings == ()

    def test_more_oil_held_back_than_the_jug_holds(self):
        blue = dose("blue", "0.5", carrier_oil_grams=D(600))
        with pytest.raises(PortionError, match="Wet the colors with less oil"):
            portion_plan((row("1", cell("A", colors=(blue,))), row("1", cell("B"))), made())


class TestWater:
    def test_case_c50_sugar_water_in_one_jug(self):
        """case-C50: 40 g in 150 g of batter raises water from 19 to 36 %."""
        assert round(100 * water_fraction_with(D(150), D("0.19") * 150, D(40))) == 36

    def test_percent_of_each_jug(self):
        """Worked by hand: A is 100 g with 20 g of water, 5 g of extra oil and 10 g more water: 30 of 115 g."""
        wet = cell(
            "A", added_water_grams=D(10), colors=(dose("b", "1", carrier_oil_grams=D(5), is_carrier_extra=True),)
        )
        jugs = by_letter(portion_plan((row("1", wet), row("1", cell("B"))), made("200", "140", water="40")))
        assert (round(jugs["A"].water_percent, 4), jugs["B"].water_percent) == (D("26.0870"), D(20))

    @pytest.mark.parametrize(("added", "warns"), (("40", True), ("5", False)))
    def test_warns_when_one_jug_is_wetter(self, added, warns):
        rows = (row("1", cell("A", added_water_grams=D(added))), row("2", cell("B")))
        jugs = by_letter(portion_plan(rows, made("450", "310", water="85.5")))
        assert (bool(jugs["A"].warnings), jugs["B"].warnings) == (warns, ())


class TestStirredIn:
    """A liquid that goes into one jug alone, by percent of the batter in it."""

    SUGAR_WATER = WetAddition("Sugar water", percent_of_batter=D(80) / 3)

    def test_case_c50_a_jug_with_its_own_sugar_water_is_told_from_the_pot(self):
        """case-C50: 40 g of sugar water, counted as water, in 150 g of batter raises water from 19 to 36 %."""
        rows = (row("1", cell("A", wet=self.SUGAR_WATER)), row("2", cell("B")))
        jugs = by_letter(portion_plan(rows, made("450", "310", water="85.5", superfat="0.05")))
        assert (jugs["A"].batter_grams, jugs["A"].wet_grams) == (150, 40)
        assert (round(jugs["A"].water_percent), round(jugs["B"].water_percent)) == (36, 19)
        assert [bool(jug.warnings) for jug in jugs.values()] == [True, False]
        assert round(jugs["A"].superfat_fraction, 9) == D("0.05")

    def test_what_is_not_water_in_it_weighs_too(self):
        """Worked by hand: 100 g with 20 g of water and 10 g of a liquid half water: 25 of 110 g."""
        rows = (row("1", cell("A", wet=WetAddition("Puree", D(10), water_fraction=D("0.5")))), row("1", cell("B")))
        jugs = by_letter(portion_plan(rows, made("200", "140", water="40")))
        assert round(jugs["A"].water_percent, 4) == D("22.7273")

    def test_its_fat_lifts_the_superfat_of_the_jug(self):
        """Worked by hand: half of 1000 g oils at 5 %; 72.5 g of cream with 30 % fat: 1 - 475 / 521.75."""
        cream = WetAddition("Cream", D(10), water_fraction=D("0.6"), fat_fraction=D("0.3"))
        jugs = by_letter(portion_plan((row("1", cell("A", wet=cream)), row("1", cell("B"))), made(superfat="0.05")))
        assert round(jugs["A"].superfat_fraction, 6) == D("0.089602")
        assert (round(jugs["B"].superfat_fraction, 9), jugs["A"].is_apart, jugs["B"].is_apart) == (
            D("0.05"),
            True,
            False,
        )

    def test_its_acid_takes_lye_and_lifts_it_as_well(self):
        """Worked by hand: 72.5 g that take 0.01 g NaOH a gram are 0.725 g, at 0.145 g a gram the lye of 5 g of oils."""
        juice = WetAddition("Juice", D(10), naoh_demand_g_per_g=D("0.01"))
        batter = replace(made(superfat="0.05"), naoh_g_per_g_oils=D("0.145"))
        (jug, _) = portion_plan((row("1", cell("A", wet=juice)), row("1", cell("B"))), batter)
        assert jug.superfat_fraction == D("0.06")

    def test_it_takes_room_in_the_mold(self):
        """Worked by hand: 10 % on top of a quarter of the batter is 2.5 % of it; one filling makes so much less."""
        rows = (row("1", cell("A", wet=WetAddition("Puree", D(10)))), row("3", cell("B")))
        assert stirred_in_fraction(rows) == D("0.025")
        size, loaf = BatterSize(D(1000), D(1450), D(1440)), LoafMold(D(300), D(80), D(65), D(25))
        plain, wet = (scale_to_mold_volume(size, loaf, stirred_in_fraction=part) for part in (D(0), D("0.025")))
        assert round(plain.batter_grams / wet.batter_grams, 9) == D("1.025")
        assert plain.fill_height_mm == wet.fill_height_mm


class TestVessels:
    def test_allowance_for_each_jug(self):
        """1 to 2 % of the batter stays in each vessel: common practice, no source."""
        jugs = by_letter(portion_plan((row("1", cell("A")), row("3", cell("B"))), made("1000", "700")))
        assert {letter: jug.vessel_allowance_grams for letter, jug in jugs.items()} == {
            "A": D("3.750"),
            "B": D("11.250"),
        }


class TestRefusals:
    def test_jug_too_small_to_pour(self):
        with pytest.raises(PortionError, match=r"Jug B gets only 14\.4 g, and less than 20 g does not pour"):
            portion_plan((row("99", cell("A")), row("1", cell("B"))), made("1435.6"))

    def test_just_enough_to_pour(self):
        jugs = portion_plan((row("99", cell("A")), row("1", cell("B"))), made("2000"))
        assert by_letter(jugs)["B"].batter_grams == 20

    @pytest.mark.parametrize(
        ("rows", "says"),
        (
            ((), "Draw at least one layer"),
            ((row("1"),), "Draw at least one layer"),
            ((row("0", cell("A")),), "Give sizes above 0"),
            ((row("1", cell("A", "-1")),), "Give sizes above 0"),
            ((row("1", cell("A", "0")),), "Give sizes above 0"),
            ((row("1", cell("A", accent_extra_percent=D(-1))),), "enlarged by less than 0"),
            ((row("1", cell("A", added_water_grams=D(-1))),), "less than 0 g of water"),
            ((row("1", cell("A", "1", accent_extra_percent=D(100)), cell("B")),), "take all the batter"),
            ((row("1", cell("A", colors=(dose("mica", "10.1"),))),), "at most 10 percent"),
            ((row("1", cell("A", colors=(dose("mica", "1", "0"),))),), "Weigh a spoon"),
            ((row("1", cell(" ")),), "Give every jug a letter"),
            ((row("1", cell("A"), swirls=(swirl("B", "100"),)),), "The swirls in one layer"),
            ((row("1", cell("A", colors=(dose("mica", "0"),))),), "at most 10 percent"),
            ((row("1", cell("A", colors=(dose("mica", "1", "-2"),))),), "Weigh a spoon"),
            ((row("1", cell("A", scented=True), cell("A", scented=False)),), "Jug A is drawn in two places"),
            ((row("1", cell("A", accent_extra_percent=D(10))),), "take all the batter"),
        ),
    )
    def test_drawing_that_cannot_be(self, rows, says):
        with pytest.raises(PortionError, match=says):
            portion_plan(rows, made())

    def test_drops_of_the_whole_bar(self):
        with pytest.raises(PortionError, match="The drops take"):
            portion_plan((row("1", cell("A")),), made(), drops=(swirl("B", "60"), swirl("C", "40")))

    def test_no_batter_yet(self):
        with pytest.raises(PortionError, match="Size the batch first"):
            portion_plan(HILLSIDE, made("0", "0"))
