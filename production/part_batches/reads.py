"""What the pages of batches of parts show."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from formulas.models import Part
from production.part_batches.frozen import FrozenPartPlan
from production.part_batches.models import PartBatch, PartWeighing
from production.part_batches.states import PartBatchState
from production.stock.models import Lot
from soapshop.frozen_json import from_json
from soapshop.panels import Panel

SHAPES = {
    PartBatchState.PLANNED: "open",
    PartBatchState.POURED: "waiting",
    PartBatchState.SHELVED: "done",
    PartBatchState.CANCELLED: "struck",
    PartBatchState.SCRAPPED: "struck",
}
MOST_SHOWN = 10


@dataclass(frozen=True)
class PartBatchRow:
    batch: PartBatch

    @property
    def shape(self) -> str:
        return SHAPES[self.batch.state]


@dataclass(frozen=True)
class PartBatchPage:
    """A batch of parts with its plan; ``ready_on`` is the first day its pieces may go on a bar."""

    plan: FrozenPartPlan
    shape: str
    ready_on: date | None


def part_batch_page(batch: PartBatch) -> PartBatchPage:
    plan = from_json(FrozenPartPlan, batch.frozen)
    ready_on = None if batch.made_on is None else batch.made_on + timedelta(days=plan.rest_days)
    return PartBatchPage(plan, SHAPES[batch.state], ready_on)


def first_lots(lines: Iterable[PartWeighing], *, today: date) -> dict[int, str]:
    """Return the code of the lot to take first for each material, in one query."""
    found: dict[int, str] = {}
    for lot in Lot.objects.filter(material_id__in={line.material_id for line in lines}).drawable(on=today):
        found.setdefault(lot.material_id, lot.code)
    return found


def unfinished_part_batches() -> list[PartBatchRow]:
    return [PartBatchRow(batch) for batch in PartBatch.objects.unfinished()]


def part_batches_panel(part: Part) -> Panel | None:
    """The newest batches of a part made from a formula; nothing on the page of a part that has none."""
    if not part.is_made_here:
        return None
    batches = PartBatch.objects.filter(part=part).select_related("lot")[:MOST_SHOWN]
    context = {"part": part, "rows": [PartBatchRow(batch) for batch in batches]}
    return Panel("production/panels/part_batches.html", context, rank=10)
