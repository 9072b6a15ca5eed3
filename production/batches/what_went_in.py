"""What is in the batches behind an order's lines, own soap opened up: for the customer's avoid-list."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from django.db.models import Q

from formulas.models import Material
from orders.avoid import Ingredient
from orders.models import OrderLine
from orders.records import ingredient_of
from production.batches.models import BatchFor, Weighing
from production.batches.planned import GONE
from production.cure.bar_counts import bars_with_lines
from production.cure.models import BarMove


def made_of_lines(lines: Sequence[OrderLine]) -> dict[int, tuple[Ingredient, ...]]:
    """Return by line what its batches hold: what was weighed, else planned, and what own soap in it was made of.

    Batches poured for the line and batches whose bars lie with it; four queries, however many there are.
    """
    of_line = _batches_of([line.pk for line in lines])
    rows = (
        Weighing.objects.filter(batch__in={batch for batches in of_line.values() for batch in batches})
        .filter(Q(actual_grams__isnull=True) | Q(actual_grams__gt=0))
        .select_related("material", "lot", "batch")
        .only(*READ)
        .order_by("batch__number", "position")
    )
    opened = _materials(rows)
    held: dict[int, list[Ingredient]] = {}
    for row in rows:
        held.setdefault(row.batch_id, []).extend(_ingredients(row, opened))
    return {
        line: tuple(dict.fromkeys(item for batch in batches for item in held.get(batch, ())))
        for line, batches in of_line.items()
    }


READ = (
    "batch__number",
    "position",
    "material__name",
    "material__kind",
    "material__avoid_groups",
    "lot__code",
    "lot__contents",
)


def _batches_of(lines: list[int]) -> dict[int, list[int]]:
    serves = BatchFor.objects.filter(line__in=lines).exclude(batch__status__in=GONE).order_by("batch__number")
    pairs = list(serves.values_list("line_id", "batch_id"))
    pairs += [(each.line_id, each.batch_id) for each in bars_with_lines(BarMove.objects.filter(line__in=lines))]
    found: dict[int, list[int]] = {}
    for line, batch in dict.fromkeys(pairs):
        found.setdefault(line, []).append(batch)
    return found


def _contents(row: Weighing) -> list[dict[str, Any]]:
    return row.lot.contents["items"] if row.lot is not None and row.lot.contents else []


def _materials(rows: Iterable[Weighing]) -> dict[int, Material]:
    """Return the materials that own soap was made of, as they are marked today."""
    wanted = {item["material"]["material_id"] for row in rows for item in _contents(row)}
    return Material.objects.only("name", "kind", "avoid_groups").in_bulk(wanted) if wanted else {}


def _ingredients(row: Weighing, opened: dict[int, Material]) -> Iterator[Ingredient]:
    contents = _contents(row)
    if not contents:
        yield ingredient_of(row.material, f"batch {row.batch.number}")
    for item in contents:
        material = opened.get(item["material"]["material_id"])
        if material is not None and row.lot is not None:
            yield ingredient_of(material, f"batch {row.batch.number}, by way of own soap {row.lot.code}")
