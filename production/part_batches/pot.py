"""The superfat of a small pot from what the scale said, with the figures of the lots' certificates."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from production.batches.frozen import FrozenMaterial
from production.batches.pot import InPot, fill_pot, pot_superfat
from production.stock.models import Lot

FOUR_PLACES = Decimal("0.0001")
# The column holds four digits before the point; a pot beyond it is as wrong as one at its edge.
FARTHEST_PERCENT = Decimal(9999)


@dataclass(frozen=True)
class Weighed:
    material_id: int
    grams: Decimal
    lot: Lot


def weighed_superfat(materials: Sequence[FrozenMaterial], weighed: Sequence[Weighed]) -> Decimal | None:
    """Return the superfat in percent, or None when it cannot be computed."""
    known = {material.material_id: material for material in materials}
    interval = pot_superfat(fill_pot(tuple(_in_pot(known[item.material_id], item) for item in weighed)))
    if interval is None:
        return None
    return max(min(interval.planned, FARTHEST_PERCENT), -FARTHEST_PERCENT).quantize(FOUR_PLACES)


def _in_pot(material: FrozenMaterial, item: Weighed) -> InPot:
    sap, purity = item.lot.sap_certificate, item.lot.purity_percent
    if sap is not None:
        material = replace(material, sap_low=sap, sap_plan=sap, sap_high=sap)
    if purity is not None:
        material = replace(material, purity_low_percent=purity, purity_percent=purity, purity_high_percent=purity)
    return InPot(material, item.grams, sap is not None, purity is not None)
