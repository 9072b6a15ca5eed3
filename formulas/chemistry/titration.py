"""Titrations that a workshop or its laboratory may do: SAP and acid value of a lot, purity of alkali, free alkali.

Volumes in mL, strengths in mol/L of acid or alkali with one hydroxide or proton each.
"""

from decimal import Decimal

from formulas.chemistry.constants import IODINE_G_PER_MOL, KOH_G_PER_MOL, NAOH_G_PER_MOL


def saponification_value(
    *, fat_grams: Decimal, blank_ml: Decimal, sample_ml: Decimal, acid_mol_per_l: Decimal
) -> Decimal:
    """Return mg KOH/g from back-titration: what the blank needs and the fat's flask no longer does was used up."""
    return (blank_ml - sample_ml) * acid_mol_per_l * KOH_G_PER_MOL / fat_grams


def acid_value(*, fat_grams: Decimal, alkali_ml: Decimal, alkali_mol_per_l: Decimal) -> Decimal:
    """Return mg KOH/g taken up by free fatty acids alone."""
    return alkali_ml * alkali_mol_per_l * KOH_G_PER_MOL / fat_grams


def free_fatty_acid_percent(*, fat_acid_value: Decimal, acid_g_per_mol: Decimal) -> Decimal:
    """Return free fatty acids in percent, reckoned as one named acid (mostly oleic)."""
    return fat_acid_value * acid_g_per_mol / KOH_G_PER_MOL / 10


def ester_value(*, sap: Decimal, fat_acid_value: Decimal) -> Decimal:
    return sap - fat_acid_value


def iodine_value(*, fat_grams: Decimal, blank_ml: Decimal, sample_ml: Decimal, iodine_grams_per_ml: Decimal) -> Decimal:
    """Return g iodine per 100 g fat; the factor is the thiosulfate's in iodine."""
    return 100 * (blank_ml - sample_ml) * iodine_grams_per_ml / fat_grams


def thiosulfate_iodine_grams_per_ml(mol_per_l: Decimal) -> Decimal:
    return mol_per_l * IODINE_G_PER_MOL / 2000


def titrated_percent(*, sample_grams: Decimal, titrant_ml: Decimal, grams_per_ml: Decimal) -> Decimal:
    """Return percent of a substance of which one mL of titrant stands for so many grams."""
    return 100 * titrant_ml * grams_per_ml / sample_grams


def free_naoh_percent(
    *, soap_grams: Decimal, acid_ml: Decimal, acid_mol_per_l: Decimal, acid_factor: Decimal = Decimal(1)
) -> Decimal:
    """Return percent free alkali, as NaOH, of a soap titrated in alcohol."""
    return 100 * acid_ml * acid_factor * acid_mol_per_l / 1000 * NAOH_G_PER_MOL / soap_grams
