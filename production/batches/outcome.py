"""What came of a batch, for its page: the yield at each point, its soap on the shelf, its children and its parents."""

from dataclasses import dataclass
from datetime import date

from formulas.models import Material
from production.batch_states import BatchState
from production.batches.models import Batch, Weighing
from production.batches.offspring import Offspring, offspring
from production.batches.reach import Reach, reach_of
from production.batches.yields import judged_yield, yield_facts
from production.stock.models import Lot, Origin
from production.yield_points import YieldFacts, YieldPoint

BEFORE_THE_POUR = (BatchState.PLANNED, BatchState.IN_PROCESS, BatchState.CANCELLED)
GIVEN_UP = (BatchState.REJECTED, BatchState.SCRAPPED)
NOTHING_CAME = Offspring((), ())


@dataclass(frozen=True)
class Outcome:
    facts: YieldFacts
    points: tuple[YieldPoint, ...]
    came: Offspring
    parents: tuple[Batch, ...]
    may_pour_on: bool
    may_stock_scraps: bool
    may_rework: bool
    reach: Reach | None  # while it is on hold: what the hold covers

    @property
    def has_family(self) -> bool:
        return bool(self.came.lots or self.came.batches or self.parents)


def outcome_of(batch: Batch, *, is_weighed_out: bool, today: date) -> Outcome:
    """Return it; give the batch with its weighings fetched."""
    state = batch.state
    is_poured = state not in BEFORE_THE_POUR
    facts = yield_facts(batch)
    is_batter = (state == BatchState.IN_PROCESS and is_weighed_out) or (
        state == BatchState.POURED and batch.poured_on == today
    )
    return Outcome(
        facts=facts,
        points=judged_yield(facts) if is_poured else (),
        came=offspring(batch) if is_poured or is_weighed_out else NOTHING_CAME,
        parents=_parents(batch),
        may_pour_on=is_batter,
        may_stock_scraps=is_poured and state not in (*GIVEN_UP, BatchState.REWORKED),
        may_rework=state == BatchState.HELD and batch.poured_on is not None,
        reach=reach_of(batch) if state == BatchState.HELD else None,
    )


def _parents(batch: Batch) -> tuple[Batch, ...]:
    """Return the batches whose soap or batter went in, through repacked tubs too, the nearest first."""
    lots = [row.lot_id for row in batch.weighings.all() if row.phase == Weighing.Phase.SOAP and row.lot_id is not None]
    found: dict[int, Batch] = {}
    seen: set[int] = set()
    while lots:
        seen.update(lots)
        rows = Origin.objects.filter(lot_id__in=lots).select_related("from_batch")
        found |= {row.from_batch.pk: row.from_batch for row in rows if row.from_batch is not None}
        lots = [row.from_lot_id for row in rows if row.from_lot_id is not None and row.from_lot_id not in seen]
    return tuple(found.values())


def shelf_lots() -> list[Lot]:
    """Return the lots of own soap with anything left, the oldest first."""
    rows = Lot.objects.filter(material__kind=Material.Kind.SOAP, grams_left__gt=0).select_related("material")
    return list(rows.prefetch_related("origins__from_batch__design", "origins__from_lot").order_by("received_on", "pk"))
