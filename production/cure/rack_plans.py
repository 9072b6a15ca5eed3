"""The frozen plan of a batch as the rack needs it: its face, its liquids and its scents, without the other materials.

A rack holds hundreds of batches and their plans never change, so each is read once for the text it was frozen as.
"""

import json
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from django.db.models import QuerySet, TextField
from django.db.models.functions import Cast

from formulas.models import Material
from production.batches.frozen import FrozenPlan
from production.batches.models import Batch
from soapshop.frozen_json import from_json

# More than lie on the rack of any small workshop; about ten kilobytes each.
MOST_PLANS_KEPT = 1000


@dataclass(frozen=True)
class RackPlan:
    """`face` is the frozen plan without its materials; `water_percents` is by material, for whatever holds water."""

    face: FrozenPlan
    water_percents: MappingProxyType[int, Decimal]
    scent_ids: frozenset[int]
    fat_ids: frozenset[int]
    scent_names: tuple[str, ...] = ()


def with_plan_text(batches: QuerySet[Batch]) -> QuerySet[Batch]:
    """Load the plans as the text they are stored as, unread."""
    return batches.defer("frozen").annotate(frozen_text=Cast("frozen", TextField()))


def rack_plan(batch: Batch) -> RackPlan:
    text: str | None = getattr(batch, "frozen_text", None)
    return _plan_in(json.dumps(batch.frozen) if text is None else text)


def face_in(text: str) -> FrozenPlan:
    """Return a plan read as text, without its materials."""
    return _plan_in(text).face


def face_of(batch: Batch) -> FrozenPlan:
    """Return the frozen plan without its materials."""
    return rack_plan(batch).face


def part_names(batch: Batch) -> dict[str, str]:
    """Return the names of the parts that the batch's bars can carry, by their short names."""
    return {part.key: part.name for part in face_of(batch).parts}


@lru_cache(maxsize=MOST_PLANS_KEPT)
def _plan_in(text: str) -> RackPlan:
    """Read a plan. Remembered: the same text is always the same plan."""
    frozen: dict[str, Any] = json.loads(text)
    materials = frozen["materials"]
    water = {each["material_id"]: Decimal(each["water_percent"]) for each in materials if each["water_percent"]}
    return RackPlan(
        face=from_json(FrozenPlan, {**frozen, "materials": ()}),
        water_percents=MappingProxyType(water),
        scent_ids=frozenset(each["material_id"] for each in materials if each["kind"] in Material.SCENTS),
        scent_names=tuple(each["name"] for each in materials if each["kind"] in Material.SCENTS),
        fat_ids=frozenset(each["material_id"] for each in materials if each["kind"] == Material.Kind.FAT),
    )
