"""Free caustic alkali by titration in neutralized alcohol, after the ethanol method of ISO 456:1973.

In alcohol soap does not split, so what the acid finds is caustic alkali; in water the same figure would mean nothing.
"""

from decimal import Decimal

# 40.00 g/mol NaOH × 100 % / 1000 mL per L.
NAOH_PERCENT_FACTOR = Decimal("4.00")
# Acids in use for this run from 0.01 to 1 mol/L; a figure outside is a slip of the decimal point.
LEAST_MOL_PER_L, MOST_MOL_PER_L = Decimal("0.005"), Decimal(2)


class TitrationError(ValueError):
    """The readings cannot give a result; the message is for people."""


def free_alkali_percent(*, acid_ml: Decimal, acid_mol_per_l: Decimal, soap_grams: Decimal) -> Decimal:
    """Return the unrounded free alkali as percent NaOH of the soap weighed in."""
    if soap_grams <= 0:
        raise TitrationError("No soap was weighed in. Enter the grams of soap in the flask.")
    if acid_ml < 0:
        raise TitrationError("The acid used is below zero. Enter zero when the first drop already cleared the pink.")
    if not LEAST_MOL_PER_L <= acid_mol_per_l <= MOST_MOL_PER_L:
        raise TitrationError(f"An acid of {acid_mol_per_l} mol/L is not used for this test. Read the bottle again.")
    percent = acid_ml * acid_mol_per_l * NAOH_PERCENT_FACTOR / soap_grams
    if percent > 100:
        raise TitrationError("That would be more alkali than soap. Check the readings and their units.")
    return percent
