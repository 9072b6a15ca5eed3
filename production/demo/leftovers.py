"""What is left over in the demo shop, and what went otherwise: ends in stock, a jug that came out another color."""

from datetime import date
from decimal import Decimal

from production.batch_states import BatchState
from production.batches.actions.slips import note_other_color
from production.batches.models import Batch
from production.leftovers.actions.scraps import stock_scraps
from soapshop.models import User

# Ends lose a little water between the cut and the tub.
KEPT_FRACTION = Decimal("0.9")


def keep_leftovers(*, today: date, by: User) -> None:
    for batch in Batch.objects.filter(status=BatchState.CURING.value, ends_grams__gt=0).order_by("number")[:2]:
        grams = ((batch.ends_grams or Decimal(0)) * KEPT_FRACTION).quantize(Decimal(1))
        stock_scraps(batch_id=batch.pk, grams=grams, what="Ends and trims", on=batch.cut_on or today, by=by)
    poured = Batch.objects.filter(status=BatchState.POURED.value).order_by("number").first()
    if poured is not None:
        letter = max(portion["letter"] for portion in poured.frozen["portions"])
        words = "Paler than the drawing; the mica was weighed short of a stir."
        note_other_color(batch_id=poured.pk, letter=letter, words=words, on=today, by=by)
