"""Free alkali from a titration; worked examples as the method's arithmetic gives them (40.00 g/mol NaOH)."""

from decimal import Decimal

import pytest

from production.cure.titration import TitrationError, free_alkali_percent


@pytest.mark.parametrize(
    ("acid_ml", "mol_per_l", "grams", "percent"),
    (
        pytest.param("0.85", "0.1", "10.00", "0.034", id="worked example: 0.85 mL of 0.1 mol/L on 10 g"),
        pytest.param("1.25", "0.1", "10.00", "0.050", id="worked example: the limit, 1.25 mL"),
        pytest.param("0", "0.1", "10.00", "0", id="nothing to find"),
        pytest.param("2.50", "0.05", "5.00", "0.1", id="worked by hand: half strength, half the soap"),
    ),
)
def test_percent_naoh(acid_ml, mol_per_l, grams, percent):
    result = free_alkali_percent(acid_ml=Decimal(acid_ml), acid_mol_per_l=Decimal(mol_per_l), soap_grams=Decimal(grams))
    assert result == Decimal(percent)


@pytest.mark.parametrize(
    ("acid_ml", "mol_per_l", "grams", "sentence"),
    (
        ("0.85", "0.1", "0", "No soap was weighed in. Enter the grams of soap in the flask."),
        ("-1", "0.1", "10", "The acid used is below zero. Enter zero when the first drop already cleared the pink."),
        ("0.85", "100", "10", "An acid of 100 mol/L is not used for this test. Read the bottle again."),
        ("0.85", "0.0001", "10", "An acid of 0.0001 mol/L is not used for this test. Read the bottle again."),
        ("850", "1", "10", "That would be more alkali than soap. Check the readings and their units."),
    ),
)
def test_readings_that_cannot_be(acid_ml, mol_per_l, grams, sentence):
    with pytest.raises(TitrationError) as refusal:
        free_alkali_percent(acid_ml=Decimal(acid_ml), acid_mol_per_l=Decimal(mol_per_l), soap_grams=Decimal(grams))
    assert str(refusal.value) == sentence
