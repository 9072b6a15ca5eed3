"""The lye itself: its density, the heat it sets free, how warm it may get."""

from bisect import bisect_left
from decimal import Decimal

from formulas.chemistry.constants import NAOH_G_PER_MOL
from formulas.chemistry.figures import (
    KOH_DISSOLVING_HEAT_LIMIT,
    NAOH_DISSOLVING_HEAT_LIMIT,
    NAOH_DISSOLVING_HEATS,
    NAOH_SOLUTIONS,
    SOLUTION_CELSIUS,
)

Points = tuple[tuple[Decimal, Decimal], ...]


def interpolated(points: Points, at: Decimal) -> Decimal | None:
    """Return the straight-line value between the two nearest points, None outside the table."""
    places = [place for place, _ in points]
    if not places[0] <= at <= places[-1]:
        return None
    upper = max(bisect_left(places, at), 1)
    (left, low), (right, high) = points[upper - 1], points[upper]
    return low + (high - low) * (at - left) / (right - left)


def lye_density(percent: Decimal, celsius: Decimal) -> Decimal | None:
    """Return g/mL of a lye of so many percent pure NaOH; None outside 2 to 50 % or 10 to 80 C."""
    by_temperature: list[tuple[Decimal, Decimal]] = []
    for column, temperature in enumerate(SOLUTION_CELSIUS, start=1):
        density = interpolated(tuple((row[0], row[column]) for row in NAOH_SOLUTIONS), percent)
        if density is None:
            return None
        by_temperature.append((temperature, density))
    return interpolated(tuple(by_temperature), celsius)


def lye_heat_capacity(percent: Decimal) -> Decimal | None:
    """Return kJ/(kg K) at 60 C, the middle of the rise from a cool room; None outside 2 to 50 %."""
    return interpolated(tuple((row[0], row[-1]) for row in NAOH_SOLUTIONS), percent)


def heat_of_solution(water_mol_per_alkali_mol: Decimal, *, kind: str = "NaOH") -> Decimal:
    """Return kJ set free per mol of alkali. KOH, and NaOH in very much water, give the value for endless water."""
    if kind == "KOH":
        return KOH_DISSOLVING_HEAT_LIMIT
    points: Points = tuple((row[0], row[1]) for row in NAOH_DISSOLVING_HEATS)
    if water_mol_per_alkali_mol < points[0][0]:
        return points[0][1]  # still less water frees still less heat: a ceiling
    heat = interpolated(points, water_mol_per_alkali_mol)
    return NAOH_DISSOLVING_HEAT_LIMIT if heat is None else heat


def temperature_rise(heat_kj: Decimal, *, lye_grams: Decimal, heat_capacity: Decimal) -> Decimal:
    """Return kelvin if no heat is lost: a ceiling, real mixing ends lower."""
    return heat_kj / (lye_grams / 1000 * heat_capacity)


def molarity(percent: Decimal, density_g_per_ml: Decimal) -> Decimal:
    """Return mol NaOH per liter of lye."""
    return percent * 10 * density_g_per_ml / NAOH_G_PER_MOL


def lye_liters(naoh_grams: Decimal, *, strength_fraction: Decimal, density_g_per_ml: Decimal) -> Decimal:
    """Return the volume of a lye of known strength and density that holds the NaOH or KOH given."""
    return naoh_grams / strength_fraction / density_g_per_ml / 1000


def measured_strength(
    *, alkali_grams: Decimal, water_grams: Decimal, steamed_off_grams: Decimal = Decimal(0)
) -> Decimal:
    """Return the strength of a stock solution after water has steamed off, as a fraction of its present mass."""
    return alkali_grams / (alkali_grams + water_grams - steamed_off_grams)


def strength_from_weighing(*, alkali_grams: Decimal, tare_grams: Decimal, cooled_gross_grams: Decimal) -> Decimal:
    """Return the strength of a stock solution from its container's empty and cooled full mass."""
    return alkali_grams / (cooled_gross_grams - tare_grams)
