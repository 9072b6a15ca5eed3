"""A small invented order book for the tests, built through the actions that the pages use."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from formulas.actions.revisions import LineDraft, approve_revision, create_formula
from formulas.models import Design, DesignPart, DesignRow, FormulaRevision, Material, Mold, Part, Portion, PortionColor
from orders.actions import LineWish, create_order, move_order, save_customer
from orders.models import Customer, Order
from orders.order_states import OrderState
from soapshop.models import User

TODAY = date(2026, 5, 12)
NEEDED_BY = date(2026, 8, 7)
# SAP and density near published averages, rounded; the tests compare with sums worked out from these very figures.
MATERIALS: dict[str, dict[str, Any]] = {
    "olive": {"name": "Olive oil", "kind": "fat", "sap_low": "184", "sap_plan": "190", "sap_high": "196",
              "density_g_per_ml": "0.912"},
    "coconut": {"name": "Coconut oil", "kind": "fat", "sap_low": "250", "sap_plan": "257", "sap_high": "264",
                "density_g_per_ml": "0.922"},
    "palm": {"name": "Palm oil", "kind": "fat", "sap_low": "190", "sap_plan": "199", "sap_high": "209",
             "density_g_per_ml": "0.915", "avoid_groups": ["palm"]},
    "naoh": {"name": "Sodium hydroxide", "kind": "alkali", "alkali_kind": "NaOH", "purity_low_percent": "98",
             "purity_percent": "99", "purity_high_percent": "100"},
    "water": {"name": "Water", "kind": "liquid", "water_percent": "100", "density_g_per_ml": "1"},
    "scent": {"name": "Fern fragrance", "kind": "fragrance", "has_allergen_statement": True,
              "scent_limit_percent": "6"},
    "mica": {"name": "Sea mica", "kind": "colorant", "grams_per_teaspoon": "2.6"},
    "aloe": {"name": "Aloe juice", "kind": "liquid", "water_percent": "98", "sugars_percent": "1.5"},
}  # fmt: skip


def material(key: str) -> Material:
    figures = {name: _figure(name, given) for name, given in MATERIALS[key].items()}
    return Material.objects.get_or_create(key=key, defaults=figures)[0]


def _figure(name: str, given: Any) -> Any:
    is_text = name in ("name", "kind", "alkali_kind", "avoid_groups") or isinstance(given, bool)
    return given if is_text else Decimal(given)


def make_formula(by: User, name: str = "Moor", *, is_approved: bool = True, scent: str = "3") -> FormulaRevision:
    lines = [
        LineDraft(material("olive"), "oils", Decimal(45)),
        LineDraft(material("coconut"), "oils", Decimal(28)),
        LineDraft(material("palm"), "oils", Decimal(27)),
        LineDraft(material("naoh"), "alkali", Decimal(100)),
        LineDraft(material("water"), "liquid", Decimal(100)),
    ]
    if scent:
        lines.append(LineDraft(material("scent"), "trace", Decimal(scent)))
    figures = {
        "superfat_percent": Decimal(6),
        "liquid_basis": "lye_concentration",
        "liquid_value": Decimal(33),
        "cure_days": 42,
        "least_cure_days": 28,
    }
    revision = create_formula(name=f"{name} base", figures=figures, lines=lines, by=by)
    if is_approved:
        approve_revision(revision_id=revision.pk, override_reason="tried many times", by=by)
    return revision


def make_mold(name: str = "Loaf of 12", *, usable_bars: int = 12, owned: int = 2, **sizes: Any) -> Mold:
    given = {"length_mm": "305", "width_mm": "85", "height_mm": "65", "bar_thickness_mm": "25"} | sizes
    figures = {key: Decimal(size) for key, size in given.items()}
    return Mold.objects.create(name=name, kind="loaf", usable_bars=usable_bars, owned=owned, **figures)


def make_design(
    by: User,
    name: str = "Moor",
    *,
    revision: FormulaRevision | None = None,
    mold: Mold | None = None,
    heights: tuple[str, str] = ("1", "1"),
    color: str = "0.5",
) -> Design:
    """Two layers: A scented and plain, B unscented and colored. A seal on every bar, and two toppers to choose."""
    revision = revision or make_formula(by, name)
    design = Design.objects.create(name=name, formula=revision.formula, mold=mold or make_mold(f"Loaf for {name}"))
    for position, (letter, words, height) in enumerate((("A", "sand", heights[0]), ("B", "sea", heights[1])), start=1):
        row = DesignRow.objects.create(design=design, position=position, height_share=Decimal(height))
        portion = Portion.objects.create(
            row=row, letter=letter, name=words, pour_order=position, is_scented=letter == "A"
        )
    if color:
        PortionColor.objects.create(portion=portion, material=material("mica"), percent_of_portion_oils=Decimal(color))
    DesignPart.objects.create(design=design, part=make_part("seal", "seal"), on_every_bar=True)
    DesignPart.objects.create(design=design, part=make_part("shell", "topper"))
    DesignPart.objects.create(design=design, part=make_part("star", "topper"))
    return design


def make_part(key: str, kind: str) -> Part:
    figures = {
        "name": key.title(),
        "kind": kind,
        "unit_grams": Decimal(4),
        "attached_at": "pour" if kind == "topper" else "cut",
        "spare_percent": Decimal(25 if kind == "topper" else 10),
        "spare_least": 2 if kind == "topper" else 1,
    }
    return Part.objects.get_or_create(key=key, defaults=figures)[0]


def make_order(
    by: User,
    design: Design,
    bars: int = 12,
    *,
    parts: Mapping[str, int] | None = None,
    needed_by: date = NEEDED_BY,
    state: OrderState = OrderState.ACCEPTED,
    customer: Customer | None = None,
    **wish: Any,
) -> Order:
    """An order of one line; ``parts`` says on how many bars each part goes, by its key."""
    customer = customer or make_customer(by)
    part_bars = None if parts is None else {Part.objects.get(key=key).pk: count for key, count in parts.items()}
    line = LineWish(design, bars, part_bars=part_bars, **wish)
    order = create_order(customer=customer, terms={"needed_by": needed_by}, lines=[line], by=by)
    for step in (OrderState.QUOTED, OrderState.ACCEPTED):
        if order.state != state:
            order = move_order(order_id=order.pk, to=step, by=by)
    return order


def make_customer(by: User, name: str = "Mara Velden", **figures: Any) -> Customer:
    return save_customer(customer=Customer(name=name, **figures), avoid_materials=(), by=by, is_new=True)
