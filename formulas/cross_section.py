"""The picture of a bar: layers, cells, swirls and drops, and the share of the batter that each jug gets."""

from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

MILLIGRAM = Decimal("0.001")


class PortionError(ValueError):
    """The drawing cannot be turned into jugs. The message tells the mend."""


@dataclass(frozen=True)
class ColorDose:
    """One colorant in a jug, by percent of the oils in that jug.

    The carrier oil wets the color. It is held back from the batch's own oils, or it comes on top of them.
    """

    name: str
    percent_of_portion_oils: Decimal
    grams_per_level_tsp: Decimal | None = None
    carrier_oil_grams: Decimal = Decimal(0)
    is_carrier_extra: bool = False
    carrier_grams_per_gram: Decimal = Decimal(0)  # grows with the color, beside the fixed grams


@dataclass(frozen=True)
class WetAddition:
    """A liquid stirred into one jug, on top of its batter; the fractions are by mass of the liquid."""

    name: str
    percent_of_batter: Decimal
    water_fraction: Decimal = Decimal(1)
    fat_fraction: Decimal = Decimal(0)
    naoh_demand_g_per_g: Decimal = Decimal(0)


@dataclass(frozen=True, kw_only=True)
class JugSpec:
    """What one jug of batter gets; the same letter may be poured in more than one place."""

    letter: str
    name: str = ""
    scented: bool = True
    colors: tuple[ColorDose, ...] = ()
    accent_extra_percent: Decimal = Decimal(0)
    added_water_grams: Decimal = Decimal(0)
    wet: WetAddition | None = None
    trace: str = "light"
    pour_order: int = 1
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class DesignCell(JugSpec):
    """A cell of a layer, as wide as its parts."""

    width: Decimal = Decimal(1)


@dataclass(frozen=True, kw_only=True)
class SwirlShare(JugSpec):
    """Batter swirled into a layer (percent of that layer), or dropped over the bar (percent of the batter)."""

    percent: Decimal


@dataclass(frozen=True)
class DesignRow:
    """A layer, as high as its parts; the first row lies at the bottom."""

    height: Decimal
    cells: tuple[DesignCell, ...]
    swirls: tuple[SwirlShare, ...] = ()


def portion_shares(rows: tuple[DesignRow, ...], drops: tuple[SwirlShare, ...] = ()) -> dict[str, Decimal]:
    """Return each jug's share of the batter: areas first, then swirls, drops and the enlarged accents."""
    _check_drawing(rows, drops)
    total_height = sum((row.height for row in rows), Decimal(0))
    left = 1 - sum((drop.percent for drop in drops), Decimal(0)) / 100
    shares: dict[str, Decimal] = {}
    for row in rows:
        row_share = left * row.height / total_height
        cells_share = row_share * (1 - sum((swirl.percent for swirl in row.swirls), Decimal(0)) / 100)
        width = sum((cell.width for cell in row.cells), Decimal(0))
        for cell in row.cells:
            shares[cell.letter] = shares.get(cell.letter, Decimal(0)) + cells_share * cell.width / width
        for swirl in row.swirls:
            shares[swirl.letter] = shares.get(swirl.letter, Decimal(0)) + row_share * swirl.percent / 100
    for drop in drops:
        shares[drop.letter] = shares.get(drop.letter, Decimal(0)) + drop.percent / 100
    return _with_accents(shares, jug_specs(rows, drops))


def split_grams(
    total_grams: Decimal, shares: dict[str, Decimal], *, step_grams: Decimal = MILLIGRAM
) -> dict[str, Decimal]:
    """Split a mass by shares in whole steps; the steps left over go where most was cut off. The sum closes."""
    whole = sum(shares.values(), Decimal(0))
    exact = {letter: total_grams * share / whole for letter, share in shares.items()}
    split = {
        letter: (grams / step_grams).to_integral_value(ROUND_FLOOR) * step_grams for letter, grams in exact.items()
    }
    left = total_grams - sum(split.values(), Decimal(0))
    for letter in sorted(exact, key=lambda letter: (split[letter] - exact[letter], letter)):
        if left < step_grams:
            break
        split[letter] += step_grams
        left -= step_grams
    largest = max(split, key=lambda letter: (split[letter], letter))
    split[largest] += left
    return split


def jug_specs(rows: tuple[DesignRow, ...], drops: tuple[SwirlShare, ...]) -> dict[str, JugSpec]:
    """Return what each letter stands for; one letter is one jug and can mean only one thing."""
    specs: dict[str, JugSpec] = {}
    places: list[JugSpec] = [place for row in rows for place in (*row.cells, *row.swirls)]
    for place in (*places, *drops):
        spec = JugSpec(**{name: getattr(place, name) for name in JugSpec.__dataclass_fields__})
        if specs.setdefault(place.letter, spec) != spec:
            raise PortionError(
                f"Jug {place.letter} is drawn in two places with different contents. "
                "Make them alike, or give one of them another letter."
            )
    return specs


def _with_accents(shares: dict[str, Decimal], specs: dict[str, JugSpec]) -> dict[str, Decimal]:
    """Enlarge the accents by their percent; the other jugs give way in proportion."""
    accents = {letter: shares[letter] for letter in shares if specs[letter].accent_extra_percent}
    if not accents:
        return shares
    larger = {letter: share * (1 + specs[letter].accent_extra_percent / 100) for letter, share in accents.items()}
    before, after = sum(accents.values(), Decimal(0)), sum(larger.values(), Decimal(0))
    if after >= 1 or before >= 1:
        raise PortionError("The enlarged accents take all the batter. Enlarge fewer jugs, or by less.")
    rest = (1 - after) / (1 - before)
    return {letter: larger.get(letter, share * rest) for letter, share in shares.items()}


def _check_drawing(rows: tuple[DesignRow, ...], drops: tuple[SwirlShare, ...]) -> None:
    if not rows or any(not row.cells for row in rows):
        raise PortionError("This design has a layer with nothing in it. Draw at least one layer with one color.")
    if any(row.height <= 0 for row in rows) or any(cell.width <= 0 for row in rows for cell in row.cells):
        raise PortionError("A layer is drawn with no height or a part with no width. Give sizes above 0.")
    for swirls, what in ((drops, "The drops"), *((row.swirls, "The swirls in one layer") for row in rows)):
        if any(swirl.percent <= 0 for swirl in swirls) or sum((swirl.percent for swirl in swirls), Decimal(0)) >= 100:
            raise PortionError(
                f"{what} take each more than 0 and together less than 100 percent. Correct the percents."
            )
    places: list[JugSpec] = [place for row in rows for place in (*row.cells, *row.swirls)]
    for place in (*places, *drops):
        if not place.letter.strip():
            raise PortionError("A part of the drawing has no letter. Give every jug a letter.")
        if place.accent_extra_percent < 0 or place.added_water_grams < 0:
            raise PortionError(f"Jug {place.letter} cannot be enlarged by less than 0, nor get less than 0 g of water.")
        if any(
            not 0 < dose.percent_of_portion_oils <= 10 or min(dose.carrier_oil_grams, dose.carrier_grams_per_gram) < 0
            for dose in place.colors
        ):
            raise PortionError(
                f"A color in jug {place.letter} lies above 0 and at most 10 percent of its oils. Correct it."
            )
        if any(dose.grams_per_level_tsp is not None and dose.grams_per_level_tsp <= 0 for dose in place.colors):
            raise PortionError(
                f"A level spoon of color in jug {place.letter} weighs nothing. Weigh a spoon and correct it."
            )
