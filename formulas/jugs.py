"""One jug of batter: what it holds, its own water and superfat, and what to beware of."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from formulas.chemistry.results import FormulaResult
from formulas.cross_section import PortionError, WetAddition

GRAMS_PER_POUND = Decimal("453.59237")  # exact by definition, international yard and pound agreement of 1959
TINTS_LATHER_TSP_PER_POUND = Decimal(2)  # level teaspoons per pound of oils in the portion: public maker threads
WATER_ALARM_POINTS = Decimal(5)  # percent points away from the pot: own choice


@dataclass(frozen=True)
class BatterMade:
    """The batter to be portioned, without color powders and without what single jugs get on top."""

    batter_grams: Decimal
    oils_grams: Decimal
    water_grams: Decimal | None = None
    superfat_fraction: Decimal | None = None
    naoh_g_per_g_oils: Decimal | None = None  # pure, at a superfat of 0; tells what an acid liquid takes of the lye

    @classmethod
    def of(cls, result: FormulaResult) -> "BatterMade":
        """Return the batter of a computed formula. Raises PortionError while it cannot be made."""
        if result.batch_grams is None or not result.oils_grams:
            raise PortionError("This formula cannot be made as it stands. Look at the formula first.")
        whole = result.pure_naoh_at_zero_superfat_grams
        return cls(
            batter_grams=result.batch_grams,
            oils_grams=result.oils_grams,
            water_grams=result.water_in_batch_grams,
            superfat_fraction=None if result.superfat is None else result.superfat.planned / 100,
            naoh_g_per_g_oils=None if whole is None else whole / result.oils_grams,
        )


@dataclass(frozen=True)
class ColorPlan:
    name: str
    grams: Decimal
    level_teaspoons: Decimal | None
    carrier_oil_grams: Decimal
    is_carrier_extra: bool


@dataclass(frozen=True)
class PortionPlan:
    """One jug. Batter grams are what it holds in the end; from-pot grams leave out the oil held back for its color."""

    letter: str
    name: str
    share_fraction: Decimal
    batter_grams: Decimal
    oils_grams: Decimal
    from_pot_grams: Decimal
    held_back_oil_grams: Decimal
    extra_oil_grams: Decimal
    colors: tuple[ColorPlan, ...]
    vessel_allowance_grams: Decimal
    scented: bool
    trace: str
    pour_order: int
    note: str
    added_water_grams: Decimal = Decimal(0)
    wet: WetAddition | None = None
    wet_grams: Decimal = Decimal(0)  # on top of the batter, as the oil that is extra
    water_percent: Decimal | None = None
    superfat_fraction: Decimal | None = None
    warnings: tuple[str, ...] = ()

    @property
    def is_apart(self) -> bool:
        """Whether what goes into this jug alone makes its superfat or its water differ from the pot's."""
        return bool(self.held_back_oil_grams or self.extra_oil_grams or self.wet_grams or self.added_water_grams)


def settled_jugs(jugs: tuple[PortionPlan, ...], made: BatterMade) -> Iterable[PortionPlan]:
    """Yield the jugs with their water, their superfat and their warnings; the pot gives what none held back."""
    return (_with_warnings(_with_shares_of_pot(jug, jugs, made), made) for jug in jugs)


def jug_superfat_fraction(
    jug: PortionPlan, *, pot_batter_grams: Decimal, pot_oils_grams: Decimal, made: BatterMade
) -> Decimal | None:
    """Return the superfat of one jug: its share of the pot's lye against all fat that is in the jug.

    Lye is counted in grams of oils it turns to soap; what an acid liquid takes of it is gone before that.
    """
    if made.superfat_fraction is None:
        return None
    pot_share = jug.from_pot_grams / pot_batter_grams
    fats = pot_share * pot_oils_grams + jug.held_back_oil_grams + jug.extra_oil_grams
    lye_for_oils = (1 - made.superfat_fraction) * made.oils_grams * pot_share
    if jug.wet is not None:
        fats += jug.wet_grams * jug.wet.fat_fraction
        if made.naoh_g_per_g_oils:
            lye_for_oils -= jug.wet_grams * jug.wet.naoh_demand_g_per_g / made.naoh_g_per_g_oils
    return 1 - lye_for_oils / fats


def most_color_teaspoons(oils_grams: Decimal, *, tsp_per_pound: Decimal = TINTS_LATHER_TSP_PER_POUND) -> Decimal:
    """Return the level teaspoons of color beyond which the lather tints; the base is oils, not batter."""
    return oils_grams / GRAMS_PER_POUND * tsp_per_pound


def water_fraction_with(batter_grams: Decimal, water_grams: Decimal, added_water_grams: Decimal) -> Decimal:
    return (water_grams + added_water_grams) / (batter_grams + added_water_grams)


def _with_shares_of_pot(jug: PortionPlan, jugs: tuple[PortionPlan, ...], made: BatterMade) -> PortionPlan:
    held_back = sum((each.held_back_oil_grams for each in jugs), Decimal(0))
    pot_batter, pot_oils = made.batter_grams - held_back, made.oils_grams - held_back
    superfat = jug_superfat_fraction(jug, pot_batter_grams=pot_batter, pot_oils_grams=pot_oils, made=made)
    if made.water_grams is None:
        return replace(jug, superfat_fraction=superfat)
    water = made.water_grams * jug.from_pot_grams / pot_batter
    # Water apart from the rest of what was stirred in: the whole liquid weighs, its water alone is counted.
    dry = jug.wet_grams * (1 - jug.wet.water_fraction) if jug.wet else Decimal(0)
    percent = 100 * water_fraction_with(jug.batter_grams + jug.extra_oil_grams + dry, water, jug.added_water_grams)
    return replace(jug, superfat_fraction=superfat, water_percent=percent)


def _with_warnings(jug: PortionPlan, made: BatterMade) -> PortionPlan:
    warnings = []
    spoons = sum((color.level_teaspoons or Decimal(0) for color in jug.colors), Decimal(0))
    most = most_color_teaspoons(jug.oils_grams)
    if spoons > most:
        warnings.append(
            f"Jug {jug.letter} has {spoons:.2f} level teaspoons of color; "
            f"above {most:.2f} the lather may tint. Use less."
        )
    if made.water_grams is not None and jug.water_percent is not None:
        pot_percent = 100 * made.water_grams / made.batter_grams
        if abs(jug.water_percent - pot_percent) > WATER_ALARM_POINTS:
            warnings.append(
                f"Jug {jug.letter} holds {jug.water_percent:.0f} % water, the pot {pot_percent:.0f} %: "
                "it sets and cures differently. Add less, or give every jug the same."
            )
    if jug.superfat_fraction is not None and jug.superfat_fraction <= 0:
        warnings.append(f"Jug {jug.letter} has no fat left over. Hold back less oil for the other jugs.")
    return replace(jug, warnings=tuple(warnings))
