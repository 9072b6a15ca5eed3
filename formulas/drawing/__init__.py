"""Pictures as SVG text: the cut face of a bar, the superfat interval, fatty acids, the cure curve, the cut of a mold.

Coordinates are floats: they place ink on a page and never become grams. Every word that a person typed is escaped in
`markup`, colors are attributes or classes (never inline styles), and each picture has a title and a description.
"""

from formulas.drawing.bar_face import bar_cross_section_svg
from formulas.drawing.bar_records import DrawnBar, DrawnCell, DrawnPart, DrawnRow, DrawnSwirl
from formulas.drawing.cure_curve import CurvePoint, CurveRange, cure_curve_svg
from formulas.drawing.fatty_acids import fatty_acids_svg
from formulas.drawing.markup import Picture
from formulas.drawing.mold_cut import mold_cut_plan_svg
from formulas.drawing.superfat import superfat_interval_svg

__all__ = [
    "CurvePoint",
    "CurveRange",
    "DrawnBar",
    "DrawnCell",
    "DrawnPart",
    "DrawnRow",
    "DrawnSwirl",
    "Picture",
    "bar_cross_section_svg",
    "cure_curve_svg",
    "fatty_acids_svg",
    "mold_cut_plan_svg",
    "superfat_interval_svg",
]
