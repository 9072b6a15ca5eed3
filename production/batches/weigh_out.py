"""The weigh-out of a batch: each dose with its phase, its tolerance and the band the scale must show."""

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from formulas.chemistry.records import FormulaSpec
from formulas.chemistry.results import FormulaResult
from formulas.jugs import PortionPlan
from formulas.models import Design, FormulaLine, FormulaRevision, Material
from formulas.weighing import DoseTooSmall, Scale, WeighingError, accept_band, round_to_step, smallest_dose_grams
from production.batches.models import Weighing
from production.scales.choice import smallest_on_any
from production.scales.models import Scale as ScaleRow
from soapshop.models import Workshop
from soapshop.units import format_grams

Phase, Tolerance, Stage = Weighing.Phase, Weighing.ToleranceClass, FormulaLine.Stage
MILLIGRAM = Decimal("0.001")


@dataclass(frozen=True)
class WeighRules:
    """Scale steps in grams and accepted errors as fractions, from the workshop's settings."""

    lye_step: Decimal
    fat_step: Decimal
    dose_step: Decimal
    minor_step: Decimal
    tolerances: tuple[tuple[str, Decimal], ...]
    scales: tuple[Scale, ...] = ()

    @classmethod
    def of(cls, workshop: Workshop) -> "WeighRules":
        return cls(
            lye_step=workshop.lye_scale_step_grams,
            fat_step=workshop.fat_scale_step_grams,
            dose_step=workshop.dose_scale_step_grams,
            minor_step=workshop.minor_scale_step_grams,
            tolerances=tuple((kind, getattr(workshop, f"{kind}_tolerance_percent") / 100) for kind in Tolerance.values),
        )

    @classmethod
    def with_scales(cls, workshop: Workshop) -> "WeighRules":
        """Return the rules with the scales on the workshop's list, in one query: read them once for all batches."""
        return replace(cls.of(workshop), scales=tuple(row.figures for row in ScaleRow.objects.in_use()))

    def step(self, tolerance_class: str) -> Decimal:
        steps = {
            Tolerance.ALKALI: self.lye_step,
            Tolerance.FAT: self.fat_step,
            Tolerance.LIQUID: self.fat_step,
            Tolerance.DOSE: self.dose_step,
            Tolerance.MINOR: self.minor_step,
        }
        return steps[Tolerance(tolerance_class)]

    @property
    def finest_step(self) -> Decimal:
        return min(self.lye_step, self.fat_step, self.dose_step, self.minor_step)

    def tolerance(self, tolerance_class: str) -> Decimal:
        return dict(self.tolerances)[tolerance_class]

    def smallest_grams(self, tolerance_class: str) -> Decimal:
        """Return the least dose of this kind that a scale of the workshop weighs well enough (rule W1)."""
        if self.scales:
            return smallest_on_any(self.scales, self.tolerance(tolerance_class))
        return smallest_dose_grams(
            scale_min_grams=Decimal(0),
            sd_grams=None,
            step_grams=self.finest_step,
            tolerance_fraction=self.tolerance(tolerance_class),
        )


@dataclass(frozen=True)
class PlannedLine:
    """One line of the weigh-out before it is saved."""

    phase: str
    tolerance_class: str
    material_id: int
    name: str
    planned_grams: Decimal
    low_grams: Decimal
    high_grams: Decimal
    portion_letter: str = ""

    @property
    def as_row(self) -> dict[str, Any]:
        """What a weighing, of a batch or of a pot of parts, keeps of the line."""
        return {
            "phase": self.phase,
            "tolerance_class": self.tolerance_class,
            "material_id": self.material_id,
            "planned_grams": self.planned_grams,
            "accept_low_grams": self.low_grams,
            "accept_high_grams": self.high_grams,
        }


def weigh_lines(
    revision: FormulaRevision,
    design: Design,
    spec: FormulaSpec,
    result: FormulaResult,
    jugs: tuple[PortionPlan, ...],
    rules: WeighRules,
) -> tuple[PlannedLine, ...]:
    """Return the lines in order of use: the formula, then the colors, the extra oils and the liquids of the jugs."""
    return (
        *formula_lines(revision, spec, result, rules),
        *_colors(design, jugs, rules),
        *_extra_oils(design, jugs, rules),
        *_stirred_in(design, jugs, rules),
    )


def formula_lines(
    revision: FormulaRevision, spec: FormulaSpec, result: FormulaResult, rules: WeighRules
) -> tuple[PlannedLine, ...]:
    """Return what goes into the pot in order of use: liquid and what goes into it, lye, oils, what comes at trace."""
    of_stage: dict[str, list[FormulaLine]] = {stage: [] for stage in Stage.values}
    for line in revision.lines.all():
        of_stage[line.stage].append(line)
    fats = {fat.name: fat.grams for fat in spec.fats}
    doses = {item.name: item.grams for item in spec.additives}
    alkali: dict[str, Decimal | None] = {item.kind: item.grams for item in spec.alkalis}
    return (
        *_liquids(of_stage[Stage.LIQUID], result, rules),
        *(_dose(Phase.LYE, line.material, doses[line.material.name], rules) for line in of_stage[Stage.LYE]),
        *(
            planned_line(Phase.LYE, Tolerance.ALKALI, line.material, alkali[line.material.alkali_kind], rules)
            for line in of_stage[Stage.ALKALI]
        ),
        *(
            planned_line(Phase.OILS, Tolerance.FAT, line.material, fats[line.material.name], rules)
            for line in of_stage[Stage.OILS]
        ),
        *(_dose(Phase.TRACE, line.material, doses[line.material.name], rules) for line in of_stage[Stage.TRACE]),
    )


