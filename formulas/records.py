"""Rows to frozen records: the seam between the database and the chemistry of a formula."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal, cast

from formulas.chemistry.compute import compute_formula
from formulas.chemistry.numbers import adds_up
from formulas.chemistry.records import Additive, Alkali, Fat, FormulaSpec, Liquid, LiquidRule, Spread, StockSolution
from formulas.chemistry.results import Finding, FormulaResult
from formulas.models import FormulaLine, FormulaRevision, Material
from formulas.sugars import is_sugar

LiquidBasis = Literal["lye_concentration", "liquid_to_lye", "percent_of_oils"]
HUNDRED = Decimal(100)
ONE_KILOGRAM = Decimal(1000)


@dataclass(frozen=True)
class LotFigures:
    """What a supplier's certificate says of the very lot in use; None where it says nothing."""

    sap_koh_mg_per_g: Decimal | None = None
    purity_percent: Decimal | None = None


NO_CERTIFICATE = LotFigures()


@dataclass(frozen=True)
class Reckoning:
    """A revision worked out for a mass of oils. ``result`` is None when the spec could not be made at all."""

    spec: FormulaSpec | None
    result: FormulaResult | None
    findings: tuple[Finding, ...]

    @property
    def stops(self) -> tuple[Finding, ...]:
        return tuple(finding for finding in self.findings if finding.level == "stop")

    @property
    def asks(self) -> tuple[Finding, ...]:
        return tuple(finding for finding in self.findings if finding.level == "ask")

    @property
    def notes(self) -> tuple[Finding, ...]:
        return tuple(finding for finding in self.findings if finding.level == "note")


def fraction(percent: Decimal | None) -> Decimal | None:
    return None if percent is None else percent / HUNDRED


def sap_spread(material: Material, lot: LotFigures = NO_CERTIFICATE) -> Spread | None:
    """Return the lot's certificate value if there is one, else the material's range; None when neither is known."""
    if lot.sap_koh_mg_per_g is not None:
        return Spread.exactly(lot.sap_koh_mg_per_g)
    if material.sap_plan is None:
        return None
    return Spread(material.sap_low or material.sap_plan, material.sap_plan, material.sap_high or material.sap_plan)


def purity_spread(material: Material, lot: LotFigures = NO_CERTIFICATE) -> Spread | None:
    """Return the purity as fractions. With a range only, plan on its upper end: that dose cannot be lye-heavy."""
    if lot.purity_percent is not None:
        return Spread.exactly(lot.purity_percent / HUNDRED)
    high = material.purity_high_percent if material.purity_high_percent is not None else material.purity_percent
    if high is None:
        return None
    plan = material.purity_percent if material.purity_percent is not None else high
    low = material.purity_low_percent if material.purity_low_percent is not None else plan
    return Spread(low / HUNDRED, plan / HUNDRED, high / HUNDRED)


def fat_of(material: Material, grams: Decimal, lot: LotFigures = NO_CERTIFICATE) -> Fat | None:
    """Return the fat for the pot, or None when its SAP is not known."""
    spread = sap_spread(material, lot)
    if spread is None:
        return None
    return Fat(
        name=material.name,
        grams=grams,
        sap_koh_mg_per_g=spread,
        iodine_value=material.iodine_value,
        density_g_per_ml=material.density_g_per_ml,
        gives_glycerol=material.gives_glycerol,
        acid_value=spread.plan if _is_free_fatty_acid(material) else Decimal(0),
        unsaponifiable_fraction=fraction(material.unsaponifiable_percent),
        fatty_acids_percent={acid: Decimal(str(share)) for acid, share in material.fatty_acids_percent.items()},
        sap_is_certificate=lot.sap_koh_mg_per_g is not None,
    )


def _is_free_fatty_acid(material: Material) -> bool:
    return material.name.lower().endswith(" acid")


def liquid_of(material: Material, share_percent: Decimal, grams: Decimal | None = None) -> Liquid:
    fat = fraction(material.fat_percent) or Decimal(0)
    low, high = material.fat_sap_low, material.fat_sap_high
    return Liquid(
        name=material.name,
        share_fraction=share_percent / HUNDRED,
        water_fraction=Decimal(1) if material.water_percent is None else material.water_percent / HUNDRED,
        fat_fraction=fat,
        fat_sap_koh_mg_per_g=None if low is None or high is None else Spread.between(low, high),
        sugars_fraction=fraction(material.sugars_percent),
        protein_fraction=fraction(material.protein_percent),
        alcohol_fraction=fraction(material.alcohol_percent),
        alkali_demand_g_naoh_per_g=material.alkali_demand_g_naoh_per_g or Decimal(0),
        grams=grams,
    )


def additive_of(material: Material, grams: Decimal, stage: str = "") -> Additive:
    demand = material.alkali_demand_g_naoh_per_g
    if demand is None and material.kind != Material.Kind.ACID:
        demand = Decimal(0)
    return Additive(
        name=material.name,
        grams=grams,
        alkali_demand_g_naoh_per_g=demand,
        water_fraction=fraction(material.water_percent) or Decimal(0),
        alcohol_fraction=fraction(material.alcohol_percent),
        is_scent=material.is_scent,
        stage=stage,
    )


def alkali_of(
    material: Material, share_percent: Decimal = HUNDRED, lot: LotFigures = NO_CERTIFICATE, grams: Decimal | None = None
) -> Alkali:
    spread = purity_spread(material, lot)
    return Alkali(
        kind="KOH" if material.alkali_kind == Material.AlkaliKind.KOH else "NaOH",
        share_fraction=share_percent / HUNDRED,
        purity_fraction=spread or Spread.exactly(Decimal(1)),
        purity_is_certificate=lot.purity_percent is not None,
        grams=grams,
    )


