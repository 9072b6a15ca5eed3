"""Mass balance: what a pot turns into, and what a bar weighs when part of its water has gone."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from formulas.chemistry.alkali import fat_mol, mol_left_for_fats, pure_mol, total_mol, weighed_grams
from formulas.chemistry.constants import (
    ALKALI_G_PER_MOL,
    GLYCEROL_G_PER_MOL,
    GLYCERYL_G_PER_MOL,
    MG_KOH_PER_MOL,
    WATER_G_PER_MOL,
)
from formulas.chemistry.mixing import Mix
from formulas.chemistry.records import Fat, FormulaError

ZERO = Decimal(0)
ONE = Decimal(1)


@dataclass(frozen=True)
class MassBalance:
    """Products of a pot after full reaction, in grams. `residual` is products less what went in."""

    batch: Decimal
    water: Decimal
    glycerol: Decimal
    soap: Decimal  # with unsaponifiables and wax alcohols
    unreacted_fat: Decimal
    free_alkali: Decimal
    alkali_impurities: Decimal
    other_solids: Decimal  # additives and liquids without their water and fat, with the salts of acids

    @property
    def residual(self) -> Decimal:
        products = self.water + self.glycerol + self.soap + self.unreacted_fat
        return products + self.free_alkali + self.alkali_impurities + self.other_solids - self.batch


def bound_mol(fat: Fat) -> Decimal:
    """Return the alkali that the esters of a fat take up: all but its free fatty acids."""
    return fat.grams * (fat.sap_koh_mg_per_g.plan - free_acid_value(fat)) / MG_KOH_PER_MOL


def free_acid_mol(fat: Fat) -> Decimal:
    return fat.grams * free_acid_value(fat) / MG_KOH_PER_MOL


def free_acid_value(fat: Fat) -> Decimal:
    return min(fat.acid_value, fat.sap_koh_mg_per_g.plan)


def glycerol_grams(fat: Fat) -> Decimal:
    """Return the glycerol from the whole of a fat; waxes give fatty alcohols and none."""
    return bound_mol(fat) / 3 * GLYCEROL_G_PER_MOL if fat.gives_glycerol else ZERO


def fatty_matter_grams(fat: Fat) -> Decimal:
    """Return the fat reckoned as fatty acids; a wax counts whole, its alcohols being fatty matter too."""
    return fat.grams - (bound_mol(fat) / 3 * GLYCERYL_G_PER_MOL if fat.gives_glycerol else ZERO)


def total_fatty_matter_grams(fats: Iterable[Fat]) -> Decimal:
    """Return all fat as fatty acids, superfat included."""
    return sum((fatty_matter_grams(fat) for fat in fats), ZERO)


def _water_from_fat(fat: Fat) -> Decimal:
    """Return the water that a fat sets free, glycerol's own three waters set against it."""
    water = free_acid_mol(fat) * WATER_G_PER_MOL
    return water + (bound_mol(fat) * WATER_G_PER_MOL if fat.gives_glycerol else ZERO)


def mass_balance(mix: Mix) -> MassBalance:
    """Return what the pot becomes; every fat keeps the same share unreacted."""
    eaters = total_mol(mix.eaters)
    demand = fat_mol(mix.fats).plan
    left = mol_left_for_fats(mix.alkalis, eaters)
    left_mol = sum(left.values(), ZERO)
    reacted = min(left_mol / demand, ONE)
    used = reacted * demand / left_mol if left_mol else ZERO
    left_grams = sum((mol * ALKALI_G_PER_MOL[kind] for kind, mol in left.items()), ZERO)
    pure = sum(((alkali.grams or ZERO) * alkali.purity_fraction.plan for alkali in mix.alkalis), ZERO)
    neutralized = min(eaters, sum((pure_mol(alkali) for alkali in mix.alkalis), ZERO))
    acid_water = neutralized * WATER_G_PER_MOL
    soap_less_alkali = sum((fatty_matter_grams(fat) - _water_from_fat(fat) for fat in mix.fats), ZERO)
    free_acid_water = sum((free_acid_mol(fat) * WATER_G_PER_MOL for fat in mix.fats), ZERO)
    return MassBalance(
        batch=batch_grams(mix),
        water=added_water_grams(mix) + acid_water + reacted * free_acid_water,
        glycerol=reacted * sum((glycerol_grams(fat) for fat in mix.fats), ZERO),
        soap=reacted * soap_less_alkali + used * left_grams,
        unreacted_fat=(1 - reacted) * sum((fat.grams for fat in mix.fats), ZERO),
        free_alkali=(1 - used) * left_grams,
        alkali_impurities=weighed_grams(mix.alkalis) - pure,
        other_solids=_solids_grams(mix) + (pure - left_grams) - acid_water,
    )


def batch_grams(mix: Mix) -> Decimal:
    """Return everything that goes in the pot; the fat of liquids and additives is inside their own weight."""
    fats = sum((fat.grams for fat in mix.own_fats), ZERO)
    poured = sum((grams for _, grams in mix.poured), ZERO)
    additives = sum(
        (a.grams - _fat_grams(a.fat_fraction, a.grams, a.fat_sap_koh_mg_per_g) for a in mix.additives), ZERO
    )
    return fats + weighed_grams(mix.alkalis) + mix.stock_water_grams + poured + additives


def added_water_grams(mix: Mix) -> Decimal:
    """Return the water in the pot before anything reacts."""
    return mix.water_for_lye_grams + sum((a.grams * a.water_fraction for a in mix.additives), ZERO)


def _fat_grams(fraction: Decimal, grams: Decimal, sap: object) -> Decimal:
    return grams * fraction if sap is not None else ZERO


def _solids_grams(mix: Mix) -> Decimal:
    """Return additives and liquids without their water and without the fat that counts as fat."""
    poured = sum((grams for _, grams in mix.poured), ZERO)
    poured -= mix.water_for_lye_grams - mix.stock_water_grams
    poured -= sum((fat.grams for fat in mix.liquid_fats), ZERO)
    additives = ZERO
    for additive in mix.additives:
        fat = _fat_grams(additive.fat_fraction, additive.grams, additive.fat_sap_koh_mg_per_g)
        additives += additive.grams * (1 - additive.water_fraction) - fat
    return poured + additives


def cured_bar_mass(batch: Decimal, water: Decimal, moisture_fraction: Decimal) -> Decimal:
    """Return the mass when water has left until the given fraction of the bar is water."""
    if not 0 <= moisture_fraction < 1:
        raise FormulaError("A bar's moisture lies between 0 and 99 %. Bars end near 8 to 15 %.")
    return (batch - water) / (1 - moisture_fraction)


def weight_loss_fraction(batch: Decimal, water: Decimal, moisture_fraction: Decimal) -> Decimal:
    return 1 - cured_bar_mass(batch, water, moisture_fraction) / batch


def dose_percents(grams: Decimal, *, oils: Decimal, batch: Decimal, cured: Decimal) -> dict[str, Decimal]:
    """Return one dose as percent of the oils, of the batter and of the cured bar."""
    return {"oils": 100 * grams / oils, "batter": 100 * grams / batch, "cured": 100 * grams / cured}
