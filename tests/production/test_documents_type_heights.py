from decimal import Decimal

import pytest

from production.documents.type_heights import eu_net_weight_min_mm, us_ingredients_min_mm, us_net_weight_min_mm


@pytest.mark.parametrize(
    ("panel_sq_in", "height_mm"),
    [
        pytest.param("4.9", "1.5875", id="16 CFR 500.21: up to 5 sq in, 1/16 in"),
        pytest.param("5", "1.5875", id="16 CFR 500.21: upper bound included"),
        pytest.param("5.01", "3.175", id="16 CFR 500.21, from memory: 1/8 in"),
        pytest.param("25", "3.175", id="16 CFR 500.21, from memory: upper bound"),
        pytest.param("100", "4.7625", id="16 CFR 500.21, from memory: 3/16 in"),
        pytest.param("400", "6.35", id="16 CFR 500.21, from memory: 1/4 in"),
        pytest.param("401", "12.7", id="16 CFR 500.21, from memory: 1/2 in"),
    ],
)
def test_us_net_weight(panel_sq_in, height_mm):
    assert us_net_weight_min_mm(panel_sq_in=Decimal(panel_sq_in)) == Decimal(height_mm)


@pytest.mark.parametrize(
    ("surface_sq_in", "height_mm"),
    [
        pytest.param("11.9", "0.79375", id="21 CFR 701.3(b): under 12 sq in, 1/32 in"),
        pytest.param("12", "1.5875", id="21 CFR 701.3(b): 12 sq in is not under 12"),
    ],
)
def test_us_ingredients(surface_sq_in, height_mm):
    assert us_ingredients_min_mm(surface_sq_in=Decimal(surface_sq_in)) == Decimal(height_mm)


@pytest.mark.parametrize(
    ("nominal_grams", "height_mm"),
    [
        pytest.param("50", "2", id="76/211/EEC Annex I 3.1, from memory: to 50 g"),
        pytest.param("50.1", "3", id="76/211/EEC Annex I 3.1, from memory: over 50 g"),
        pytest.param("200", "3", id="76/211/EEC Annex I 3.1, from memory: to 200 g"),
        pytest.param("1000", "4", id="76/211/EEC Annex I 3.1, from memory: to 1000 g"),
        pytest.param("1001", "6", id="76/211/EEC Annex I 3.1, from memory: over 1000 g"),
    ],
)
def test_eu_net_weight(nominal_grams, height_mm):
    assert eu_net_weight_min_mm(nominal_grams=Decimal(nominal_grams)) == Decimal(height_mm)
