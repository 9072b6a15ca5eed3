"""Rows to frozen records for designs and molds: geometry, jugs, the picture, the steps."""

from decimal import Decimal
from typing import Any, Literal, cast

from formulas import geometry
from formulas.cross_section import ColorDose, DesignCell, JugSpec, SwirlShare
from formulas.cross_section import DesignRow as RowDrawing
from formulas.design_drafts import wet_addition
from formulas.drawing import DrawnBar, DrawnCell, DrawnPart, DrawnRow, DrawnSwirl
from formulas.models import Design, DesignPart, DesignRow, Mold, Part, Portion
from formulas.routes import Step

NO_SIZE = Decimal(0)
EVERY_BAR, SOME_BARS = "every bar", "some bars"
# A cavity has a volume and no sides; its bar is drawn as a face of these sizes.
CAVITY_FACE_MM = (Decimal(75), Decimal(50))


def mold_of(mold: Mold) -> geometry.Mold:
    """Return the mold's geometry. Raises MoldError, with the mend, when its sizes do not fit together."""
    kind = Mold.Kind
    if mold.kind == kind.SLAB:
        return geometry.SlabMold(
            length_mm=mold.length_mm or NO_SIZE,
            width_mm=mold.width_mm or NO_SIZE,
            height_mm=mold.height_mm or NO_SIZE,
            rows=mold.rows or 0,
            columns=mold.columns or 0,
            layers=mold.layers,
        )
    if mold.kind == kind.CAVITY:
        return geometry.CavityMold(cavity_ml=mold.cavity_ml or NO_SIZE, cavities=mold.cavities or 0)
    if mold.kind == kind.COLUMN:
        return geometry.ColumnMold(
            diameter_mm=mold.diameter_mm or NO_SIZE,
            length_mm=mold.length_mm or NO_SIZE,
            bar_thickness_mm=mold.bar_thickness_mm or NO_SIZE,
        )
    return geometry.LoafMold(
        length_mm=mold.length_mm or NO_SIZE,
        width_mm=mold.width_mm or NO_SIZE,
        height_mm=mold.height_mm or NO_SIZE,
        bar_thickness_mm=mold.bar_thickness_mm or NO_SIZE,
    )


def drawing_rows(design: Design) -> tuple[RowDrawing, ...]:
    """Return the layers of a design, lowest first. A design without layers is one layer of one jug."""
    rows = tuple(
        RowDrawing(
            height=row.height_share,
            cells=tuple(
                DesignCell(width=portion.width_share, **_jug(portion)) for portion in lying(row, Portion.Lies.CELL)
            ),
            swirls=tuple(
                SwirlShare(percent=portion.share_percent, **_jug(portion)) for portion in lying(row, Portion.Lies.SWIRL)
            ),
        )
        for row in design.rows.all()
    )
    return rows or (RowDrawing(height=Decimal(1), cells=(DesignCell(letter="A", name="all of it"),)),)


def drawing_drops(design: Design) -> tuple[SwirlShare, ...]:
    """Return what is dropped over the whole bar."""
    return tuple(
        SwirlShare(percent=portion.share_percent, **_jug(portion))
        for row in design.rows.all()
        for portion in lying(row, Portion.Lies.DROP)
    )


def lying(row: DesignRow, place: str) -> list[Portion]:
    """Return the portions of a layer that lie in this way; fetch the portions with it."""
    return [portion for portion in row.portions.all() if portion.lies == place]


def _jug(portion: Portion) -> dict[str, Any]:
    """Return what the jug holds, whatever shape it is poured in."""
    jug = JugSpec(
        letter=portion.letter,
        name=portion.name,
        scented=portion.is_scented,
        colors=tuple(
            ColorDose(
                name=color.material.name,
                percent_of_portion_oils=color.percent_of_portion_oils,
                grams_per_level_tsp=color.material.grams_per_teaspoon,
                is_carrier_extra=portion.is_carrier_extra,
                carrier_grams_per_gram=portion.carrier_per_gram,
            )
            for color in portion.colors.all()
        ),
        accent_extra_percent=portion.accent_percent,
        wet=wet_addition(portion.wet_liquid, portion.wet_percent),
        trace=portion.trace,
        pour_order=portion.pour_order,
        note=portion.note,
    )
    return dict(vars(jug))


def face_mm(mold: Mold) -> tuple[Decimal, Decimal]:
    """Return width and height of the cut face: layers lie one above the other as they were poured."""
    filled = 1 - mold.headroom_percent / 100
    sides = (mold.width_mm, mold.height_mm)
    if mold.kind == Mold.Kind.COLUMN:
        sides = (mold.diameter_mm, mold.diameter_mm)
        filled = Decimal(1)
    elif mold.kind == Mold.Kind.SLAB and mold.length_mm and mold.columns:
        sides = (mold.length_mm / mold.columns, mold.height_mm)
    width, height = sides
    return (width, height * filled) if width and height else CAVITY_FACE_MM


def is_round_mold(mold: Mold) -> bool:
    return mold.kind == Mold.Kind.COLUMN


def design_drawing(design: Design, *, bars_by_part: dict[int, str] | None = None) -> DrawnBar:
    """Return what the picture of a design is drawn from.

    ``bars_by_part`` says by part id on which bars a part stands, such as "5 of 12 bars"; parts not named in it are
    left out. Without it every part the design can carry is drawn. Fetch the design with ``for_page()``.
    """
    width, height = face_mm(design.mold)
    return DrawnBar(
        title=design.name,
        width_mm=width,
        height_mm=height,
        rows=drawn_rows(design),
        drops=tuple(_drawn_swirl(cell) for row in design.rows.all() for cell in lying(row, Portion.Lies.DROP)),
        parts=tuple(
            drawn_part(carried.part, _where(carried, bars_by_part))
            for carried in design.parts.all()
            if bars_by_part is None or carried.part_id in bars_by_part
        ),
        is_beveled=design.is_beveled,
        is_round=is_round_mold(design.mold),
    )


def drawn_rows(design: Design) -> tuple[DrawnRow, ...]:
    rows = tuple(
        DrawnRow(
            height=row.height_share,
            cells=tuple(
                DrawnCell(cell.letter, cell.color_hex, cell.width_share, cell.name)
                for cell in lying(row, Portion.Lies.CELL)
            ),
            swirls=tuple(_drawn_swirl(cell) for cell in lying(row, Portion.Lies.SWIRL)),
        )
        for row in design.rows.all()
    )
    whole = (DrawnRow(Decimal(1), (DrawnCell("A", Portion._meta.get_field("color_hex").default),)),)
    return tuple(row for row in rows if row.cells) or whole


def _drawn_swirl(portion: Portion) -> DrawnSwirl:
    return DrawnSwirl(portion.letter, portion.color_hex, portion.share_percent, portion.name)


def _where(carried: DesignPart, bars_by_part: dict[int, str] | None) -> str:
    if bars_by_part is not None:
        return bars_by_part[carried.part_id]
    return EVERY_BAR if carried.on_every_bar else SOME_BARS


def drawn_part(part: Part, on_bars: str) -> DrawnPart:
    kind = cast(Literal["topper", "seal", "embed", "dough", "stamp"], part.kind)
    return DrawnPart(kind=kind, name=part.name, color_hex=part.color_hex, on_bars=on_bars)


def steps_of(design: Design) -> tuple[Step, ...]:
    """Return the route of a design as frozen steps, in its order."""
    return tuple(Step(**{name: getattr(row, name) for name in Step.__dataclass_fields__}) for row in design.steps.all())
