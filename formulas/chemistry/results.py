"""What comes out of the chemistry. None means: cannot be known from what was given."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

Level = Literal["stop", "ask", "note"]


@dataclass(frozen=True)
class Finding:
    """Something a person must know. "stop" forbids, "ask" wants a written reason, "note" only tells."""

    level: Level
    code: str
    text: str
    mend: str = ""


@dataclass(frozen=True)
class SuperfatInterval:
    """Superfat in percent of the alkali that the fats could take up.

    `lowest` and `highest` hold if every uncertain figure lies at its worst end at once. The likely range is the plan
    plus or minus two standard deviations, inputs independent, never outside lowest and highest. `smallest_safe_plan`
    is the least planned superfat whose worst case is not lye-heavy. `causes` names each uncertain figure with its
    share of the variance, largest first; the shares add up to one.
    """

    planned: Decimal
    lowest: Decimal
    highest: Decimal
    smallest_safe_plan: Decimal
    standard_deviation: Decimal
    likely_lowest: Decimal
    likely_highest: Decimal
    causes: tuple[tuple[str, Decimal], ...] = ()


@dataclass(frozen=True)
class FormulaResult:
    """One formula, reckoned. Alkali grams are as weighed: purity applied, stock solution included."""

    name: str
    findings: tuple[Finding, ...] = ()

    koh_demand_grams: Decimal | None = None  # of the weighed-out fats, at planning SAP
    naoh_grams: Decimal | None = None
    koh_grams: Decimal | None = None
    pure_naoh_grams: Decimal | None = None
    pure_koh_grams: Decimal | None = None
    pure_naoh_at_zero_superfat_grams: Decimal | None = None  # all fats, as if NaOH alone did it
    naoh_for_acids_grams: Decimal | None = None  # as pure NaOH, whichever alkali does it
    naoh_mass_share_percent: Decimal | None = None  # of the alkali as weighed
    stock_solution_grams: Decimal | None = None
    dry_alkali_grams: Decimal | None = None  # what is weighed dry beside the stock solution

    water_grams: Decimal | None = None  # plain water to add; also listed in `liquids`
    water_in_stock_grams: Decimal | None = None
    liquids: tuple[tuple[str, Decimal], ...] = ()  # every liquid to add, plain water among them
    fat_in_liquids_grams: Decimal | None = None
    lye_concentration_percent: Decimal | None = None  # alkali as weighed / (that + water)
    liquid_to_lye: Decimal | None = None
    liquid_percent_of_oils: Decimal | None = None

    superfat: SuperfatInterval | None = None
    superfat_without_acid_lye_percent: Decimal | None = None  # if the extra lye for the acids were forgotten
    superfat_ignoring_liquid_fat_percent: Decimal | None = None  # if the lye for the liquids' fat were forgotten

    oils_grams: Decimal | None = None
    additives_grams: Decimal | None = None
    batch_grams: Decimal | None = None
    water_in_batch_grams: Decimal | None = None
    water_percent_of_batch: Decimal | None = None
    glycerin_grams: Decimal | None = None
    soap_grams: Decimal | None = None  # with the fats' unsaponifiables and the waxes' alcohols
    unreacted_fat_grams: Decimal | None = None
    total_fatty_matter_grams: Decimal | None = None
    weigh_out_sum_grams: Decimal | None = None  # every line of the weigh-out added up; equals batch_grams
    mass_balance_residual_grams: Decimal | None = None  # products less what went in

    sap_koh_mg_per_g: Decimal | None = None  # of the blend of weighed-out fats
    iodine_value: Decimal | None = None
    fatty_acids: tuple[tuple[str, Decimal], ...] | None = None
    batter_density_g_per_ml: Decimal | None = None
    batter_volume_ml: Decimal | None = None
    oils_per_ml: Decimal | None = None
    lye_density_g_per_ml: Decimal | None = None
    water_mol_per_alkali_mol: Decimal | None = None
    dissolving_heat_kj: Decimal | None = None
    lye_temperature_rise: Decimal | None = None  # kelvin, no heat lost: a ceiling, not a forecast
    scent_grams: Decimal | None = None

    @property
    def stops(self) -> tuple[Finding, ...]:
        return tuple(finding for finding in self.findings if finding.level == "stop")

    @property
    def asks(self) -> tuple[Finding, ...]:
        return tuple(finding for finding in self.findings if finding.level == "ask")

    @property
    def is_computed(self) -> bool:
        return self.batch_grams is not None
