"""Rows to frozen records for orders: the agreed design, and what the avoid-list is held against."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from django.db.models import prefetch_related_objects

from formulas.design_records import EVERY_BAR, design_drawing
from formulas.drawing import DrawnBar
from formulas.models import FormulaLine, FormulaRevision, Material, PartIngredient, Portion, PortionColor
from orders.avoid import AvoidHit, AvoidList, Ingredient, avoid_hits, new_hits
from orders.models import Customer, Order, OrderLine
from orders.order_states import OrderState
from soapshop.frozen_json import from_json, to_json

MadeReader = Callable[[Sequence[OrderLine]], dict[int, tuple[Ingredient, ...]]]
_readers: list[MadeReader] = []
NOT_MADE = (OrderState.ENQUIRY, OrderState.QUOTED)


def add_made_reader(reader: MadeReader) -> None:
    """Let a higher app say what is in the batches behind each line; adding it twice has no effect."""
    if reader not in _readers:
        _readers.append(reader)


def design_copy(line: OrderLine) -> dict[str, Any]:
    """Return the design as it is agreed today, in plain JSON: what it is called, how it looks, what it carries."""
    design = line.design
    read_for_drawing([line])
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
            for row in design.rows.all()
        ],
        "drawing": to_json(_drawing_today(line)),
        "parts": [{"part": finish.part.name, "bars": finish.bars} for finish in line.finishes.all()],
        "bars": line.bars,
    }


def read_for_drawing(lines: Iterable[OrderLine]) -> None:
    """Fetch what the lines are drawn from, in a fixed number of queries; none for lines that keep their drawing."""
    prefetch_related_objects(
        [line.design for line in lines if not (line.frozen_design or {}).get("drawing")],
        "mold",
        "rows__portions",
        "parts__part",
    )


def line_drawing(line: OrderLine) -> DrawnBar:
    """Return the bar of a line: as it was agreed, or as the design stands today while nothing is agreed."""
    kept = (line.frozen_design or {}).get("drawing")
    return from_json(DrawnBar, kept) if kept else _drawing_today(line)


def _drawing_today(line: OrderLine) -> DrawnBar:
    bars = {
        finish.part_id: EVERY_BAR if finish.bars >= line.bars else f"{finish.bars} of {line.bars} bars"
        for finish in line.finishes.all()
    }
    return design_drawing(line.design, bars_by_part=bars)


def avoid_list(customer: Customer) -> AvoidList:
    return AvoidList(
        groups=tuple(customer.avoid_groups),
        materials=tuple(material.name for material in customer.avoid_materials.all()),
    )


def avoid_hits_of(order: Order) -> dict[int, tuple[AvoidHit, ...]]:
    """Return what stands on the customer's avoid-list, by line; an empty list asks no question of the database."""
    wanted, lines = avoid_list(order.customer), list(order.lines.all())
    if wanted.is_empty:
        return {line.pk: () for line in lines}
    hits = {line_id: avoid_hits(wanted, held) for line_id, held in ingredients_of_lines(lines).items()}
    for read in _readers if order.state not in NOT_MADE else ():
        for line_id, held in read(lines).items():
            hits[line_id] += new_hits(hits[line_id], avoid_hits(wanted, held))
    return hits


def ingredients_of_lines(lines: Sequence[OrderLine]) -> dict[int, tuple[Ingredient, ...]]:
    """Return what goes into the bars of each line, by line: formula in use, what goes into jugs, the parts asked for.

    Four queries, however many lines there are.
    """
    formulas = _formula_materials({line.design.formula_id for line in lines})
    jugs = _jug_materials({line.design_id for line in lines})
    parts = _part_materials({finish.part_id for line in lines for finish in line.finishes.all()})
    return {
        line.pk: tuple(
            dict.fromkeys(
                (
                    *formulas[line.design.formula_id],
                    *jugs[line.design_id],
                    *(item for finish in line.finishes.all() for item in parts[finish.part_id]),
                )
            )
        )
        for line in lines
    }


def _formula_materials(formula_ids: set[int]) -> defaultdict[int, list[Ingredient]]:
    """Take the approved revision of each formula, else its newest draft."""
    rows = (
        FormulaLine.objects.filter(revision__formula__in=formula_ids)
        .select_related("material", "revision")
        .only(*_of_material("revision__formula", "revision__status", "revision__number"))
    )
    revisions = {row.revision_id: row.revision for row in rows}
    in_use: dict[int, FormulaRevision] = {}
    for revision in sorted(revisions.values(), key=lambda item: (item.is_approved, item.number)):
        in_use[revision.formula_id] = revision
    found: defaultdict[int, list[Ingredient]] = defaultdict(list)
    for row in rows:
        if in_use[row.revision.formula_id].pk == row.revision_id:
            found[row.revision.formula_id].append(ingredient_of(row.material, "the formula"))
    return found


def _jug_materials(design_ids: set[int]) -> defaultdict[int, list[Ingredient]]:
    found: defaultdict[int, list[Ingredient]] = defaultdict(list)
    rows = PortionColor.objects.filter(portion__row__design__in=design_ids)
    read = rows.select_related("material", "portion__row").only(
        *_of_material("portion__letter", "portion__row__design")
    )
    for row in read.order_by("portion__letter", "pk"):
        found[row.portion.row.design_id].append(ingredient_of(row.material, f"jug {row.portion.letter}"))
    jugs = Portion.objects.filter(row__design__in=design_ids).exclude(carrier_oil=None, wet_liquid=None)
    beside = ("carrier_oil", "wet_liquid")
    columns = [f"{name}__{column}" for name in beside for column in ("name", "kind", "avoid_groups")]
    for jug in jugs.select_related("row", *beside).only("letter", "row__design", *columns).order_by("letter", "pk"):
        for material in filter(None, (jug.carrier_oil, jug.wet_liquid)):
            found[jug.row.design_id].append(ingredient_of(material, f"jug {jug.letter}"))
    return found


def _part_materials(part_ids: set[int]) -> defaultdict[int, list[Ingredient]]:
    found: defaultdict[int, list[Ingredient]] = defaultdict(list)
    rows = PartIngredient.objects.filter(part__in=part_ids).select_related("material", "part")
    for row in rows.only(*_of_material("part__name")):
        found[row.part_id].append(ingredient_of(row.material, f"the {row.part.name.lower()}"))
    return found


def _of_material(*also: str) -> tuple[str, ...]:
    """Name the few columns that the list is held against; a material has many more."""
    return ("material__name", "material__kind", "material__avoid_groups", *also)


def ingredient_of(material: Material, where: str) -> Ingredient:
    """Return a material as the avoid-list is held against it."""
    groups = tuple(material.avoid_groups) + (("scent",) if material.is_scent else ())
    return Ingredient(name=material.name, groups=tuple(dict.fromkeys(groups)), where=where)
