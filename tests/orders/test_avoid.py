"""The avoid-list against what is in a bar. Groups and kin as the cases of makers tell them; names are invented."""

import pytest

from orders.avoid import AvoidHit, AvoidList, Ingredient, avoid_hits, new_hits

COCONUT_MILK = Ingredient("Coconut milk", ("coconut",), "the formula")
PALM_KERNEL = Ingredient("Palm kernel oil", ("palm", "coconut kin"), "the formula")
OLIVE = Ingredient("Olive oil", (), "the formula")
MUSTARD = Ingredient("Mustard seed oil", ("mustard",), "the color of jug B")
ALMOND = Ingredient("Almond oil", ("nut",), "the shell")


@pytest.mark.parametrize(
    ("wanted", "found"),
    (
        pytest.param(
            AvoidList(groups=("coconut", "mustard")),
            [
                ("Coconut milk", "the formula", "coconut"),
                ("Palm kernel oil", "the formula", "kin of coconut: ask whether that is meant too"),
                ("Mustard seed oil", "the color of jug B", "mustard"),
            ],
            id="case-C90: milk and kin of coconut, mustard as a color's carrier",
        ),
        pytest.param(AvoidList(groups=("nut",)), [("Almond oil", "the shell", "nut")], id="case-C91: nut in a part"),
        pytest.param(AvoidList(materials=("olive oil",)), [("Olive oil", "the formula", "on the list by name")]),
        pytest.param(AvoidList(groups=("sesame",)), [], id="nothing of it is in"),
        pytest.param(AvoidList(), [], id="no list"),
    ),
)
def test_every_source_is_held_against_the_list(wanted, found):
    hits = avoid_hits(wanted, (COCONUT_MILK, PALM_KERNEL, OLIVE, MUSTARD, ALMOND))
    assert [(hit.ingredient, hit.where, hit.because) for hit in hits] == found


def test_what_the_formula_says_already_is_not_said_again_for_each_batch():
    formula = AvoidHit("Palm oil", "the formula", "palm")
    batches = tuple(
        AvoidHit(name, where, "palm")
        for name, where in (("Palm oil", "batch 1"), ("Palm stearin", "batch 1"), ("Palm stearin", "batch 2"))
    )
    assert new_hits((formula,), batches) == (AvoidHit("Palm stearin", "batch 1", "palm"),)