def _liquids(lines: list[FormulaLine], result: FormulaResult, rules: WeighRules) -> tuple[PlannedLine, ...]:
    """Return one line a liquid; plain water that the formula does not name is the reference water."""
    named = {line.material.name: line.material for line in lines}
    found = []
    for name, grams in result.liquids:
        if grams <= 0:
            continue
        material = named.get(name) or _plain_water()
        found.append(planned_line(Phase.LYE, Tolerance.LIQUID, material, round_to_step(grams, rules.fat_step), rules))
    return tuple(found)


def _plain_water() -> Material:
    water = Material.objects.filter(key="water").first()
    if water is None:
        raise WeighingError("Water is not among the materials. Add it under Formulas, or load the reference data.")
    return water


def _dose(phase: str, material: Material, grams: Decimal | None, rules: WeighRules) -> PlannedLine:
    kind = Material.Kind
    counts_fully = material.kind in (kind.ACID, kind.FRAGRANCE, kind.ESSENTIAL_OIL)
    return planned_line(phase, Tolerance.DOSE if counts_fully else Tolerance.MINOR, material, grams, rules)


def _colors(design: Design, jugs: tuple[PortionPlan, ...], rules: WeighRules) -> tuple[PlannedLine, ...]:
    grams = {(jug.letter, color.name): color.grams for jug in jugs for color in jug.colors}
    seen = set()
    found = []
    for row in design.rows.all():
        for portion in row.portions.all():
            for color in portion.colors.all():
                place = (portion.letter, color.material.name)
                if place in seen:
                    continue
                seen.add(place)
                dose = round_to_step(grams[place], rules.minor_step)
                found.append(planned_line(Phase.PORTION, Tolerance.MINOR, color.material, dose, rules, portion.letter))
    return tuple(found)


def _extra_oils(design: Design, jugs: tuple[PortionPlan, ...], rules: WeighRules) -> tuple[PlannedLine, ...]:
    """Return the oils that wet colors on top of the batch; oil held back is weighed with the others already."""
    wanted = {jug.letter: jug.extra_oil_grams for jug in jugs if jug.extra_oil_grams > 0}
    oils = {
        portion.letter: portion.carrier_oil
        for row in design.rows.all()
        for portion in row.portions.all()
        if portion.carrier_oil is not None
    }
    found = []
    for letter, grams in wanted.items():
        dose = round_to_step(grams, rules.dose_step)
        found.append(planned_line(Phase.PORTION, Tolerance.MINOR, oils[letter], dose, rules, letter))
    return tuple(found)


def _stirred_in(design: Design, jugs: tuple[PortionPlan, ...], rules: WeighRules) -> tuple[PlannedLine, ...]:
    """Return the liquids that go into single jugs, on top of the batch."""
    liquids = {
        portion.letter: portion.wet_liquid
        for row in design.rows.all()
        for portion in row.portions.all()
        if portion.wet_liquid is not None
    }
    return tuple(
        planned_line(
            Phase.PORTION,
            Tolerance.MINOR,
            liquids[jug.letter],
            round_to_step(jug.wet_grams, rules.dose_step),
            rules,
            jug.letter,
        )
        for jug in jugs
        if jug.wet_grams > 0
    )


def check_held_back(design: Design, jugs: tuple[PortionPlan, ...], spec: FormulaSpec) -> None:
    """Refuse to hold back an oil that the formula lacks, or more of it than there is."""
    in_pot = {fat.name: fat.grams or Decimal(0) for fat in spec.fats}
    held = {jug.letter: jug.held_back_oil_grams for jug in jugs if jug.held_back_oil_grams > 0}
    for row in design.rows.all():
        for portion in row.portions.all():
            grams = held.pop(portion.letter, None)
            if grams is None or portion.carrier_oil is None:
                continue
            name = portion.carrier_oil.name
            if in_pot.get(name, Decimal(0)) < grams:
                raise WeighingError(
                    f"Jug {portion.letter} holds back {format_grams(grams)} of {name} for its colors, but the batch "
                    f"has {format_grams(in_pot.get(name, Decimal(0)))} of it. Wet them with another oil of the "
                    "formula, or let that oil come on top."
                )
            in_pot[name] -= grams


def planned_line(
    phase: str,
    tolerance_class: str,
    material: Material,
    grams: Decimal | None,
    rules: WeighRules,
    portion_letter: str = "",
) -> PlannedLine:
    if grams is None or grams <= 0:
        raise DoseTooSmall(
            f"{material.name} would be less than one step of the scale. Make a bigger batch, or use a finer scale."
        )
    smallest = rules.smallest_grams(tolerance_class)
    if grams < smallest:
        raise DoseTooSmall(
            f"{material.name} would be {format_grams(grams)}, and the finest scale weighs {format_grams(smallest)} "
            "or more well enough. Make a bigger batch, use a finer scale, or weigh it as a premix."
        )
    step = rules.step(tolerance_class)
    band = accept_band(grams, rules.tolerance(tolerance_class), min(step, rules.dose_step))
    return PlannedLine(
        phase=phase,
        tolerance_class=tolerance_class,
        material_id=material.pk,
        name=material.name,
        planned_grams=grams.quantize(MILLIGRAM),
        low_grams=min(band.low_grams, grams),
        high_grams=max(band.high_grams, grams),
        portion_letter=portion_letter,
    )
