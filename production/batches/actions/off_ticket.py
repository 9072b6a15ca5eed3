"""What really went in beside the ticket: a line left out, another tub, something not on it, something spilled."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from production.batch_states import BatchState
from production.batches.actions.bench import draw, locked_weighing, need_state
from production.batches.actions.writing import figures_now, locked_batch, note_judged, noted_before
from production.batches.asked import BatchRefusal
from production.batches.models import Batch, Deviation, Weighing
from production.batches.scale_of_line import scale_for
from production.stock.models import Lot
from soapshop.models import User
from soapshop.units import format_grams, round_grams


@transaction.atomic
def leave_out(*, weighing_id: int, what_happened: str, by: User) -> Weighing:
    """Note that a line of the ticket did not go into the pot; it becomes a deviation and counts as nothing."""
    batch, weighing = locked_weighing(weighing_id)
    need_state(batch, BatchState.IN_PROCESS)
    if weighing.is_weighed:
        raise BatchRefusal(f"{weighing.material} is weighed already. Undo that weighing first.")
    if not what_happened.strip():
        raise BatchRefusal("Say in a few words why it is left out.")
    before = figures_now(batch)
    _put_in_nothing(weighing, by=by)
    what = f"{weighing.material} was left out ({format_grams(weighing.planned_grams)} planned). {what_happened.strip()}"
    note_judged(batch=batch, before=before, weighing=weighing, by=by, what=what, kind=Deviation.Kind.LEFT_OUT)
    return weighing


def _put_in_nothing(weighing: Weighing, *, by: User) -> None:
    weighing.actual_grams, weighing.weighed_at, weighing.weighed_by = Decimal(0), timezone.now(), by
    weighing.save(update_fields=["actual_grams", "weighed_at", "weighed_by"])


@transaction.atomic
def take_other_tub(
    *,
    weighing_id: int,
    lot_code: str,
    grams: Decimal,
    on: date,
    what_happened: str,
    by: User,
    scale: str = "",
    typed_once: UUID | None = None,
) -> Weighing:
    """Note that a tub of another material went in where a line of the ticket was to go.

    The line counts as nothing, the other tub as what it is; together they are one deviation. The same form sent twice
    has one effect.
    """
    batch, weighing = locked_weighing(weighing_id)
    taken = batch.weighings.filter(typed_once=typed_once).first() if typed_once else None
    if taken is not None:
        return taken
    need_state(batch, BatchState.IN_PROCESS)
    if weighing.is_weighed:
        raise BatchRefusal(f"{weighing.material} is weighed already. Undo that weighing first.")
    lot = _lot_of(lot_code)
    if lot.material_id == weighing.material_id:
        raise BatchRefusal(f"{lot.code} holds {lot.material}, as the ticket says. Weigh it as that line.")
    if grams <= 0:
        raise BatchRefusal("The scale shows more than nothing. Type the grams that went in.")
    before = figures_now(batch)
    _put_in_nothing(weighing, by=by)
    extra = _weigh_extra(
        batch, lot, grams, portion=weighing.portion_letter, on=on, by=by, scale=scale, typed_once=typed_once
    )
    what = f"{format_grams(grams)} of {lot.material} ({lot.code}) went in instead of {weighing.material}."
    what = f"{what} {what_happened.strip()}"
    note_judged(batch=batch, before=before, weighing=extra, by=by, what=what, kind=Deviation.Kind.OTHER_TUB)
    return extra


@transaction.atomic
def add_unplanned(
    *,
    batch_id: int,
    lot_code: str,
    grams: Decimal,
    on: date,
    what_happened: str,
    by: User,
    scale: str = "",
    typed_once: UUID | None = None,
) -> Weighing:
    """Write down something that went into the pot and is not on the ticket; it becomes a deviation.

    The same form sent twice has one effect.
    """
    batch = locked_batch(batch_id)
    taken = batch.weighings.filter(typed_once=typed_once).first() if typed_once else None
    if taken is not None:
        return taken
    need_state(batch, BatchState.IN_PROCESS)
    lot = _lot_of(lot_code)
    if grams <= 0 or not what_happened.strip():
        raise BatchRefusal("Type the grams that went in, and in a few words what happened.")
    before = figures_now(batch)
    weighing = _weigh_extra(batch, lot, grams, on=on, by=by, scale=scale, typed_once=typed_once)
    what = f"{format_grams(grams)} of {lot.material} went in and is not on the ticket. {what_happened.strip()}"
    note_judged(batch=batch, before=before, weighing=weighing, by=by, what=what, kind=Deviation.Kind.EXTRA)
    return weighing


def _lot_of(code: str) -> Lot:
    lot = Lot.objects.select_related("material").filter(code=code.strip().upper()).first()
    if lot is None:
        raise BatchRefusal(f"There is no lot “{code.strip()[:40]}”. Receive it under Stores first.")
    return lot


def _weigh_extra(
    batch: Batch,
    lot: Lot,
    grams: Decimal,
    *,
    on: date,
    by: User,
    scale: str,
    typed_once: UUID | None,
    portion: str = "",
) -> Weighing:
    scale_name, on_scale = scale_for(Weighing.ToleranceClass.MINOR, named=scale, grams=grams, on=on)
    draw(lot, grams, on=on, by=by, batch=batch, note="Not on the ticket")
    last = batch.weighings.order_by("-position").first()
    return Weighing.objects.create(
        batch=batch,
        position=1 if last is None else last.position + 1,
        phase=Weighing.Phase.EXTRA,
        tolerance_class=Weighing.ToleranceClass.MINOR,
        material=lot.material,
        portion_letter=portion,
        planned_grams=Decimal(0),
        accept_low_grams=Decimal(0),
        accept_high_grams=Decimal(0),
        lot=lot,
        actual_grams=grams,
        weighed_at=timezone.now(),
        weighed_by=by,
        scale=scale_name,
        on_scale=on_scale,
        typed_once=typed_once,
    )


@transaction.atomic
def spill_weighed(
    *, weighing_id: int, grams: Decimal, what_happened: str, by: User, typed_once: UUID | None = None
) -> Weighing:
    """Take what was spilled of a weighed line out of the pot; it is gone from its lot all the same.

    It becomes a deviation. The superfat, and all that follows from the weights, counts what is left. The same form
    sent twice has one effect.
    """
    batch, weighing = locked_weighing(weighing_id)
    if noted_before(typed_once) is not None:
        return weighing
    need_state(batch, BatchState.IN_PROCESS)
    grams = round_grams(grams)
    weighed = weighing.actual_grams or Decimal(0)
    if not weighed:
        raise BatchRefusal(
            f"{weighing.material} is not in the pot. Spilled beside the tub, it is thrown away in Stores."
        )
    if not 0 < grams <= weighed:
        raise BatchRefusal(f"{format_grams(weighed)} of {weighing.material} were weighed in. Type at most that.")
    if not what_happened.strip():
        raise BatchRefusal("Say in a few words what happened.")
    before = figures_now(batch)
    weighing.actual_grams, weighing.spilled_grams = weighed - grams, weighing.spilled_grams + grams
    weighing.save(update_fields=["actual_grams", "spilled_grams"])
    what = f"{format_grams(grams)} of {weighing.material} were spilled. {what_happened.strip()}"
    kind = Deviation.Kind.SPILLED
    note_judged(batch=batch, before=before, weighing=weighing, by=by, what=what, kind=kind, typed_once=typed_once)
    return weighing
