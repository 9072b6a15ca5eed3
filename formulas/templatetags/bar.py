"""The picture of a design's cut face, for any page that names a design."""

from django import template

from formulas.design_records import design_drawing
from formulas.drawing import Picture, bar_cross_section_svg
from formulas.models import Design

register = template.Library()


@register.simple_tag
def bar_drawing(design: Design, size: str = "large", key: str = "") -> Picture:
    """Draw a design fetched with ``for_page()``: {% bar_drawing design %}, or {% bar_drawing design "small" %}.

    Large has a legend of the jugs. Give each picture of the same design on one page a key of its own.
    """
    return bar_cross_section_svg(
        design_drawing(design),
        key=key or f"design-{design.pk}",
        is_small=size == "small",
        has_legend=size == "legend",
    )
