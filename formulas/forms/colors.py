"""A color by its name: a blend of the workshop, or a single colorant."""

from formulas.forms.boxes import material_named
from formulas.models import ColorBlend, Material
from formulas.reads.blends import COLOR_KINDS


def color_named(name: str) -> Material | ColorBlend:
    """Return the blend or colorant of this name. Raises forms.ValidationError naming what comes near it."""
    blend = ColorBlend.objects.filter(name__iexact=name).first()
    return blend if blend is not None else material_named(name, kinds=COLOR_KINDS)
