"""What may be typed as the color of a jug."""

from formulas.models import ColorBlend, Material
from formulas.reads.materials import material_names

COLOR_KINDS = (Material.Kind.COLORANT, Material.Kind.BOTANICAL, Material.Kind.ADDITIVE)


def color_names() -> list[str]:
    """Return the names of blends, then of single colorants."""
    return [*ColorBlend.objects.in_use().values_list("name", flat=True), *material_names(*COLOR_KINDS)]
