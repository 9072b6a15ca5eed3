"""What pours really filled: the height of the batter in the molds, and what the formula's next batch is sized by."""

from decimal import Decimal

from formulas.design_records import mold_of
from formulas.fills import FillSeen, filled_ml, own_fill_factor, seen_fill
from formulas.models import FormulaRevision
from formulas.scaling import USUAL_VESSEL_LOSS_FRACTION
from production.batches.models import Batch, Weighing
from production.batches.records import plan_of


def fill_of(batch: Batch) -> FillSeen:
    """Return the oils in the molds of a batch and the volume they fill.

    Raises MoldError, with the mend, for a height or a weight that cannot be true.
    """
    height = batch.filled_to_mm or Decimal(0)
    volume = filled_ml(mold_of(batch.mold), height, molds=batch.mold_count)
    weighings = [weighing for weighing in batch.weighings.all() if weighing.actual_grams]
    made = _sum(weighings)
    in_molds = batch.in_molds_grams or made * (1 - _left_in_jugs(batch))
    oils = _sum([weighing for weighing in weighings if weighing.phase == Weighing.Phase.OILS])
    return seen_fill(oils_grams=oils * in_molds / made, batter_grams=in_molds, volume_ml=volume)


def factor_of(revision: FormulaRevision) -> tuple[Decimal | None, int]:
    """Return the measured oils per ml of all batches of a revision, and how many stand behind it."""
    batches = Batch.objects.filter(revision=revision, filled_to_mm__isnull=False, poured_on__isnull=False)
    fills = tuple(fill_of(batch) for batch in batches.select_related("mold").prefetch_related("weighings"))
    if not fills:
        return None, 0
    factor = own_fill_factor(fills)
    return factor.oils_g_per_ml.quantize(Decimal("0.0001")), factor.batches


def _left_in_jugs(batch: Batch) -> Decimal:
    """Return the share of the batter that stays in the vessels, where nobody weighed it."""
    return USUAL_VESSEL_LOSS_FRACTION * len({portion.letter for portion in plan_of(batch).portions})


def _sum(weighings: list[Weighing]) -> Decimal:
    return sum((weighing.actual_grams or Decimal(0) for weighing in weighings), Decimal(0))
