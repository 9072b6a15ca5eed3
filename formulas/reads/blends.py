"""What may be typed as the color of a jug, and what a blend comes to in grams and spoons."""

from dataclasses import dataclass
from decimal import Decimal

from formulas.models import ColorBlend, ColorBlendPart, Material
from formulas.reads.materials import material_names

COLOR_KINDS = (Material.Kind.COLORANT, Material.Kind.BOTANICAL, Material.Kind.ADDITIVE)


def color_names() -> list[str]:
    """Return the names of blends, then of single colorants."""
    return [*ColorBlend.objects.in_use().values_list("name", flat=True), *material_names(*COLOR_KINDS)]


JUG_OILS_GRAMS = Decimal(500)  # a jug to show the doses by: own choice


@dataclass(frozen=True)
class BlendShare:
    """One colorant of a blend in a jug with ``JUG_OILS_GRAMS`` of oils, from the lower to the upper dose."""

    part: ColorBlendPart
    share_percent: Decimal
    low_grams: Decimal | None
    high_grams: Decimal | None

    @property
    def low_teaspoons(self) -> Decimal | None:
        return self._teaspoons(self.low_grams)

    @property
    def high_teaspoons(self) -> Decimal | None:
        return self._teaspoons(self.high_grams)

    def _teaspoons(self, grams: Decimal | None) -> Decimal | None:
        """Level spoons by what a spoon of this very colorant weighs; None where nobody weighed one."""
        spoon = self.part.material.grams_per_teaspoon
        return None if grams is None or not spoon else grams / spoon


def blend_shares(blend: ColorBlend) -> list[BlendShare]:
    """Return the colorants of a blend with their parts, fetched with it."""
    parts = list(blend.parts.all())
    whole = sum((part.parts for part in parts), Decimal(0)) or Decimal(1)
    return [
        BlendShare(
            part,
            100 * part.parts / whole,
            _grams(part.parts / whole, blend.dose_low_percent),
            _grams(part.parts / whole, blend.dose_high_percent),
        )
        for part in parts
    ]


def _grams(share: Decimal, dose_percent: Decimal | None) -> Decimal | None:
    return None if dose_percent is None else JUG_OILS_GRAMS * dose_percent * share / 100
