"""Weigh one line of a ticket from more than one lot: each lot gets a row of its own."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from production.batches.actions.bench import NOTHING, weigh_line
from production.batches.actions.writing import locked_batch
from production.batches.asked import BatchRefusal
from production.batches.models import Batch, Weighing
from soapshop.models import User
from soapshop.units import format_grams


@transaction.atomic
def weigh_part(
    *,
    weighing_id: int,
    lot_code: str,
    grams: Decimal,
    on: date,
    by: User,
    scale: str = "",
    vessel_grams: Decimal = NOTHING,
    typed_once: UUID | None = None,
) -> Weighing:
    """Write down a part of a line and open a row for the rest, to be weighed from another lot.

    The two rows together keep the line's accepted band.
    """
    found = Weighing.objects.filter(pk=weighing_id).first()
    if found is None:
        raise BatchRefusal("This line was taken back meanwhile. Look at the weigh-out again.")
    batch = locked_batch(found.batch_id)
    weighing = Weighing.objects.select_related("material").get(pk=weighing_id)
    is_sent_again = typed_once is not None and Weighing.objects.filter(typed_once=typed_once).exists()
    if not weighing.is_weighed and not is_sent_again:
        if not 0 < grams < weighing.accept_low_grams:
            raise BatchRefusal(
                f"A part lies between 0 and {format_grams(weighing.accept_low_grams)}. "
                "Take the tick out to write down the whole line."
            )
        _open_rest(batch, weighing, grams)
        weighing.planned_grams = weighing.accept_low_grams = weighing.accept_high_grams = grams
        weighing.save(update_fields=["planned_grams", "accept_low_grams", "accept_high_grams"])
    return weigh_line(
        weighing_id=weighing.pk,
        lot_code=lot_code,
        grams=grams,
        on=on,
        by=by,
        scale=scale,
        vessel_grams=vessel_grams,
        typed_once=typed_once,
    )


def _open_rest(batch: Batch, weighing: Weighing, grams: Decimal) -> None:
    for later in batch.weighings.filter(position__gt=weighing.position).order_by("-position"):
        later.position += 1
        later.save(update_fields=["position"])
    Weighing.objects.create(
        batch=batch,
        position=weighing.position + 1,
        phase=weighing.phase,
        tolerance_class=weighing.tolerance_class,
        material=weighing.material,
        portion_letter=weighing.portion_letter,
        planned_grams=weighing.planned_grams - grams,
        accept_low_grams=weighing.accept_low_grams - grams,
        accept_high_grams=weighing.accept_high_grams - grams,
    )
