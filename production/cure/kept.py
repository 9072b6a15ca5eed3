"""What bars of a formula kept of their fresh weight in this workshop: marked bars weighed over the least cure."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from formulas.models import FormulaRevision
from production.cure.models import CureWeighing

LEAST_DAYS = 28  # what a bar loses after four weeks is little beside what it lost until then


@dataclass(frozen=True)
class Kept:
    percent: Decimal
    batches: int


def kept_of_revision(revision: FormulaRevision) -> Kept | None:
    """Return the mean over the batches of a revision; None before a bar was weighed for four weeks. One query."""
    weighings = CureWeighing.objects.filter(batch__revision=revision, is_set_aside=False).order_by("on", "pk")
    bars: dict[tuple[int, str], list[tuple[date, Decimal]]] = {}
    for batch_id, mark, on, grams in weighings.values_list("batch_id", "bar_mark", "on", "grams"):
        bars.setdefault((batch_id, mark), []).append((on, grams))
    by_batch: dict[int, list[Decimal]] = {}
    for (batch_id, _), course in bars.items():
        (first_on, fresh), (last_on, cured) = course[0], course[-1]
        if (last_on - first_on).days >= LEAST_DAYS:
            by_batch.setdefault(batch_id, []).append(cured / fresh)
    if not by_batch:
        return None
    means = [sum(ratios, Decimal(0)) / len(ratios) for ratios in by_batch.values()]
    return Kept((100 * sum(means, Decimal(0)) / len(means)).quantize(Decimal("0.1")), len(means))
