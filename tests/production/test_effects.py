"""What a slip does to the pot, in sentences. Pure."""

from decimal import Decimal

import pytest

from production.batches.effects import NOTHING, effect_words, pot_figures
from production.batches.frozen import FrozenMaterial
from production.batches.pot import InPot

FLOOR = Decimal(2)
SAP = Decimal("190")
OIL = FrozenMaterial(1, "Olive oil", "fat", sap_low=SAP, sap_plan=SAP, sap_high=SAP)
SHEA = FrozenMaterial(6, "Shea butter", "fat", sap_low=SAP, sap_plan=SAP, sap_high=SAP)
LYE = FrozenMaterial(2, "Lye", "alkali", alkali_kind="NaOH", purity_percent=Decimal(100))
WATER = FrozenMaterial(3, "Water", "liquid", water_percent=Decimal(100))
SCENT = FrozenMaterial(
    4, "Fern scent", "fragrance", scent_limit_percent=Decimal(3), allergens=(("Linalool", Decimal(9)),)
)
NO_LIMIT = FrozenMaterial(5, "Harbor scent", "fragrance")
STRANGE = FrozenMaterial(7, "Nut fat", "fat")
KINDS = {"oil": OIL, "shea": SHEA, "lye": LYE, "water": WATER, "scent": SCENT, "other": NO_LIMIT, "strange": STRANGE}


def pot(**grams: str):
    kinds = {
        "oil": OIL,
        "shea": SHEA,
        "lye": LYE,
        "water": WATER,
        "scent": SCENT,
        "other": NO_LIMIT,
        "strange": STRANGE,
    }
    return pot_figures(InPot(kinds[name], Decimal(amount)) for name, amount in grams.items())


# 1,000 g of a fat of 190 mg KOH/g need 190 x 40.00 / 56.11 = 135.45 g NaOH; 128.68 g leave 5 % (worked by hand).
PLANNED = {"oil": "1000", "lye": "128.68", "water": "300", "scent": "20"}


def told(**changed: str) -> str:
    return effect_words(pot(**PLANNED), pot(**(PLANNED | changed)), floor_percent=FLOOR)


def test_a_spill_of_oil_lowers_the_superfat_and_the_weight():
    """Worked by hand: 135.45 x 0.97 = 131.39 g would be used up by 970 g; 128.68 of it leave 2.1 %."""
    assert told(oil="970") == (
        "Superfat 5.0 → 2.1 %. Scent 2.0 → 2.1 % of the oils. The pot weighs 30 g less: the bars are lighter or fewer."
    )


def test_below_the_floor_and_lye_heavy_are_said_first():
    # 128.68 / (135.45 x 0.96) = 0.9896: 1.0 % (by hand); at 940 g the pot is lye-heavy: 1 - 1.0107 = -1.1 %.
    assert told(oil="960").startswith("Superfat 5.0 → 1.0 %, below the floor of 2 %.")
    assert told(oil="940").startswith("Stop: Superfat 5.0 → -1.1 %, lye-heavy. Do not pour before fat is added.")


def test_a_fat_without_figures_makes_no_false_precision():
    assert told(strange="50").startswith(
        "The superfat cannot be computed: no figures for Nut fat. A titration of the soap can clear it."
    )


def test_another_fat_is_new_on_the_label_and_the_planned_one_gone():
    assert told(oil="0", shea="1000") == "New on the label: Shea butter. No longer in it: Olive oil."


def test_twice_the_scent_is_over_its_limit():
    """Dry soap without water is 1,000 + 128.68 + 40 = 1,168.68 g; 40 g are 3.42 % of it (by hand)."""
    assert told(scent="40") == (
        "Fern scent is 3.42 % of the dry soap; its certificate allows 3 %. Scent 2.0 → 4.0 % of the oils. "
        "The pot weighs 20 g more: the mold fills higher."
    )


def test_a_scent_without_a_limit_stops_the_release():
    assert "Harbor scent has no limit on file: nothing is released before it is known." in told(other="5")


def test_new_allergens_are_named():
    bare = {name: grams for name, grams in PLANNED.items() if name != "scent"}
    words = effect_words(pot(**bare), pot(**PLANNED), floor_percent=FLOOR)
    assert "May have to be named as allergens: Linalool." in words


def test_a_gram_more_or_less_changes_nothing():
    assert told(water="301") == NOTHING


@pytest.mark.parametrize("missing", ("oil", "lye"))
def test_a_pot_without_fat_or_lye_has_no_superfat(missing: str):
    assert told(**{missing: "0"}).startswith("The superfat cannot be computed: there is no fat or no lye in the pot.")
