"""Make a batch of the demo at the bench: weigh, pour, cut, as far as its stage says."""

from datetime import date, timedelta
from decimal import Decimal

from production.batches.actions.after_pour import cut_batch, decide_deviation, hold_batch, tick_step
from production.batches.actions.bench import pour_batch, start_batch, weigh_line
from production.batches.models import Batch, Weighing
from production.batches.records import plan_of
from production.demo.care import check_scales
from production.stock.models import Lot, PartLot
from soapshop.models import User

ON_THE_BENCH = ("planned", "weighing", "poured")
LINES_DONE_TODAY = 4
# The batch that went wrong: a hand too heavy on the lye, noticed at the look over the ticket.
TOO_MUCH_LYE = Decimal("1.03")


def make_batch(batch_id: int, stage: str, *, pour: date, today: date, by: User) -> None:
    if stage == "planned":
        return
    check_scales(on=pour, by=by)
    batch = start_batch(batch_id=batch_id, by=by)
    weighings = list(batch.weighings.select_related("material"))
    for weighing in weighings[: LINES_DONE_TODAY if stage == "weighing" else None]:
        _weigh(weighing, heavy=stage == "held", on=pour, by=by)
    if stage == "weighing":
        return
    in_molds = (batch.batter_grams * Decimal("0.985")).quantize(Decimal(1))
    batch = pour_batch(
        batch_id=batch_id,
        on=pour,
        in_molds_grams=in_molds,
        filled_to_mm=_stands(batch) if stage == "poured" else None,
        reason="Alkali check before the cut",
        by=by,
    )
    if stage == "poured":
        return
    _cut(batch, on=pour + timedelta(days=1), by=by)
    _tick_past_steps(batch, today=today, by=by)
    if stage == "held":
        hold_batch(batch_id=batch_id, reason="Lye weighed too heavy: wait for the titration.", by=by)
    else:
        for deviation in batch.deviations.all():
            decide_deviation(
                deviation_id=deviation.pk, decision="accept", words="Inside what the superfat allows.", by=by
            )


def _stands(batch: Batch) -> Decimal:
    """Return how high the batter of a loaf stands: a millimeter above what was planned for its bars."""
    mold = batch.mold
    full = (mold.height_mm or Decimal(0)) * (1 - mold.headroom_percent / 100)
    return (full * batch.planned_bars / (mold.usable_bars * batch.mold_count) + 1).quantize(Decimal("0.1"))


def _place(batch: Batch) -> int:
    """Return the running number of a batch, which is the same in every play."""
    return int(batch.number.rsplit("-", 1)[1])


def _weigh(weighing: Weighing, *, heavy: bool, on: date, by: User) -> None:
    """Put down what a careful hand weighs: a step of the scale above or below, inside the band."""
    is_lye = weighing.tolerance_class == Weighing.ToleranceClass.ALKALI
    step = Decimal("0.1") if is_lye or weighing.planned_grams < 100 else Decimal(1)
    grams = weighing.planned_grams + step * ((weighing.position + _place(weighing.batch)) % 3 - 1)
    if not weighing.accept_low_grams <= grams <= weighing.accept_high_grams:
        grams = weighing.planned_grams
    what = ""
    if heavy and is_lye:
        grams = (weighing.planned_grams * TOO_MUCH_LYE).quantize(Decimal("0.1"))
        what = "Distracted by the door; poured on after the mark."
    lot = Lot.objects.filter(material_id=weighing.material_id, grams_left__gte=grams).drawable().first()
    if lot is None:
        raise ValueError(f"The demo shelf holds too little {weighing.material} for {weighing.batch}.")
    weigh_line(weighing_id=weighing.pk, lot_code=lot.code, grams=grams, on=on, by=by, what_happened=what)


def _cut(batch: Batch, *, on: date, by: User) -> None:
    plan = plan_of(batch)
    spoiled = _place(batch) % 2
    bars = {finish.key: finish.bars for finish in plan.finishes}
    spare = "plain" if bars.get("plain", 0) > spoiled else max(bars, key=lambda key: bars[key])
    bars[spare] -= spoiled
    total = sum(bars.values()) + spoiled
    lots = {part.key: lot.pk for part in plan.parts if (lot := _part_lot(part.part_id, part.pieces)) is not None}
    cut_batch(
        batch_id=batch.pk,
        on=on,
        bars_by_finish=bars,
        spoiled=spoiled,
        mean_bar_grams=(batch.batter_grams * Decimal("0.95") / total).quantize(Decimal("0.1")),
        ends_grams=(batch.batter_grams * Decimal("0.03")).quantize(Decimal(1)),
        part_lots=lots,
        by=by,
    )


def _part_lot(part_id: int, pieces: int) -> PartLot | None:
    return PartLot.objects.filter(part_id=part_id, pieces_left__gte=pieces, is_held=False).order_by("pk").first()


def _tick_past_steps(batch: Batch, *, today: date, by: User) -> None:
    for step in batch.steps.filter(done_on__isnull=True, due_on__lt=today):
        if step.key not in ("release", "label", "pack", "hand_over"):
            tick_step(step_id=step.pk, on=step.due_on, by=by)
