"""A design as a person wrote it, before it is kept: layers, cells, colors, parts and steps."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from formulas.cross_section import ColorDose, DesignCell
from formulas.cross_section import DesignRow as Layer
from formulas.models import Material, Part, Portion
from formulas.routes import Step


@dataclass(frozen=True)
class ColorDraft:
    material: Material
    percent_of_portion_oils: Decimal


@dataclass(frozen=True)
class CellDraft:
    """One cell of a layer: the jug it is poured from, how wide it is, and what goes into the jug."""

    letter: str
    name: str
    width_share: Decimal = Decimal(1)
    color_hex: str = "#e8dfc8"
    is_scented: bool = True
    trace: str = Portion.Trace.LIGHT
    pour_order: int = 1
    accent_percent: Decimal = Decimal(0)
    note: str = ""
    colors: tuple[ColorDraft, ...] = ()


@dataclass(frozen=True)
class LayerDraft:
    """One layer as high as its parts; the first layer of a design lies at the bottom."""

    height_share: Decimal
    cells: tuple[CellDraft, ...]


@dataclass(frozen=True)
class DesignPartDraft:
    part: Part
    on_every_bar: bool = False
    pieces_per_bar: int = 1


@dataclass(frozen=True)
class DesignDraft:
    """A whole design as a person wrote it. ``steps`` None keeps the route, or starts a new design's usual one."""

    figures: dict[str, Any]
    layers: tuple[LayerDraft, ...]
    parts: tuple[DesignPartDraft, ...] = ()
    steps: tuple[Step, ...] | None = None


def drawn_layers(layers: Sequence[LayerDraft]) -> tuple[Layer, ...]:
    """Return the drawing that the jugs are reckoned from."""
    return tuple(
        Layer(
            height=layer.height_share,
            cells=tuple(
                DesignCell(
                    letter=cell.letter,
                    name=cell.name,
                    width=cell.width_share,
                    scented=cell.is_scented,
                    colors=tuple(
                        ColorDose(color.material.name, color.percent_of_portion_oils, color.material.grams_per_teaspoon)
                        for color in cell.colors
                    ),
                    accent_extra_percent=cell.accent_percent,
                    trace=cell.trace,
                    pour_order=cell.pour_order,
                    note=cell.note,
                )
                for cell in layer.cells
            ),
        )
        for layer in layers
    )
