"""Color blends to the colorants of a jug and back: what is typed as one shade is weighed as its colorants."""

from decimal import ROUND_FLOOR, Decimal

from formulas.design_drafts import ColorDraft
from formulas.models import ColorBlend, Material, Portion

FOUR_PLACES = Decimal("0.0001")


def colors_of(found: Material | ColorBlend, percent: Decimal) -> tuple[ColorDraft, ...]:
    """Return a colorant with its dose, or a blend as colorants that add up to its dose; the first takes the rest."""
    if isinstance(found, Material):
        return (ColorDraft(found, percent),)
    parts = list(found.parts.select_related("material"))
    whole = sum((part.parts for part in parts), Decimal(0))
    shares = [(percent * part.parts / whole).quantize(FOUR_PLACES, ROUND_FLOOR) for part in parts]
    shares[0] += percent - sum(shares, Decimal(0))
    return tuple(
        ColorDraft(part.material, share, found) for part, share in zip(parts, shares, strict=True) if share > 0
    )


def color_boxes_of(portion: Portion) -> list[tuple[str, Decimal]]:
    """Return what the color boxes of a saved jug say; the colorants of one blend stand in one box."""
    boxes: dict[str, Decimal] = {}
    for color in portion.colors.all():
        name = color.material.name if color.blend is None else color.blend.name
        boxes[name] = boxes.get(name, Decimal(0)) + color.percent_of_portion_oils
    return list(boxes.items())
