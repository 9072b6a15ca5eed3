"""What planned batches still take from the shelf, and what lies there for them: rows to frozen records."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Case, F, Sum, When

from production.batch_states import BatchState
from production.batches.models import Batch, Weighing
from production.stock.models import Lot, PartLot
from production.stock.shortages import Need, Supply

# Parts go onto the bars by the cut at the latest; after it they are off the shelf.
BEFORE_THE_CUT = (BatchState.PLANNED, BatchState.IN_PROCESS, BatchState.POURED)


@dataclass(frozen=True)
class OpenLine:
    """One line of a weigh-out that no scale has seen yet."""

    material_id: int
    material: str
    grams: Decimal
    batch: str
    is_in_process: bool
    pour_on: date


def open_lines() -> list[OpenLine]:
    """Return every line still to be weighed, in order of the pour and the weigh-out; one query."""
    rows = (
        Weighing.objects.filter(
            actual_grams__isnull=True,
            batch__status__in=[BatchState.PLANNED.value, BatchState.IN_PROCESS.value],
        )
        .order_by("batch__pour_on", "batch__number", "position")
        .values_list(
            "material_id", "material__name", "planned_grams", "batch__number", "batch__status", "batch__pour_on"
        )
    )
    return [
        OpenLine(material_id, name, grams, number, status == BatchState.IN_PROCESS.value, pour_on)
        for material_id, name, grams, number, status, pour_on in rows
    ]


def material_needs(lines: Iterable[OpenLine], *, today: date) -> list[Need]:
    """Return the needs by batch; what should have been poured is needed today."""
    return [Need(line.material_id, line.grams, max(line.pour_on, today), line.batch) for line in lines]


def material_supplies(needs: list[Need], *, today: date) -> list[Supply]:
    """Return released grams in date of the needed materials. Lots that outlast every need are added up; one query."""
    last = max((need.on for need in needs), default=today)
    rows = (
        Lot.objects.drawable(on=today)
        .filter(material_id__in={need.key for need in needs})
        .annotate(good_until=Case(When(expires_on__lte=last, then=F("expires_on"))))
        .order_by()
        .values("material_id", "good_until")
        .annotate(grams=Sum("grams_left"))
    )
    return [Supply(row["material_id"], row["grams"], row["good_until"]) for row in rows]


@dataclass(frozen=True)
class PartNeed:
    """Pieces one batch wants ready, spares included."""

    part_id: int
    part: str
    pieces: int
    batch: str
    pour_on: date


def part_needs() -> list[PartNeed]:
    """Return the pieces that batches before their cut still need, from their frozen plans; one query."""
    waiting = Batch.objects.filter(status__in=[state.value for state in BEFORE_THE_CUT])
    return part_needs_of(
        waiting.annotate(wanted_parts=F("frozen__parts"))
        .only("number", "pour_on", "status")
        .order_by("pour_on", "number")
    )


def part_needs_of(batches: Iterable[Batch]) -> list[PartNeed]:
    """Return the pieces that these batches still need; each carries the ``wanted_parts`` of its frozen plan."""
    return [
        PartNeed(part["part_id"], part["name"], part["pieces"] + part["spares"], batch.number, batch.pour_on)
        for batch in batches
        if batch.state in BEFORE_THE_CUT
        for part in getattr(batch, "wanted_parts", None) or ()
        if part["kind"] != "stamp"
    ]


def needs_of_parts(needs: Iterable[PartNeed], *, today: date) -> list[Need]:
    return [Need(need.part_id, Decimal(need.pieces), max(need.pour_on, today), need.batch) for need in needs]


def part_supplies(*, today: date) -> list[Supply]:
    """Return the pieces that may be used, lot by lot; one query."""
    lots = PartLot.objects.usable(on=today)
    return [
        Supply(part_id, Decimal(left), use_by)
        for part_id, left, use_by in lots.values_list("part_id", "pieces_left", "use_by")
    ]
