"""Rows to frozen records for designs and molds: geometry, jugs, finishes and the way a design is made."""

from decimal import Decimal

from formulas import geometry
from formulas.cross_section import ColorDose, DesignCell
from formulas.cross_section import DesignRow as RowDrawing
from formulas.models import Design, Mold, Portion

NO_SIZE = Decimal(0)


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
        RowDrawing(height=row.height_share, cells=tuple(_cell(portion) for portion in row.portions.all()))
        for row in design.rows.all()
    )
    return rows or (RowDrawing(height=Decimal(1), cells=(DesignCell(letter="A", name="all of it"),)),)


def _cell(portion: Portion) -> DesignCell:
    return DesignCell(
        letter=portion.letter,
        name=portion.name,
        width=portion.width_share,
        scented=portion.is_scented,
        colors=tuple(
            ColorDose(
                name=color.material.name,
                percent_of_portion_oils=color.percent_of_portion_oils,
                grams_per_level_tsp=color.material.grams_per_teaspoon,
            )
            for color in portion.colors.all()
        ),
        accent_extra_percent=portion.accent_percent,
        trace=portion.trace,
        pour_order=portion.pour_order,
        note=portion.note,
    )
