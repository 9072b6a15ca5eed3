"""What a batch of parts remembers of its plan, kept as JSON in ``PartBatch.frozen``."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from production.batches.frozen import FrozenMaterial, FrozenSuperfat


@dataclass(frozen=True)
class FrozenPartPlan:
    """One small pot for so many pieces of a part."""

    part: str
    formula_name: str
    revision_number: int
    approved_on: date | None
    pieces: int
    piece_grams: Decimal
    oils_grams: Decimal
    batter_grams: Decimal
    lye_concentration_percent: Decimal
    superfat: FrozenSuperfat
    superfat_floor_percent: Decimal
    rest_days: int
    forbids_heat: bool
    process_note: str
    materials: tuple[FrozenMaterial, ...]
