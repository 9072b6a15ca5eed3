"""What it costs to write a weighing down, against the least a verb writes: one row locked, changed and noted.

Both are timed until the answer, the disk included, for that is what a person at the bench waits for.
"""

import time
from collections.abc import Callable
from decimal import Decimal

from django.test.utils import override_settings
from django.urls import reverse

from production.batch_states import BatchState
from production.batches.actions.bench import undo_weighing
from production.batches.models import Weighing
from production.benchmark.pages import ADDRESSES, signed_in_client
from production.benchmark.results import WriteCost
from production.stock.models import Lot
from soapshop.models import User

FLOOR_NAME = "benchmark-write"


class NothingToWeigh(Exception):
    """The shop has no line that waits for the scale; the message says so."""


@override_settings(ROOT_URLCONF=ADDRESSES)
def weighing_cost(*, rounds: int) -> WriteCost:
    """Weigh one line again and again, each time undone; return the least times."""
    line, lot = _line_and_lot()
    client, by = signed_in_client(), User.objects.filter(role=User.Role.OWNER).order_by("pk")[0]
    weigh = reverse("production:batch-weigh", args=[line.batch.number, line.pk])
    typed = {"lot": lot.code, "grams": str(line.planned_grams)}
    floor_address, floors, weighings = reverse(FLOOR_NAME), [], []
    for _ in range(rounds + 1):
        floors.append(_milliseconds(lambda: client.post(floor_address).status_code))
        weighings.append(_milliseconds(lambda: client.post(weigh, typed).status_code))
        undo_weighing(weighing_id=line.pk, reason="Measured", by=by)
    # The first time, templates and settings are read: that round does not count.
    return WriteCost("A weighing saved", min(weighings[1:]), min(floors[1:]))


def _line_and_lot() -> tuple[Weighing, Lot]:
    waiting = Weighing.objects.filter(batch__status=BatchState.IN_PROCESS.value, actual_grams__isnull=True)
    for line in waiting.select_related("batch").order_by("batch_id", "position"):
        enough = line.planned_grams + Decimal(1)
        lot = Lot.objects.filter(material_id=line.material_id, grams_left__gte=enough).drawable().first()
        if lot is not None:
            return line, lot
    raise NothingToWeigh("No line waits for the scale in this shop, so that no weighing was timed.")


def _milliseconds(answer: Callable[[], int]) -> float:
    began = time.perf_counter()
    status = answer()
    taken = (time.perf_counter() - began) * 1000
    if status >= 400:
        raise NothingToWeigh(f"The bench answered {status}, so that no weighing was timed.")
    return taken
