"""A shelf for the tests of the stores, Today and the search, filled through the shop's own actions."""

from datetime import date
from decimal import Decimal
from typing import Any

from formulas.models import Material, Part
from production.stock.actions import receive_lot
from production.stock.models import Lot, PartLot
from soapshop.models import User

TODAY = date(2026, 5, 12)
RECEIVED = date(2026, 4, 1)


def material(name: str = "Almond oil", kind: str = "fat") -> Material:
    return Material.objects.get_or_create(name=name, defaults={"kind": kind})[0]


def lot(by: User, grams: str = "1000", *, of: Material | None = None, on: date = RECEIVED, **details: Any) -> Lot:
    return receive_lot(material=of or material(), received_on=on, grams=Decimal(grams), by=by, **details)


def part(key: str = "seal") -> Part:
    return Part.objects.get_or_create(
        key=key, defaults={"name": key.title(), "kind": "seal", "unit_grams": Decimal(4)}
    )[0]


def assert_balanced() -> None:
    """Every lot holds the sum of its moves, and nothing is below nothing."""
    for each in Lot.objects.prefetch_related("moves"):
        assert each.grams_left == sum((move.grams for move in each.moves.all()), Decimal())
        assert each.grams_left >= 0
    for each in PartLot.objects.prefetch_related("moves"):
        assert each.pieces_left == sum(move.pieces for move in each.moves.all())
        assert each.pieces_left >= 0
