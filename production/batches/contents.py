"""What own soap is made of: a share of it, several soaps together, and the same soap once it has dried. No Django."""

from collections.abc import Iterable
from dataclasses import replace
from decimal import ROUND_DOWN, Decimal
from typing import Any

from production.batches.frozen import FrozenContent, FrozenContents, FrozenMaterial

ZERO, HUNDRED = Decimal(0), Decimal(100)
# A trace of color in a handful of scraps still counts.
MICROGRAM = Decimal("0.000001")
FOUR_PLACES = Decimal("0.0001")
SHARES = ("fat_percent", "sugars_percent", "alcohol_percent")


class ContentsError(ValueError):
    """These scraps cannot weigh what was typed; the message is for people."""


def share_of(contents: FrozenContents, grams: Decimal) -> FrozenContents:
    """Return what so many grams of the soap hold."""
    whole = contents.grams
    if not whole:
        return contents
    return FrozenContents(
        tuple(replace(item, grams=(item.grams * grams / whole).quantize(MICROGRAM)) for item in contents.items)
    )


def together(soaps: Iterable[FrozenContents]) -> FrozenContents:
    """Return what several soaps hold together; equal materials with equal figures are added up."""
    found: dict[FrozenContent, Decimal] = {}
    for soap in soaps:
        for item in soap.items:
            bare = replace(item, grams=ZERO)
            found[bare] = found.get(bare, ZERO) + item.grams
    return FrozenContents(tuple(replace(bare, grams=grams) for bare, grams in found.items()))


def dried(contents: FrozenContents, to_grams: Decimal) -> FrozenContents:
    """Return the soap with the water gone that it has lost; nothing but water dries away."""
    gone = contents.grams - to_grams
    if gone <= 0:
        return contents
    water = sum((item.grams * water_fraction(item.material) for item in contents.items), ZERO)
    if gone > water:
        raise ContentsError(
            f"Even without any water this soap would weigh {contents.grams - water:.1f} g, not {to_grams:.1f} g. "
            "Weigh again, or check which batch it came from."
        )
    kept = (_less_water(item, gone * item.grams * water_fraction(item.material) / water) for item in contents.items)
    return FrozenContents(tuple(item for item in kept if item.grams > 0))


def water_fraction(material: FrozenMaterial) -> Decimal:
    if material.water_percent is not None:
        return material.water_percent / HUNDRED
    return Decimal(1) if material.kind == "liquid" else ZERO


def _less_water(item: FrozenContent, gone_grams: Decimal) -> FrozenContent:
    """Take water out of one material; what else it holds is then a larger share of what is left."""
    if not gone_grams:
        return item
    left = (item.grams - gone_grams).quantize(MICROGRAM)
    if left <= 0:
        return replace(item, grams=ZERO)
    material, more = item.material, item.grams / left
    changes: dict[str, Any] = {
        name: None if getattr(material, name) is None else _percent(getattr(material, name) * more) for name in SHARES
    }
    demand = material.alkali_demand_g_naoh_per_g
    dryer = replace(
        material,
        water_percent=_percent(HUNDRED * (item.grams * water_fraction(material) - gone_grams) / left),
        alkali_demand_g_naoh_per_g=None if demand is None else demand * more,
        allergens=tuple((name, _percent(percent * more)) for name, percent in material.allergens),
        **changes,
    )
    return replace(item, material=dryer, grams=left)


def _percent(percent: Decimal) -> Decimal:
    return min(max(percent, ZERO), HUNDRED).quantize(FOUR_PLACES, rounding=ROUND_DOWN)
