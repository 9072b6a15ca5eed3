"""Rows to frozen records for orders: the agreed design, and what the avoid-list is held against."""

from typing import Any

from formulas.models import Design, Material
from orders.avoid import AvoidList, Ingredient
from orders.models import Customer, OrderLine


def design_copy(line: OrderLine) -> dict[str, Any]:
    """Return the design as it is agreed today, in plain JSON: what it is called, how it looks, what it carries."""
    design = line.design
    approved = design.formula.revisions.approved().first()
    return {
        "design": design.name,
        "identity": design.identity,
        "formula": design.formula.name,
        "revision": approved.number if approved else None,
        "mold": design.mold.name,
        "rows": [
            {
                "height": str(row.height_share),
                "portions": [
                    {
                        "letter": portion.letter,
                        "name": portion.name,
                        "width": str(portion.width_share),
                        "color": portion.color_hex,
                        "scented": portion.is_scented,
                    }
                    for portion in row.portions.all()
                ],
            }
            for row in design.rows.prefetch_related("portions")
        ],
        "parts": [{"part": finish.part.name, "bars": finish.bars} for finish in line.finishes.all()],
        "bars": line.bars,
    }


def avoid_list(customer: Customer) -> AvoidList:
    return AvoidList(
        groups=tuple(customer.avoid_groups),
        materials=tuple(material.name for material in customer.avoid_materials.all()),
    )


def ingredients_of(design: Design) -> tuple[Ingredient, ...]:
    """Return everything that goes into a bar of this design: formula in use, colors, parts."""
    found: list[Ingredient] = []
    revision = design.formula.revisions.approved().first() or design.formula.revisions.order_by("-number").first()
    if revision is not None:
        found += [_ingredient(line.material, "the formula") for line in revision.lines.select_related("material")]
    for row in design.rows.all():
        for portion in row.portions.all():
            found += [_ingredient(color.material, f"jug {portion.letter}") for color in portion.colors.all()]
    for carried in design.parts.all():
        found += [_ingredient(item.material, carried.part.name) for item in carried.part.ingredients.all()]
    return tuple(dict.fromkeys(found))


def _ingredient(material: Material, where: str) -> Ingredient:
    groups = tuple(material.avoid_groups) + (("scent",) if material.is_scent else ())
    return Ingredient(name=material.name, groups=tuple(dict.fromkeys(groups)), where=where)
