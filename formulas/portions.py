"""From the cross-section to grams per jug: batter, oils, colors by the oils in the jug, liquids on top."""

from decimal import Decimal

from formulas.cross_section import (
    MILLIGRAM,
    ColorDose,
    DesignRow,
    JugSpec,
    PortionError,
    SwirlShare,
    jug_specs,
    portion_shares,
    split_grams,
)
from formulas.jugs import BatterMade, ColorPlan, PortionPlan, settled_jugs

SMALLEST_JUG_GRAMS = Decimal(20)  # less stays in the jug: common practice, no source
VESSEL_LOSS_FRACTION = Decimal("0.015")  # 1 to 2 % stays in each vessel: common practice, no source


def portion_plan(
    rows: tuple[DesignRow, ...],
    made: BatterMade,
    *,
    drops: tuple[SwirlShare, ...] = (),
    smallest_jug_grams: Decimal = SMALLEST_JUG_GRAMS,
    vessel_loss_fraction: Decimal = VESSEL_LOSS_FRACTION,
) -> tuple[PortionPlan, ...]:
    """Return one plan per jug in the order of pouring; batter and oils add up to the milligram."""
    if not 0 < made.oils_grams <= made.batter_grams:
        raise PortionError("There is no batter to portion yet. Size the batch first, then look at the jugs.")
    shares = portion_shares(rows, drops)
    specs = jug_specs(rows, drops)
    batter = split_grams(made.batter_grams, shares)
    oils = split_grams(made.oils_grams, shares)
    jugs = []
    for letter, share in shares.items():
        spec = specs[letter]
        if batter[letter] < smallest_jug_grams:
            raise PortionError(
                f"Jug {letter} gets only {batter[letter]:.1f} g, "
                f"and less than {smallest_jug_grams:.0f} g does not pour. Draw it larger, or make a bigger batch."
            )
        colors = tuple(_color(dose, oils[letter]) for dose in spec.colors)
        held_back = _carrier(colors, extra=False)
        if held_back > oils[letter]:
            raise PortionError(
                f"Jug {letter} wants {held_back:.1f} g of oil for its colors but holds {oils[letter]:.1f} g of oils. "
                "Wet the colors with less oil."
            )
        jugs.append(
            PortionPlan(
                letter=letter,
                name=spec.name,
                share_fraction=share,
                batter_grams=batter[letter],
                oils_grams=oils[letter],
                from_pot_grams=batter[letter] - held_back,
                held_back_oil_grams=held_back,
                extra_oil_grams=_carrier(colors, extra=True),
                colors=colors,
                vessel_allowance_grams=(batter[letter] * vessel_loss_fraction).quantize(MILLIGRAM),
                scented=spec.scented,
                trace=spec.trace,
                pour_order=spec.pour_order,
                note=spec.note,
                wet=spec.wet,
                wet_grams=_wet_grams(spec, batter[letter]),
                added_water_grams=spec.added_water_grams + _wet_water(spec, batter[letter]),
            )
        )
    return tuple(sorted(settled_jugs(tuple(jugs), made), key=lambda jug: (jug.pour_order, jug.letter)))


def stirred_in_fraction(rows: tuple[DesignRow, ...], drops: tuple[SwirlShare, ...] = ()) -> Decimal:
    """Return what the liquids of all jugs add to a gram of batter, so that the molds are not filled too high."""
    specs = jug_specs(rows, drops)
    return sum(
        (
            share * wet.percent_of_batter / 100
            for letter, share in portion_shares(rows, drops).items()
            if (wet := specs[letter].wet) is not None
        ),
        Decimal(0),
    )


def _wet_grams(spec: JugSpec, batter_grams: Decimal) -> Decimal:
    return (batter_grams * spec.wet.percent_of_batter / 100).quantize(MILLIGRAM) if spec.wet else Decimal(0)


def _wet_water(spec: JugSpec, batter_grams: Decimal) -> Decimal:
    return _wet_grams(spec, batter_grams) * spec.wet.water_fraction if spec.wet else Decimal(0)


def _color(dose: ColorDose, oils_grams: Decimal) -> ColorPlan:
    grams = (oils_grams * dose.percent_of_portion_oils / 100).quantize(MILLIGRAM)
    spoons = None if dose.grams_per_level_tsp is None else grams / dose.grams_per_level_tsp
    carrier = dose.carrier_oil_grams + (grams * dose.carrier_grams_per_gram).quantize(MILLIGRAM)
    return ColorPlan(dose.name, grams, spoons, carrier, dose.is_carrier_extra)


def _carrier(colors: tuple[ColorPlan, ...], *, extra: bool) -> Decimal:
    return sum((color.carrier_oil_grams for color in colors if color.is_carrier_extra is extra), Decimal(0))
