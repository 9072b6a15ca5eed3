"""One whole formula: judged, reckoned, judged again. The front door of the chemistry."""

from dataclasses import replace
from decimal import Context, Decimal, localcontext

from formulas.chemistry import fatty_acids
from formulas.chemistry.alkali import fat_mol, pure_grams, total_mol, weighed_grams
from formulas.chemistry.balance import mass_balance, total_fatty_matter_grams
from formulas.chemistry.batter import batter
from formulas.chemistry.constants import KOH_G_PER_MOL, NAOH_G_PER_MOL
from formulas.chemistry.findings import judge_result
from formulas.chemistry.gates import judge_spec
from formulas.chemistry.mixing import Mix, mix_formula
from formulas.chemistry.records import FormulaResult, FormulaSpec
from formulas.chemistry.superfat import superfat_fraction, superfat_interval

ZERO = Decimal(0)
PRECISE = Context(prec=40)


def compute_formula(spec: FormulaSpec) -> FormulaResult:
    """Return everything that follows from a formula. What a person typed wrong comes back as a stop finding."""
    with localcontext(PRECISE):
        refusals = judge_spec(spec)
        if refusals:
            return FormulaResult(name=spec.name, findings=refusals)
        mix = mix_formula(spec)
        result = _reckoned(spec, mix)
        return replace(result, findings=judge_result(spec, mix, result))


def _reckoned(spec: FormulaSpec, mix: Mix) -> FormulaResult:
    with_lye = _with_lye(spec, mix, FormulaResult(name=spec.name))
    with_mass = _with_mass(spec, mix, with_lye)
    return _with_batter(mix, with_mass)


def _with_lye(spec: FormulaSpec, mix: Mix, result: FormulaResult) -> FormulaResult:
    demand = fat_mol(mix.fats).plan
    naoh, koh = weighed_grams(mix.alkalis, "NaOH"), weighed_grams(mix.alkalis, "KOH")
    water, oils = mix.water_for_lye_grams, sum((fat.grams for fat in spec.fats), ZERO)
    in_stock = weighed_grams(mix.alkalis, spec.stock_solution.kind) if spec.stock_solution else ZERO
    return replace(
        result,
        koh_demand_grams=fat_mol(spec.fats).plan * KOH_G_PER_MOL,
        naoh_grams=naoh,
        koh_grams=koh,
        pure_naoh_grams=pure_grams(mix.alkalis, "NaOH"),
        pure_koh_grams=pure_grams(mix.alkalis, "KOH"),
        pure_naoh_at_zero_superfat_grams=demand * NAOH_G_PER_MOL,
        naoh_for_acids_grams=total_mol(mix.eaters) * NAOH_G_PER_MOL,
        naoh_mass_share_percent=100 * naoh / (naoh + koh),
        stock_solution_grams=mix.stock_grams,
        dry_alkali_grams=naoh + koh - in_stock,
        water_grams=mix.plain_water_grams,
        water_in_stock_grams=mix.stock_water_grams,
        liquids=tuple((liquid.name, grams) for liquid, grams in mix.poured),
        fat_in_liquids_grams=sum((fat.grams for fat in mix.liquid_fats), ZERO),
        lye_concentration_percent=100 * (naoh + koh) / (naoh + koh + water),
        liquid_to_lye=water / (naoh + koh),
        liquid_percent_of_oils=100 * water / oils,
        superfat=superfat_interval(
            mix.fats, mix.alkalis, mix.eaters, weighing_error_fraction=spec.weighing_error_fraction
        ),
        superfat_without_acid_lye_percent=_superfat_without_acid_lye(spec, mix),
        superfat_ignoring_liquid_fat_percent=_superfat_ignoring_liquid_fat(spec, mix),
        oils_grams=oils,
    )


def _has_typed_alkali(spec: FormulaSpec) -> bool:
    return spec.superfat_fraction is None or any(alkali.grams is not None for alkali in spec.alkalis)


def _superfat_without_acid_lye(spec: FormulaSpec, mix: Mix) -> Decimal | None:
    """Return the superfat if the extra lye for acids were forgotten; None without acids or with typed alkali."""
    acids = total_mol(mix.eaters)
    if not acids or _has_typed_alkali(spec):
        return None
    return superfat_fraction(mix.fats, mix.alkalis, mix.eaters) * 100 + 100 * acids / fat_mol(mix.fats).plan


def _superfat_ignoring_liquid_fat(spec: FormulaSpec, mix: Mix) -> Decimal | None:
    """Return the superfat if the lye were weighed as though the liquids brought no fat; None with typed alkali."""
    if not mix.liquid_fats or spec.superfat_fraction is None or _has_typed_alkali(spec):
        return None
    net = fat_mol(mix.own_fats).plan * (1 - spec.superfat_fraction)
    return 100 * (1 - net / fat_mol(mix.fats).plan)


def _with_mass(spec: FormulaSpec, mix: Mix, result: FormulaResult) -> FormulaResult:
    balance = mass_balance(mix)
    lines = [fat.grams for fat in spec.fats] + [additive.grams for additive in spec.additives]
    lines += [result.stock_solution_grams or ZERO, result.dry_alkali_grams or ZERO]
    lines += [grams for _, grams in result.liquids]
    return replace(
        result,
        additives_grams=sum((additive.grams for additive in spec.additives), ZERO),
        scent_grams=sum((additive.grams for additive in spec.additives if additive.is_scent), ZERO),
        batch_grams=balance.batch,
        water_in_batch_grams=balance.water,
        water_percent_of_batch=100 * balance.water / balance.batch,
        glycerin_grams=balance.glycerol,
        soap_grams=balance.soap,
        unreacted_fat_grams=balance.unreacted_fat,
        total_fatty_matter_grams=total_fatty_matter_grams(mix.fats),
        weigh_out_sum_grams=sum(lines, ZERO),
        mass_balance_residual_grams=balance.residual,
        sap_koh_mg_per_g=fatty_acids.blend_sap(spec.fats),
        iodine_value=fatty_acids.blend_iodine_value(spec.fats),
        fatty_acids=fatty_acids.blend_fatty_acids(spec.fats),
    )


def _with_batter(mix: Mix, result: FormulaResult) -> FormulaResult:
    fresh = batter(mix)
    return replace(
        result,
        batter_density_g_per_ml=fresh.density_g_per_ml,
        batter_volume_ml=fresh.volume_ml,
        oils_per_ml=fresh.oils_per_ml,
        lye_density_g_per_ml=fresh.lye_density_g_per_ml,
        water_mol_per_alkali_mol=fresh.water_mol_per_alkali_mol,
        dissolving_heat_kj=fresh.dissolving_heat_kj,
        lye_temperature_rise=fresh.temperature_rise,
    )
