"""A design as a person wrote it, before it is kept: layers, cells, colors, parts and steps."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from formulas.cross_section import ColorDose, DesignCell, JugSpec, SwirlShare, WetAddition
from formulas.cross_section import DesignRow as Layer
from formulas.models import ColorBlend, Material, Part, Portion
from formulas.routes import Step


@dataclass(frozen=True)
class ColorDraft:
    material: Material
    percent_of_portion_oils: Decimal
    blend: ColorBlend | None = None


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
    lies: str = Portion.Lies.CELL
    share_percent: Decimal = Decimal(0)
    carrier_oil: Material | None = None
    carrier_per_gram: Decimal = Decimal(0)
    is_carrier_extra: bool = False
    wet_liquid: Material | None = None
    wet_percent: Decimal = Decimal(0)
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
    """Return the drawing that the jugs are reckoned from, without the drops."""
    lies = Portion.Lies
    return tuple(
        Layer(
            height=layer.height_share,
            cells=tuple(
                DesignCell(width=cell.width_share, **_jug(cell)) for cell in layer.cells if cell.lies == lies.CELL
            ),
            swirls=tuple(
                SwirlShare(percent=cell.share_percent, **_jug(cell)) for cell in layer.cells if cell.lies == lies.SWIRL
            ),
        )
        for layer in layers
    )


def drawn_drops(layers: Sequence[LayerDraft]) -> tuple[SwirlShare, ...]:
    """Return what is dropped over the whole bar, whichever layer it was written down with."""
    return tuple(
        SwirlShare(percent=cell.share_percent, **_jug(cell))
        for layer in layers
        for cell in layer.cells
        if cell.lies == Portion.Lies.DROP
    )


def wet_addition(liquid: Material | None, percent: Decimal) -> WetAddition | None:
    """Return what is stirred into a jug, with the figures of the liquid."""
    if liquid is None or not percent:
        return None
    return WetAddition(
        name=liquid.name,
        percent_of_batter=percent,
        water_fraction=Decimal(1) if liquid.water_percent is None else liquid.water_percent / 100,
        fat_fraction=(liquid.fat_percent or Decimal(0)) / 100,
        naoh_demand_g_per_g=liquid.alkali_demand_g_naoh_per_g or Decimal(0),
    )


def _jug(cell: CellDraft) -> dict[str, Any]:
    """Return what the jug holds, whatever shape it is poured in."""
    jug = JugSpec(
        letter=cell.letter,
        name=cell.name,
        scented=cell.is_scented,
        colors=tuple(
            ColorDose(
                color.material.name,
                color.percent_of_portion_oils,
                color.material.grams_per_teaspoon,
                is_carrier_extra=cell.is_carrier_extra,
                carrier_grams_per_gram=cell.carrier_per_gram,
            )
            for color in cell.colors
        ),
        accent_extra_percent=cell.accent_percent,
        wet=wet_addition(cell.wet_liquid, cell.wet_percent),
        trace=cell.trace,
        pour_order=cell.pour_order,
        note=cell.note,
    )
    return dict(vars(jug))
