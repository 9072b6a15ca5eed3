"""At the bench: start a batch, weigh it line by line, undo, pour. What was not planned: see off_ticket."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from production.batch_states import BatchState, may_move
from production.batches.actions.filling import note_fill
from production.batches.actions.rescheduling import move_steps
from production.batches.actions.writing import (
    figures_now,
    finish_step,
    judge_pot,
    judge_yield,
    locked_batch,
    note_deviation,
    note_judged,
    recompute_superfat,
)
from production.batches.asked import BatchRefusal
from production.batches.models import Batch, Deviation, Weighing
from production.batches.records import plan_of
from production.batches.scale_of_line import scale_of_line
from production.planning.route import POUR
from production.stock.actions import StockRefusal, draw_from_lot, give_back
from production.stock.models import Lot
from production.today.actions import refresh_risks
from production.yield_points import POURED
from soapshop.audit import note_event
from soapshop.models import User
from soapshop.units import format_grams

NOTHING = Decimal(0)
LINE_FIELDS = tuple(field.name for field in Weighing._meta.concrete_fields)
LINE_GONE = "This line was taken back meanwhile. Look at the weigh-out again."


@transaction.atomic
def start_batch(*, batch_id: int, by: User) -> Batch:
    """Begin the weigh-out. The ticket stays as it was frozen when the batch was planned."""
    batch = locked_batch(batch_id)
    _move(batch, BatchState.IN_PROCESS)
    note_event(by=by, verb="start_batch", subject=batch, text=f"Began the weigh-out of {batch}.")
    return batch


@transaction.atomic
def weigh_line(
    *,
    weighing_id: int,
    lot_code: str,
    grams: Decimal,
    on: date,
    by: User,
    scale: str = "",
    vessel_grams: Decimal = NOTHING,
    what_happened: str = "",
    typed_once: UUID | None = None,
) -> Weighing:
    """Write down what the scale said for one line and draw it from its lot.

    Sending the same weighing twice has one effect, also from a second device, and also after it was undone: then the
    line comes back as it is. A weight outside the accepted band needs a sentence about what
    happened, which becomes a deviation.
    """
    batch, weighing = locked_weighing(weighing_id)
    if typed_once is not None and Weighing.objects.filter(typed_once=typed_once).exists():
        return weighing
    lot = Lot.objects.filter(code=lot_code.strip().upper()).first()
    is_other_soap = weighing.lot is not None and lot is not None and weighing.lot_id != lot.pk
    if lot is None:
        raise BatchRefusal(
            f"There is no lot “{lot_code.strip()[:40]}”. Look at the tub, or choose a lot from the list."
        )
    if weighing.is_weighed:
        if weighing.lot_id == lot.pk and weighing.actual_grams == grams:
            return weighing
        raise BatchRefusal(
            f"{weighing.material} is weighed already ({format_grams(weighing.actual_grams or Decimal(0))}). "
            "Undo that weighing first."
        )
    need_state(batch, BatchState.IN_PROCESS)
    if lot.material_id != weighing.material_id:
        raise BatchRefusal(
            f"{lot.code} holds {lot.material}, and this line is {weighing.material}. "
            "Take the other tub. If it went in already, write it down as something not on the ticket."
        )
    if grams <= 0:
        raise BatchRefusal("The scale shows more than nothing. Type the grams that went in.")
    is_in_band = weighing.accept_low_grams <= grams <= weighing.accept_high_grams
    if not is_in_band and not what_happened.strip():
        raise BatchRefusal(
            f"{format_grams(grams)} lies outside {format_grams(weighing.accept_low_grams)} to "
            f"{format_grams(weighing.accept_high_grams)}. Weigh it again, or write down what happened."
        )
    if is_other_soap and not what_happened.strip():
        raise BatchRefusal(
            f"The ticket names {weighing.lot}, and {lot.code} holds other soap. Take the tub it names, or write down "
            "what happened: the batch then inherits what is in the other one."
        )
    weighing.scale, weighing.on_scale = scale_of_line(
        weighing, named=scale, grams=grams, on=on, vessel_grams=vessel_grams
    )
    odd = _odd_words(weighing, lot, grams, is_in_band=is_in_band, is_other_soap=is_other_soap)
    before = figures_now(batch) if odd else None
    draw(lot, grams, on=on, by=by, batch=batch, note=weighing.material.name)
    weighing.lot, weighing.actual_grams = lot, grams
    weighing.weighed_at, weighing.weighed_by, weighing.typed_once = timezone.now(), by, typed_once
    written = ["lot", "actual_grams", "scale", "on_scale", "weighed_at", "weighed_by", "typed_once"]
    weighing.save(update_fields=written)
    if before is None:
        recompute_superfat(batch)
        return weighing
    kind = Deviation.Kind.OTHER_TUB if is_other_soap else Deviation.Kind.WEIGHT
    what = f"{odd} {what_happened.strip()}"
    note_judged(batch=batch, before=before, weighing=weighing, by=by, what=what, kind=kind)
    return weighing


def _odd_words(weighing: Weighing, lot: Lot, grams: Decimal, *, is_in_band: bool, is_other_soap: bool) -> str:
    """Say how a weighing departs from the ticket; nothing when it does not."""
    said = []
    if is_other_soap:
        said.append(f"{lot.code} went in instead of {weighing.lot}.")
    if not is_in_band:
        planned = format_grams(weighing.planned_grams)
        said.append(f"{weighing.material}: {format_grams(grams)} weighed, {planned} planned.")
    return " ".join(said)


@transaction.atomic
def undo_weighing(*, weighing_id: int, reason: str, by: User) -> Weighing:
    """Take a weighing back while the batch is in process; the grams return to their lot.

    A line that was not on the ticket goes away again; the audit trail keeps it.
    """
    batch, weighing = locked_weighing(weighing_id)
    need_state(batch, BatchState.IN_PROCESS)
    if not weighing.is_weighed:
        raise BatchRefusal(f"{weighing.material} is not weighed yet. There is nothing to undo.")
    if not reason.strip():
        raise BatchRefusal("Say in a few words why this weighing is undone.")
    grams = weighing.actual_grams or Decimal(0)
    if weighing.lot_id is not None:
        give_back(lot_id=weighing.lot_id, grams=grams, by=by, batch_id=batch.pk, note=f"Undone: {reason.strip()}")
    text = f"Undid {format_grams(grams)} of {weighing.material}: {reason.strip()}"
    before = {"lot": str(weighing.lot), "grams": grams, "by": str(weighing.weighed_by_id)}
    note_event(by=by, verb="undo_weighing", subject=batch, text=text, before=before)
    _settle_deviations(weighing, reason, by=by)
    if weighing.phase == Weighing.Phase.EXTRA and not weighing.spilled_grams:
        weighing.delete()
    elif weighing.phase == Weighing.Phase.EXTRA:
        weighing.actual_grams = Decimal(0)  # what was spilled of it stays written down
        weighing.save(update_fields=["actual_grams"])
    else:
        _make_open(weighing)
    recompute_superfat(batch)
    return weighing


def _make_open(weighing: Weighing) -> None:
    """Wait for the scale again. A line of own soap still names the lot it is planned from; what was spilled is gone."""
    if weighing.lot is not None and not weighing.lot.contents:
        weighing.lot = None
    weighing.actual_grams = weighing.weighed_at = weighing.weighed_by = None
    weighing.scale, weighing.on_scale = "", None
    weighing.save(update_fields=["lot", "actual_grams", "scale", "on_scale", "weighed_at", "weighed_by"])


def _settle_deviations(weighing: Weighing, reason: str, *, by: User) -> None:
    """What was written down about a weighing that did not stay is settled with it, in words."""
    for deviation in weighing.deviations.filter(decision=""):
        deviation.decision = Deviation.Decision.ACCEPT
        deviation.decision_words = f"The weighing was undone: {reason.strip()}"[:400]
        deviation.decided_by, deviation.decided_at = by, timezone.now()
        deviation.save(update_fields=["decision", "decision_words", "decided_by", "decided_at"])


@transaction.atomic
def pour_batch(
    *,
    batch_id: int,
    on: date,
    by: User,
    reason: str = "",
    in_molds_grams: Decimal | None = None,
    left_in_pots_grams: Decimal | None = None,
    filled_to_mm: Decimal | None = None,
    pot_grams: Decimal | None = None,
) -> Batch:
    """Note that the pot is in the molds. How high the batter stands there sizes the next batch of the formula.

    Every line must be weighed. A superfat of 0 or less can never be poured; one below the workshop's floor, a pot of
    oils that weighs otherwise than they did one by one, or a weight in the molds that cannot be right, needs a reason,
    which becomes a deviation.
    """
    batch = locked_batch(batch_id)
    refusal = may_move(batch.state, BatchState.POURED)
    if refusal:
        raise BatchRefusal(refusal)
    missing = [weighing.material.name for weighing in batch.weighings.all() if not weighing.is_weighed]
    if missing:
        raise BatchRefusal(
            f"Not weighed yet: {', '.join(missing[:4])}. Weigh every line first, or write down what was left out."
        )
    plan = plan_of(batch)
    superfat = recompute_superfat(batch)
    if superfat is None:
        raise BatchRefusal(
            "The superfat of this pot cannot be computed, so it must not be poured. Enter what is missing."
        )
    if superfat <= 0:
        raise BatchRefusal(
            f"Stop: this pot has a superfat of {superfat:.2f} %: it is lye-heavy. "
            "Do not pour. Add the fats named below, or put the batch on hold."
        )
    if superfat < plan.superfat_floor_percent:
        if not reason.strip():
            raise BatchRefusal(
                f"The superfat is {superfat:.2f} %, below the floor of {plan.superfat_floor_percent} %. "
                "Add fat, or write down why it is poured all the same."
            )
        note_deviation(batch=batch, by=by, what=f"Poured at {superfat:.2f} % superfat, below the floor. {reason}")
    judge_pot(batch, pot_grams, reason=reason, by=by)
    batch.poured_on, batch.in_molds_grams, batch.left_in_pots_grams = on, in_molds_grams, left_in_pots_grams
    judge_yield(batch, POURED, reason=reason, by=by)
    _move(batch, BatchState.POURED)
    batch.save(update_fields=["poured_on", "in_molds_grams", "left_in_pots_grams"])
    if filled_to_mm is not None:
        note_fill(batch, filled_to_mm=filled_to_mm, by=by)
    finish_step(batch, POUR, on=on, by=by)
    move_steps(batch, on=on)
    text = f"Poured {batch} at {superfat:.2f} % superfat."
    note_event(by=by, verb="pour_batch", subject=batch, text=text, after={"superfat_percent": superfat})
    refresh_risks(today=on)
    return batch


def locked_weighing(weighing_id: int) -> tuple[Batch, Weighing]:
    """Lock the batch of a line, then read the line as it is now; a line taken back meanwhile is refused."""
    batch = Batch.objects.select_for_update().filter(weighings__id=weighing_id).first()
    if batch is None:
        raise BatchRefusal(LINE_GONE)
    # Of the material only its name is wanted; its other forty figures would be read and thrown away.
    rows = Weighing.objects.select_related("material").only(*LINE_FIELDS, "material__name")
    weighing = rows.filter(pk=weighing_id).first()
    if weighing is None:
        raise BatchRefusal(LINE_GONE)
    return batch, weighing


def _move(batch: Batch, to: BatchState) -> None:
    refusal = may_move(batch.state, to)
    if refusal:
        raise BatchRefusal(refusal)
    batch.status = to.value
    batch.save(update_fields=["status"])


def need_state(batch: Batch, state: BatchState) -> None:
    if batch.state != state:
        mend = "Start its weigh-out first." if batch.state == BatchState.PLANNED else "Look at the batch again."
        raise BatchRefusal(
            f"{batch} is {batch.state.label.lower()}. Lines are weighed while it is {state.label.lower()}. {mend}"
        )


def draw(lot: Lot, grams: Decimal, *, on: date, by: User, batch: Batch, note: str) -> None:
    try:
        draw_from_lot(lot_id=lot.pk, grams=grams, on=on, by=by, batch_id=batch.pk, note=note)
    except StockRefusal as refusal:
        raise BatchRefusal(str(refusal)) from refusal
