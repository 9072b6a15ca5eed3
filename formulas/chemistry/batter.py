"""Volume and density of the fresh batter, from its parts with ideal mixing at 40 C."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from formulas.chemistry.alkali import pure_mol, weighed_grams
from formulas.chemistry.balance import batch_grams
from formulas.chemistry.constants import (
    BATTER_CELSIUS,
    KOH_SHARE_LIKE_NAOH,
    USUAL_OIL_DENSITY_G_PER_ML,
    WATER_G_PER_MOL,
)
from formulas.chemistry.mixing import Mix
from formulas.chemistry.records import Alkali, Fat
from formulas.chemistry.solution import heat_of_solution, lye_density, lye_heat_capacity, temperature_rise

ZERO = Decimal(0)


@dataclass(frozen=True)
class Batter:
    """Figures of the fresh batter and of its lye; None where a table does not reach."""

    density_g_per_ml: Decimal | None
    volume_ml: Decimal | None
    oils_per_ml: Decimal | None
    lye_density_g_per_ml: Decimal | None
    water_mol_per_alkali_mol: Decimal | None
    dissolving_heat_kj: Decimal | None
    temperature_rise: Decimal | None


def oil_volume_ml(fats: Iterable[Fat]) -> Decimal:
    """Return the volume at 40 C; a fat of unknown density counts with 0.90 g/mL."""
    return sum((fat.grams / (fat.density_g_per_ml or USUAL_OIL_DENSITY_G_PER_ML) for fat in fats), ZERO)


def batter_volume(*, fats: Iterable[Fat], lye_grams: Decimal, lye_density_g_per_ml: Decimal) -> Decimal:
    """Return milliliters of fats and lye together, at 40 C and without air."""
    return oil_volume_ml(fats) + lye_grams / lye_density_g_per_ml


def batter(mix: Mix) -> Batter:
    """Return volume, density and heat. What is neither fat nor lye is taken to be as dense as the batter."""
    lye_grams = _lye_grams(mix)
    density = _lye_density(mix, lye_grams)
    mol = sum((pure_mol(alkali) for alkali in mix.alkalis), ZERO)
    water_mol = mix.water_for_lye_grams / WATER_G_PER_MOL / mol if mol else None
    heat = _dissolving_heat(mix, water_mol)
    rise = None
    if heat is not None and (capacity := lye_heat_capacity(_percent_as_naoh(mix, lye_grams))) is not None:
        rise = temperature_rise(heat, lye_grams=lye_grams, heat_capacity=capacity)
    if density is None:
        return Batter(None, None, None, None, water_mol, heat, rise)
    fats_grams = sum((fat.grams for fat in mix.fats), ZERO)
    of_fats_and_lye = batter_volume(fats=mix.fats, lye_grams=lye_grams, lye_density_g_per_ml=density)
    batter_density = (fats_grams + lye_grams) / of_fats_and_lye
    volume = batch_grams(mix) / batter_density
    oils = sum((fat.grams for fat in mix.own_fats), ZERO)
    return Batter(batter_density, volume, oils / volume, density, water_mol, heat, rise)


def _lye_grams(mix: Mix) -> Decimal:
    """Return alkali as weighed and every liquid without its fat."""
    poured = sum((grams for _, grams in mix.poured), ZERO) - sum((fat.grams for fat in mix.liquid_fats), ZERO)
    return weighed_grams(mix.alkalis) + mix.stock_water_grams + poured


def _percent_as_naoh(mix: Mix, lye_grams: Decimal) -> Decimal:
    pure = sum(((alkali.grams or ZERO) * alkali.purity_fraction.plan for alkali in mix.alkalis), ZERO)
    return 100 * pure / lye_grams if lye_grams else ZERO


def _is_like_naoh(alkalis: tuple[Alkali, ...]) -> bool:
    mol = sum((pure_mol(alkali) for alkali in alkalis), ZERO)
    koh = sum((pure_mol(alkali) for alkali in alkalis if alkali.kind == "KOH"), ZERO)
    return bool(mol) and koh <= KOH_SHARE_LIKE_NAOH * mol


def _lye_density(mix: Mix, lye_grams: Decimal) -> Decimal | None:
    if not _is_like_naoh(mix.alkalis):
        return None
    return lye_density(_percent_as_naoh(mix, lye_grams), BATTER_CELSIUS)


def _dissolving_heat(mix: Mix, water_mol: Decimal | None) -> Decimal | None:
    """Return kJ; None with a stock solution, which gave its heat when it was mixed."""
    if water_mol is None or mix.stock_grams or not _is_like_naoh(mix.alkalis):
        return None
    return sum((pure_mol(a) * heat_of_solution(water_mol, kind=a.kind) for a in mix.alkalis), ZERO)
