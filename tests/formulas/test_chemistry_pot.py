"""What single parts bring to the pot: water by name, waxes, free fatty acids."""

from dataclasses import replace

from formulas.chemistry.compute import compute_formula
from formulas.chemistry.records import Additive, Liquid, Spread
from tests.formulas.chemistry_parts import PURE_NAOH, RECIPE_R, dec, fat, recipe_r


def test_stearic_acid_among_the_additives_gives_no_glycerol():
    """10 g more, all of it free acid: the glycerol stays; 1.406 g NaOH x 0.95 / 0.98 joins."""
    stearic = Additive(
        "Stearic acid",
        dec(10),
        fat_fraction=dec(1),
        fat_sap_koh_mg_per_g=Spread.exactly(dec("197.2231")),
        fat_acid_value=dec("197.2231"),
    )
    plain, hard = recipe_r(), recipe_r(additives=(stearic,))
    assert round(hard.glycerin_grams, 6) == round(plain.glycerin_grams, 6)
    assert round(hard.naoh_grams - plain.naoh_grams, 3) == dec("1.363")


def test_water_by_another_name_is_not_plain_water():
    """Aloe juice entered as all water is listed by its name, and no plain water is to add."""
    result = recipe_r(liquids=(Liquid("Aloe juice"),))
    assert [name for name, _ in result.liquids] == ["Aloe juice"]
    assert result.water_grams == 0


def test_tap_water_counts_as_water():
    """99.9 % water (USDA SR18): its minerals are below what a scale shows."""
    result = recipe_r(liquids=(Liquid("Water", water_fraction=dec("0.999")),))
    assert result.water_grams == recipe_r().water_grams


def test_waxes_give_no_glycerol_and_free_acids_give_water():
    """Stearic acid, SAP 197.22: 100 g set 6.333 g water free at full reaction (acid value x 0.000321096)."""
    wax = fat("Jojoba", "100", "92.2", "92.2", gives_glycerol=False)
    acid = fat("Stearic acid", "100", "197.2231", "197.2231", acid_value=dec("197.2231"))
    for alone in (wax, acid):
        result = compute_formula(replace(RECIPE_R, fats=(alone,), alkalis=PURE_NAOH, superfat_fraction=dec("0.0001")))
        assert result.glycerin_grams == 0
    formed = result.water_in_batch_grams - result.water_grams
    assert round(formed, 2) == dec("6.33")
