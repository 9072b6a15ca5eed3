"""What it costs to fit the drying curve of one batch anew: processor time, nothing remembered."""

import time
from dataclasses import replace
from decimal import Decimal

from django.db.models import Count

from production.batch_states import ON_THE_RACK
from production.batches.models import Batch
from production.benchmark.results import RefitCost
from production.cure.forecast import DryingFacts, forecast_cure, forecast_ready_day
from production.cure.rack_plans import face_of
from production.cure.records import for_rack, marked_bars, water_of

# Each round asks with a little more water, so that no earlier answer serves.
A_LITTLE = Decimal("0.001")


def refit_cost(*, rounds: int) -> RefitCost | None:
    """Fit the batch on the rack with the most weighings, and the day it is ready; None without such a batch."""
    states = [state.value for state in ON_THE_RACK]
    busy = Batch.objects.filter(status__in=states).annotate(size=Count("cure_weighings")).order_by("-size", "pk")
    batch = for_rack(Batch.objects.filter(pk__in=busy.values("pk")[:1])).first()
    if batch is None or batch.cut_on is None:
        return None
    facts = DryingFacts(
        cut_on=batch.cut_on,
        water_percent=water_of(batch, face_of(batch)).water_percent,
        bars=marked_bars(batch.cure_weighings.all()),
        fresh_grams=batch.mean_cut_bar_grams,
    )
    least = min(_seconds(facts, turn, cure_days=batch.cure_days) for turn in range(1, rounds + 1))
    return RefitCost(weighings=len(batch.cure_weighings.all()), milliseconds=least * 1000)


def _seconds(facts: DryingFacts, turn: int, *, cure_days: int) -> float:
    asked = replace(facts, water_percent=facts.water_percent + turn * A_LITTLE)
    began = time.process_time()
    forecast_ready_day(forecast_cure(asked), poured_on=facts.cut_on, cure_days=cure_days)
    return time.process_time() - began
