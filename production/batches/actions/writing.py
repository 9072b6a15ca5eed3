"""What the verbs of a batch do on their way: lock it, note a deviation, tick a step, work the superfat out again."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from django.utils import timezone

from formulas.weighing import pot_difference_grams
from production.batches.asked import BatchRefusal
from production.batches.effects import PotFigures, effect_words, pot_figures
from production.batches.models import Batch, Deviation, StepRecord, Weighing
from production.batches.pot import pot_superfat
from production.batches.records import in_pot_of, plan_of, pot_of
from production.batches.yields import judged_yield, yield_facts
from production.yield_points import outside
from soapshop.audit import note_event
from soapshop.models import User, Workshop
from soapshop.units import format_grams

# The column holds four digits before the point; a pot beyond it is as wrong as one at its edge.
FARTHEST_PERCENT = Decimal(9999)


def locked_batch(batch_id: int) -> Batch:
    return Batch.objects.select_for_update().get(pk=batch_id)


def recompute_superfat(batch: Batch) -> Decimal | None:
    """Write the superfat that follows from the weights so far, the rest as planned; return it in percent.

    The batch is locked by the caller; its lines are read anew.
    """
    weighings = batch.weighings.select_related("lot")
    interval = pot_superfat(pot_of(batch, planned_too=True, weighings=weighings))
    lowest, middle, highest = (
        (None, None, None) if interval is None else map(_stored, (interval.lowest, interval.planned, interval.highest))
    )
    batch.superfat_lowest_percent, batch.superfat_actual_percent = lowest, middle
    batch.superfat_highest_percent = highest
    batch.save(update_fields=["superfat_lowest_percent", "superfat_actual_percent", "superfat_highest_percent"])
    return batch.superfat_actual_percent


def _stored(percent: Decimal) -> Decimal:
    return max(min(percent, FARTHEST_PERCENT), -FARTHEST_PERCENT).quantize(Decimal("0.0001"))


def note_deviation(
    *,
    batch: Batch,
    by: User,
    what: str,
    weighing: Weighing | None = None,
    kind: str = "",
    effect: str = "",
    typed_once: UUID | None = None,
) -> Deviation:
    """Write down what went otherwise than planned; it stays open until somebody decides.

    The caller holds the lock on the batch; the same form sent twice is written down once.
    """
    known = noted_before(typed_once)
    if known is not None:
        return known
    deviation = Deviation.objects.create(
        batch=batch,
        weighing=weighing,
        by=by,
        what=what.strip()[:400],
        kind=kind,
        effect=effect[:400],
        typed_once=typed_once,
    )
    note_event(by=by, verb="note_deviation", subject=batch, text=deviation.what)
    return deviation


def noted_before(typed_once: UUID | None) -> Deviation | None:
    return Deviation.objects.filter(typed_once=typed_once).first() if typed_once else None


def figures_now(batch: Batch) -> PotFigures:
    """Return what follows from the weights so far, the rest as planned; reads the lines anew."""
    batch.refresh_from_db()
    return pot_figures(in_pot_of(batch, planned_too=True))


def note_judged(
    *,
    batch: Batch,
    before: PotFigures,
    by: User,
    what: str,
    kind: str,
    weighing: Weighing | None = None,
    typed_once: UUID | None = None,
) -> Deviation:
    """Write a deviation down once its weights are written: its effect is what they changed in the pot."""
    effect = effect_words(before, figures_now(batch), floor_percent=plan_of(batch).superfat_floor_percent)
    recompute_superfat(batch)
    return note_deviation(
        batch=batch, by=by, what=what, weighing=weighing, kind=kind, effect=effect, typed_once=typed_once
    )


def judge_yield(batch: Batch, *keys: str, reason: str, by: User) -> None:
    """Refuse a weight that lies outside the workshop's limits, either way; with a reason it becomes a deviation.

    The batch carries the figures that were typed, saved or not.
    """
    for point in outside(judged_yield(yield_facts(batch)), *keys):
        if not reason.strip():
            raise BatchRefusal(f"{point.sentence} Weigh again, or write down the reason.")
        note_deviation(batch=batch, by=by, what=f"{point.sentence} {reason.strip()}")


def judge_pot(batch: Batch, shown_grams: Decimal | None, *, reason: str, by: User) -> None:
    """Refuse a pot of oils that does not weigh what was weighed into it; with a reason it becomes a deviation."""
    if shown_grams is None:
        return
    oils = batch.weighings.filter(phase=Weighing.Phase.OILS)
    weighed = tuple(line.actual_grams or Decimal(0) for line in oils)
    off = pot_difference_grams(shown_grams, weighed, Workshop.current().fat_scale_step_grams)
    if not off:
        return
    said = f"{format_grams(abs(off))} {'too much' if off > 0 else 'are missing'}"
    what = f"The pot holds {format_grams(shown_grams)}; {format_grams(sum(weighed, Decimal(0)))} were weighed: {said}."
    if not reason.strip():
        raise BatchRefusal(
            f"{what} Was an oil left out, doubled, or read in another unit? Look before the lye meets it, "
            "or write down the reason."
        )
    note_deviation(batch=batch, by=by, what=f"{what} {reason.strip()}")


def finish_step(batch: Batch, key: str, *, on: date, by: User) -> None:
    """Tick a step that an action has done by itself; a route without that step has nothing to tick."""
    StepRecord.objects.filter(batch=batch, key=key, done_on__isnull=True).update(
        done_on=on, done_at=timezone.now(), done_by=by
    )