def reckon_revision(
    revision: FormulaRevision,
    *,
    oils_grams: Decimal = ONE_KILOGRAM,
    least_superfat_percent: Decimal = Decimal(0),
    lots: Mapping[int, LotFigures] | None = None,
) -> Reckoning:
    """Work a revision out for a mass of oils. ``lots`` gives certificate figures by material id."""
    return reckon_lines(
        revision,
        list(revision.lines.all()),
        oils_grams=oils_grams,
        least_superfat_percent=least_superfat_percent,
        lots=lots or {},
    )


def reckon_lines(
    revision: FormulaRevision,
    lines: Iterable[FormulaLine],
    *,
    oils_grams: Decimal,
    least_superfat_percent: Decimal,
    lots: Mapping[int, LotFigures],
) -> Reckoning:
    """Work out lines that need not be saved yet, so that a page can show the sums while they are typed."""
    by_stage: dict[str, list[FormulaLine]] = {stage: [] for stage in FormulaLine.Stage.values}
    for line in lines:
        by_stage[line.stage].append(line)
    unknown = _open_figures(by_stage, lots)
    if any(finding.level == "stop" for finding in unknown):
        return Reckoning(spec=None, result=None, findings=unknown)
    spec = _spec(revision, by_stage, oils_grams=oils_grams, lots=lots)
    spec = replace(spec, least_superfat_fraction=least_superfat_percent / HUNDRED)
    result = compute_formula(spec)
    return Reckoning(spec=spec, result=result, findings=(*unknown, *result.findings, *_heat_notes(by_stage)))


def _heat_notes(by_stage: Mapping[str, list[FormulaLine]]) -> tuple[Finding, ...]:
    added = (*by_stage[FormulaLine.Stage.LYE], *by_stage[FormulaLine.Stage.TRACE])
    return tuple(
        Finding(
            "note",
            "sugar-added",
            f"{line.material.name} heats the batter while it sets.",
            "Never into hot lye: into cooled lye or at light trace. No insulation; watch the first two hours.",
        )
        for line in added
        if line.material.kind == Material.Kind.ADDITIVE and is_sugar(line.material.name)
    )


def _open_figures(by_stage: Mapping[str, list[FormulaLine]], lots: Mapping[int, LotFigures]) -> tuple[Finding, ...]:
    found = []
    oils = [line.percent for line in by_stage[FormulaLine.Stage.OILS]]
    if oils and not adds_up(tuple(percent / HUNDRED for percent in oils)):
        found.append(_oils_sum(sum(oils, Decimal(0))))
    for line in by_stage[FormulaLine.Stage.OILS]:
        if sap_spread(line.material, lots.get(line.material_id, NO_CERTIFICATE)) is None:
            found.append(
                Finding(
                    "stop",
                    "sap-unknown",
                    f"The SAP of {line.material.name} is not known, so its lye cannot be reckoned.",
                    "Enter its SAP range, or the value on the lot's certificate.",
                )
            )
    for line in by_stage[FormulaLine.Stage.ALKALI]:
        if purity_spread(line.material, lots.get(line.material_id, NO_CERTIFICATE)) is None:
            found.append(
                Finding(
                    "ask",
                    "purity-unknown",
                    f"The purity of {line.material.name} is not known; it is dosed as pure, which cannot be lye-heavy.",
                    "Enter the purity range, or the value on the lot's certificate.",
                )
            )
    return tuple(found)


def _oils_sum(total: Decimal) -> Finding:
    gap = abs(HUNDRED - total).normalize()
    mend = f"Add {gap:f} points" if total < HUNDRED else f"Take {gap:f} points away"
    return Finding(
        "stop",
        "oils-sum",
        f"The oils add up to {total.normalize():f} %, not 100 %.",
        f"{mend}, then calculate again.",
    )


def _spec(
    revision: FormulaRevision,
    by_stage: Mapping[str, list[FormulaLine]],
    *,
    oils_grams: Decimal,
    lots: Mapping[int, LotFigures],
) -> FormulaSpec:
    stage = FormulaLine.Stage
    fats = (
        fat_of(line.material, oils_grams * line.percent / HUNDRED, lots.get(line.material_id, NO_CERTIFICATE))
        for line in by_stage[stage.OILS]
    )
    alkalis = tuple(
        alkali_of(line.material, line.percent, lots.get(line.material_id, NO_CERTIFICATE))
        for line in by_stage[stage.ALKALI]
    )
    stock = None
    if revision.stock_strength_percent is not None and alkalis:
        stock = StockSolution(kind=alkalis[0].kind, strength_fraction=revision.stock_strength_percent / HUNDRED)
    return FormulaSpec(
        name=revision.formula.name,
        superfat_fraction=revision.superfat_percent / HUNDRED,
        fats=tuple(fat for fat in fats if fat is not None),
        alkalis=alkalis,
        liquid_rule=LiquidRule(basis=cast(LiquidBasis, revision.liquid_basis), value=revision.liquid_value),
        liquids=tuple(liquid_of(line.material, line.percent) for line in by_stage[stage.LIQUID]),
        additives=tuple(
            additive_of(line.material, oils_grams * line.percent / HUNDRED, line.stage)
            for line in (*by_stage[stage.LYE], *by_stage[stage.TRACE])
        ),
        stock_solution=stock,
        weighing_error_fraction=revision.weighing_error_percent / HUNDRED,
    )
