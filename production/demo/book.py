"""The demo shop's formulas, molds, parts and designs."""

from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any

from formulas.actions.designs import create_design
from formulas.actions.molds import create_mold
from formulas.actions.parts import IngredientDraft, create_part
from formulas.actions.revisions import LineDraft, approve_revision, create_formula, revise_formula, save_draft
from formulas.design_drafts import CellDraft, ColorDraft, DesignDraft, DesignPartDraft, LayerDraft
from formulas.models import ColorBlend, Design, Formula, FormulaRevision, Mold, Part
from production.demo.recipes import DOUGH, GARDEN, OAT, ORCHARD, RECIPES, SHEA, SILK, STANDARD, Lines, Recipe
from production.demo.shelf import Shelf
from soapshop.models import User


@dataclass
class Book:
    """What the demo wrote, by name."""

    formulas: dict[str, Formula] = field(default_factory=dict)
    molds: dict[str, Mold] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    designs: dict[str, Design] = field(default_factory=dict)


def write_book(shelf: Shelf, blends: dict[str, ColorBlend], *, by: User) -> Book:
    book = Book()
    for recipe in RECIPES:
        book.formulas[recipe.name] = _approved(recipe, shelf, by=by).formula
    _second_thoughts(book, shelf, by=by)
    _molds(book, by=by)
    _parts(book, shelf, by=by)
    _designs(book, shelf, blends, by=by)
    return book


def _approved(recipe: Recipe, shelf: Shelf, *, by: User) -> FormulaRevision:
    draft = create_formula(name=recipe.name, figures=_figures(recipe), lines=_lines(recipe.lines, shelf), by=by)
    return approve_revision(
        revision_id=draft.pk, override_reason="Made for two years; alkali checked on every batch.", by=by
    )


def _figures(recipe: Recipe) -> dict[str, Any]:
    return {
        "superfat_percent": Decimal(recipe.superfat),
        "liquid_basis": "lye_concentration",
        "liquid_value": Decimal(recipe.lye),
        "cure_days": recipe.cure_days,
        "least_cure_days": 28,
        "process_note": recipe.note,
    }


def _lines(lines: Lines, shelf: Shelf) -> list[LineDraft]:
    return [LineDraft(shelf[word], stage, Decimal(percent)) for word, stage, percent in lines]


def _second_thoughts(book: Book, shelf: Shelf, *, by: User) -> None:
    """Shea Evening went to more lye; Orchard Night has a draft that nobody has approved yet."""
    shea = book.formulas[SHEA.name]
    draft = revise_formula(formula_id=shea.pk, reason="Sets too slowly in winter: a little less water.", by=by)
    stronger = _figures(SHEA) | {"liquid_value": Decimal(33)}
    save_draft(revision_id=draft.pk, seen_saves=0, figures=stronger, lines=_lines(SHEA.lines, shelf), by=by)
    approve_revision(revision_id=draft.pk, override_reason="Tried on a small loaf; checked.", by=by)
    orchard = book.formulas[ORCHARD.name]
    revise_formula(formula_id=orchard.pk, reason="Try 2.5 % scent: 3 % hurries the batter.", by=by)


def _molds(book: Book, *, by: User) -> None:
    loaf = {"length_mm": "310", "width_mm": "85", "height_mm": "65", "bar_thickness_mm": "25", "end_trim_mm": "5"}
    for name, kind, figures, bars, owned in (
        ("Long loaf, 12 bars", "loaf", loaf, 12, 3),
        ("Half loaf, 6 bars", "loaf", loaf | {"length_mm": "160"}, 6, 1),
        (
            "Slab, 40 guest bars",
            "slab",
            {"length_mm": "400", "width_mm": "250", "height_mm": "40", "rows": 5, "columns": 8},
            40,
            1,
        ),
        ("Oval cavities, 12", "cavity", {"cavity_ml": "95", "cavities": 12}, 12, 2),
    ):
        sizes = {key: size if isinstance(size, int) else Decimal(str(size)) for key, size in figures.items()}
        wanted = {"name": name, "usable_bars": bars, "owned": owned, "headroom_percent": Decimal("2.5"), **sizes}
        book.molds[name] = create_mold(kind=kind, figures=wanted, by=by)
    _poured_flat(book, by=by)


def _poured_flat(book: Book, *, by: User) -> None:
    """The long loaf filled low and cut into a grid: eight thin bars for a soap dish."""
    box = book.molds["Long loaf, 12 bars"]
    sizes = {"length_mm": box.length_mm, "width_mm": box.width_mm, "height_mm": box.height_mm}
    cut = {"rows": 2, "columns": 4, "usable_bars": 8, "headroom_percent": Decimal("53.85")}
    create_mold(kind="slab", figures={"name": "Long loaf, poured flat", **sizes, **cut}, box=box, by=by)


