"""Density of an oil in the warm pot, from the relative density that a source prints."""

from decimal import Decimal

POT_CELSIUS = Decimal(40)
# g/mL for each degree: gravities of oils at 15 and 100 C, Soap-Making Manual, 1922.
CHANGE_PER_DEGREE = Decimal("-0.00063")
# Pure water, g/mL: handbook values, from memory; 20 C is the one that most sources use.
WATER_G_PER_ML = {
    4: Decimal("1.0000"),
    15: Decimal("0.9991"),
    20: Decimal("0.9982"),
    25: Decimal("0.9970"),
    30: Decimal("0.9957"),
}


def density_in_the_pot(relative_density: Decimal, *, oil_celsius: int, water_celsius: int) -> Decimal:
    """Return g/mL at 40 C. Relative density a/b is the oil at a over water at b; it must be liquid at a."""
    at_its_own = relative_density * WATER_G_PER_ML[water_celsius]
    return at_its_own + CHANGE_PER_DEGREE * (POT_CELSIUS - oil_celsius)
