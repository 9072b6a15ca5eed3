"""From a part and so many pieces to one small pot: grams by the scale, and the plan it keeps."""

from dataclasses import dataclass
from decimal import Decimal

from formulas.models import FormulaRevision, Material, Part
from formulas.records import ONE_KILOGRAM, reckon_revision
from formulas.scaling import USUAL_VESSEL_LOSS_FRACTION
from formulas.weighing import WeighingError
from production.batches.asked import BatchRefusal, known
from production.batches.freezing import frozen_superfat
from production.batches.records import freeze_material
from production.batches.sizing import weighable
from production.batches.weigh_out import PlannedLine, WeighRules, formula_lines
from production.part_batches.frozen import FrozenPartPlan
from soapshop.models import Workshop

MOST_PIECES = 10_000
MILLIGRAM, FOUR_PLACES = Decimal("0.001"), Decimal("0.0001")


@dataclass(frozen=True)
class SizedPartBatch:
    plan: FrozenPartPlan
    lines: tuple[PlannedLine, ...]


def size_part_batch(part: Part, revision: FormulaRevision, *, pieces: int, workshop: Workshop) -> SizedPartBatch:
    """Work out the pot for so many pieces, and what stays in the vessel. Raises BatchRefusal with the mend."""
    if not 1 <= pieces <= MOST_PIECES:
        raise BatchRefusal(f"Pour from 1 to {MOST_PIECES:,} pieces at a time. Correct the count.")
    try:
        return _sized(part, revision, pieces, workshop)
    except WeighingError as refusal:
        raise BatchRefusal(str(refusal)) from refusal


def _sized(part: Part, revision: FormulaRevision, pieces: int, workshop: Workshop) -> SizedPartBatch:
    wanted_grams = pieces * part.pour_grams / (1 - USUAL_VESSEL_LOSS_FRACTION)
    reckoning = reckon_revision(revision, least_superfat_percent=workshop.least_superfat_percent)
    if reckoning.stops or reckoning.result is None or reckoning.result.batch_grams is None:
        stop = reckoning.stops[0] if reckoning.stops else None
        raise BatchRefusal(f"{stop.text} {stop.mend}".strip() if stop else "This formula cannot be made as it stands.")
    oils_grams = ONE_KILOGRAM * wanted_grams / reckoning.result.batch_grams
    spec, result = weighable(revision, oils_grams, workshop=workshop)
    lines = formula_lines(revision, spec, result, WeighRules.of(workshop))
    materials = Material.objects.prefetch_related("allergen_shares__allergen").in_bulk(
        {line.material_id for line in lines}
    )
    plan = FrozenPartPlan(
        part=part.name,
        formula_name=revision.formula.name,
        revision_number=revision.number,
        approved_on=revision.approved_at.date() if revision.approved_at else None,
        pieces=pieces,
        piece_grams=part.pour_grams,
        oils_grams=known(result.oils_grams).quantize(MILLIGRAM),
        batter_grams=known(result.batch_grams).quantize(MILLIGRAM),
        lye_concentration_percent=known(result.lye_concentration_percent).quantize(FOUR_PLACES),
        superfat=frozen_superfat(result.superfat),
        superfat_floor_percent=workshop.least_superfat_percent,
        rest_days=part.made_ahead_least_days,
        forbids_heat=part.forbids_heat,
        process_note=revision.process_note,
        materials=tuple(freeze_material(materials[key]) for key in dict.fromkeys(line.material_id for line in lines)),
    )
    return SizedPartBatch(plan, lines)
