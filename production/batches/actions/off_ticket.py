"""What really went in beside the ticket: a line left out, something that is not on it, something spilled."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from production.batch_states import BatchState
from production.batches.actions.bench import draw, locked_weighing, need_state
from production.batches.actions.writing import locked_batch, note_deviation, recompute_superfat
from production.batches.asked import BatchRefusal
from production.batches.models import Weighing
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
    weighing.actual_grams, weighing.weighed_at, weighing.weighed_by = Decimal(0), timezone.now(), by
    weighing.save(update_fields=["actual_grams", "weighed_at", "weighed_by"])
    what = f"{weighing.material} was left out ({format_grams(weighing.planned_grams)} planned). {what_happened.strip()}"
    note_deviation(batch=batch, weighing=weighing, by=by, what=what)
    recompute_superfat(batch)
    return weighing


@transaction.atomic
def add_unplanned(
    *,
    batch_id: int,
    lot_code: str,
    grams: Decimal,
    on: date,
    what_happened: str,
    by: User,
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
    lot = Lot.objects.select_related("material").filter(code__iexact=lot_code.strip()).first()
    if lot is None:
        raise BatchRefusal(f"There is no lot “{lot_code.strip()[:40]}”. Receive it under Stores first.")
    if grams <= 0 or not what_happened.strip():
        raise BatchRefusal("Type the grams that went in, and in a few words what happened.")
    draw(lot, grams, on=on, by=by, batch=batch, note="Not on the ticket")
    last = batch.weighings.order_by("-position").first()
    weighing = Weighing.objects.create(
        batch=batch,
        position=1 if last is None else last.position + 1,
        phase=Weighing.Phase.EXTRA,
        tolerance_class=Weighing.ToleranceClass.MINOR,
        material=lot.material,
        planned_grams=Decimal(0),
        accept_low_grams=Decimal(0),
        accept_high_grams=Decimal(0),
        lot=lot,
        actual_grams=grams,
        weighed_at=timezone.now(),
        weighed_by=by,
        typed_once=typed_once,
    )
    what = f"{format_grams(grams)} of {lot.material} went in and is not on the ticket. {what_happened.strip()}"
    note_deviation(batch=batch, weighing=weighing, by=by, what=what)
    recompute_superfat(batch)
    return weighing


@transaction.atomic
def spill_weighed(*, weighing_id: int, grams: Decimal, what_happened: str, by: User) -> Weighing:
    """Take what was spilled of a weighed line out of the pot; it is gone from its lot all the same.

    It becomes a deviation. The superfat, and all that follows from the weights, counts what is left.
    """
    batch, weighing = locked_weighing(weighing_id)
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
    weighing.actual_grams, weighing.spilled_grams = weighed - grams, weighing.spilled_grams + grams
    weighing.save(update_fields=["actual_grams", "spilled_grams"])
    what = f"{format_grams(grams)} of {weighing.material} were spilled. {what_happened.strip()}"
    note_deviation(batch=batch, weighing=weighing, by=by, what=what)
    recompute_superfat(batch)
    return weighing
