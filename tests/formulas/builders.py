"""Rows for the tests of this app, made through the same actions as the pages use."""

from decimal import Decimal
from typing import Any

from formulas.actions.designs import create_design
from formulas.actions.materials import create_material
from formulas.actions.molds import create_mold
from formulas.actions.parts import create_part
from formulas.actions.revisions import LineDraft, approve_revision, create_formula
from formulas.design_drafts import CellDraft, ColorDraft, DesignDraft, DesignPartDraft, LayerDraft
from formulas.models import Design, Formula, FormulaRevision, Material, Mold, Part
from soapshop.models import User


def fat(name: str, low: str, plan: str, high: str, *, by: User, **figures: Any) -> Material:
    wanted = {"sap_low": Decimal(low), "sap_plan": Decimal(plan), "sap_high": Decimal(high)}
    density = {"density_g_per_ml": Decimal("0.905")}
    return create_material(kind="fat", figures={"name": name, **wanted, **density, **figures}, by=by)


def naoh(*, by: User, low: str = "97", plan: str = "98", high: str = "99", name: str = "Sodium hydroxide") -> Material:
    purity = {
        "purity_low_percent": Decimal(low),
        "purity_percent": Decimal(plan),
        "purity_high_percent": Decimal(high),
    }
    return create_material(kind="alkali", figures={"name": name, "alkali_kind": "NaOH", **purity}, by=by)


def liquid(name: str, *, by: User, water_percent: str = "100") -> Material:
    return create_material(kind="liquid", figures={"name": name, "water_percent": Decimal(water_percent)}, by=by)


def water(*, by: User) -> Material:
    return liquid("Water", by=by)


def colorant(name: str, *, by: User, spoon: str | None = "3.2", color: str = "#4f7a4b") -> Material:
    grams = None if spoon is None else Decimal(spoon)
    return create_material(
        kind="colorant", figures={"name": name, "grams_per_teaspoon": grams, "color_hex": color}, by=by
    )


def reference_lines(*, by: User) -> list[LineDraft]:
    """The worked formula of the chemistry tests: 40 % olive, 30 % coconut, 30 % palm."""
    return [
        LineDraft(fat("Olive oil", "187", "191.5", "196", by=by), "oils", Decimal(40)),
        LineDraft(fat("Coconut oil", "248", "256.5", "265", by=by), "oils", Decimal(30)),
        LineDraft(fat("Palm oil", "190", "199.5", "209", by=by), "oils", Decimal(30)),
        LineDraft(naoh(by=by), "alkali", Decimal(100)),
        LineDraft(water(by=by), "liquid", Decimal(100)),
    ]


def draft_formula(
    name: str = "Recipe R", *, by: User, lines: list[LineDraft] | None = None, **figures: Any
) -> FormulaRevision:
    wanted = {"superfat_percent": Decimal(5), "liquid_basis": "lye_concentration", "liquid_value": Decimal(33)}
    return create_formula(
        name=name, figures=wanted | figures, lines=reference_lines(by=by) if lines is None else lines, by=by
    )


def approved_formula(name: str = "Recipe R", *, by: User, **figures: Any) -> FormulaRevision:
    draft = draft_formula(name, by=by, **figures)
    return approve_revision(revision_id=draft.pk, override_reason="Tried at the bench, holds.", by=by)


def loaf(name: str = "Ten-inch loaf", *, by: User, **figures: Any) -> Mold:
    """254 × 89 × 70 mm, cut into ten bars of 25.4 mm."""
    sizes = {
        "length_mm": Decimal(254),
        "width_mm": Decimal(89),
        "height_mm": Decimal(70),
        "bar_thickness_mm": Decimal("25.4"),
        "usable_bars": 10,
    }
    return create_mold(kind="loaf", figures={"name": name, **sizes, **figures}, by=by)


def seal(name: str = "Leaf seal", *, by: User, **figures: Any) -> Part:
    wanted = {"name": name, "kind": "seal", "unit_grams": Decimal("2.5"), "attach_window_days": 2}
    return create_part(figures=wanted | figures, ingredients=(), by=by)


def layers(*cells_of_layers: tuple[CellDraft, ...]) -> tuple[LayerDraft, ...]:
    return tuple(LayerDraft(Decimal(1), cells) for cells in cells_of_layers)


def striped_design(
    name: str = "Harbor stripes",
    *,
    by: User,
    formula: Formula | None = None,
    mold: Mold | None = None,
    parts: tuple[Part, ...] = (),
) -> Design:
    """Three layers of one height: cream; moss and clay side by side; cream once more."""
    formula = formula or draft_formula(by=by).formula
    green = Material.objects.filter(name="Harbor green").first() or colorant("Harbor green", by=by)
    cream, moss, clay = (
        CellDraft(letter="A", name="cream"),
        CellDraft(letter="B", name="moss", pour_order=2, colors=(ColorDraft(green, Decimal("0.6")),)),
        CellDraft(letter="C", name="clay", pour_order=2, width_share=Decimal(3)),
    )
    figures = {"name": name, "formula": formula, "mold": mold or loaf(by=by), "identity": "Soap"}
    draft = DesignDraft(
        figures=figures,
        layers=layers((cream,), (moss, clay), (cream,)),
        parts=tuple(DesignPartDraft(part, on_every_bar=True) for part in parts),
    )
    return create_design(draft=draft, by=by)