def _parts(book: Book, shelf: Shelf, *, by: User) -> None:
    for key, name, kind, grams, at, spare, least, window, color in (
        ("seal-knot", "Knot seal", "seal", "4", "cut", "10", 1, 2, "#b98b4e"),
        ("topper-shell", "Shell topper", "topper", "7", "pour", "25", 2, None, "#efe3d0"),
        ("topper-star", "Star topper", "topper", "6", "pour", "25", 2, None, "#d9b44a"),
    ):
        book.parts[key] = create_part(
            figures={
                "name": name,
                "kind": kind,
                "unit_grams": Decimal(grams),
                "attached_at": at,
                "made_ahead_least_days": 1,
                "made_ahead_most_days": 60,
                "attach_window_days": window,
                "spare_percent": Decimal(spare),
                "spare_least": least,
                "color_hex": color,
                "minutes_per_piece": Decimal(3),
                "formula": book.formulas[DOUGH.name],
                "packing": "a box of its own" if kind == "topper" else "",
            },
            ingredients=(),
            by=by,
        )
    book.parts["stamp-initials"] = create_part(
        figures={
            "name": "Initials stamp",
            "kind": "stamp",
            "unit_grams": Decimal("0.05"),
            "attached_at": "cut",
            "attach_window_days": 7,
            "color_hex": "#b9975b",
            "minutes_per_piece": Decimal(1),
            "note": "Mica brushed into the print, dry.",
        },
        ingredients=[IngredientDraft(shelf["mica"], Decimal(100))],
        by=by,
    )


def _cell(shelf: Shelf, letter: str, name: str, color: str, *doses: tuple[str, str], **figures: Any) -> CellDraft:
    colors = tuple(ColorDraft(shelf[word], Decimal(percent)) for word, percent in doses)
    return CellDraft(letter=letter, name=name, color_hex=color, colors=colors, **figures)


def _designs(book: Book, shelf: Shelf, blends: dict[str, ColorBlend], *, by: User) -> None:
    white, blue, red, black, mica = "titanium_dioxide", "ultramarine", "iron_oxide", "iron_oxide_black", "mica"
    sand = _cell(shelf, "A", "sand", "#e4d3b0", (red, "0.05"))
    tide = _cell(shelf, "B", "tide", "#3f6f8c", (blue, "0.8"), pour_order=2)
    foam = _cell(shelf, "C", "foam", "#f4f1e8", (white, "0.6"), pour_order=3, is_scented=False)
    shade = blends["Dune rope"]
    rope = (ColorDraft(shelf[mica], Decimal("0.45"), shade), ColorDraft(shelf[red], Decimal("0.15"), shade))
    stripe = (
        LayerDraft(Decimal(2), (_cell(shelf, "A", "cream", "#f2e9d6", (white, "0.5")),)),
        LayerDraft(
            Decimal(3),
            (
                _cell(shelf, "B", "brick", "#a4472f", (red, "0.6"), pour_order=2),
                _cell(shelf, "C", "harbor blue", "#30567a", (blue, "0.9"), pour_order=2, trace="medium"),
                replace(_cell(shelf, "D", "rope", "#c9a46b", pour_order=2), colors=rope),
            ),
        ),
        LayerDraft(Decimal(2), (_cell(shelf, "E", "slate", "#4a4f57", (black, "0.35"), pour_order=3),)),
    )
    plain = (LayerDraft(Decimal(1), (_cell(shelf, "A", "oat cream", "#e9dcc0"),)),)
    wall = (
        LayerDraft(Decimal(1), (_cell(shelf, "A", "stone", "#8f8a80", (black, "0.12")),)),
        LayerDraft(Decimal(1), (_cell(shelf, "B", "lilac", "#9c86a8", ("ultramarine", "0.25"), pour_order=2),)),
    )
    night = (
        LayerDraft(Decimal(3), (_cell(shelf, "A", "night", "#2d2f3a", (black, "0.9")),)),
        LayerDraft(Decimal(1), (_cell(shelf, "B", "lantern", "#d8a23c", (mica, "0.8"), pour_order=2),)),
    )
    pebble = (LayerDraft(Decimal(1), (_cell(shelf, "A", "pebble", "#b9b4a6", (black, "0.06")),)),)
    fog = (
        LayerDraft(Decimal(2), (_cell(shelf, "A", "fog", "#f1efe9", (white, "0.5")),)),
        LayerDraft(Decimal(1), (_cell(shelf, "B", "bell", "#6d7680", (black, "0.2"), pour_order=2, is_scented=False),)),
    )
    keys = ("seal-knot", "topper-shell", "topper-star", "stamp-initials")
    seal, shell, star, stamp = (book.parts[key] for key in keys)
    tides = (LayerDraft(Decimal(2), (sand,)), LayerDraft(Decimal(2), (tide,)), LayerDraft(Decimal(1), (foam,)))
    all_parts = ((seal, True), (shell, False), (star, False), (stamp, False))
    for name, formula, mold, layers, parts, finish in (
        ("Two Tides", SHEA.name, "Long loaf, 12 bars", tides, all_parts, True),
        ("Harbor Stripe", STANDARD.name, "Long loaf, 12 bars", stripe, ((seal, True), (shell, False)), True),
        ("Oat Morning", OAT.name, "Long loaf, 12 bars", plain, (), False),
        ("Garden Wall", GARDEN.name, "Long loaf, 12 bars", wall, ((seal, False),), True),
        ("Night Lantern", ORCHARD.name, "Long loaf, 12 bars", night, ((star, False),), False),
        ("Guest Pebble", GARDEN.name, "Slab, 40 guest bars", pebble, (), False),
        ("Fog Bell", SILK.name, "Long loaf, 12 bars", fog, (), False),
    ):
        book.designs[name] = create_design(
            draft=DesignDraft(
                figures={
                    "name": name,
                    "formula": book.formulas[formula],
                    "mold": book.molds[mold],
                    "identity": "Soap",
                    "is_beveled": finish,
                    "is_stamped": False,
                },
                layers=layers,
                parts=tuple(DesignPartDraft(part, on_every_bar=every) for part, every in parts),
            ),
            by=by,
        )
