"""Findings on the figures of single parts: missing ranges, doubtful data, volumes, purity."""

from collections.abc import Iterable, Iterator
from decimal import Decimal

from formulas.chemistry.fatty_acids import has_make_up, named_percents, sap_from_fatty_acids
from formulas.chemistry.records import Fat, FormulaSpec, Spread
from formulas.chemistry.results import Finding, FormulaResult
from formulas.chemistry.wording import ask, figure_text, name_text, note

NAMES_SHOWN = 6
# Castor oil is nine tenths ricinoleic acid. Most makers keep castor at 5 to 8 %; at 15 % bars stuck, at 20 and more
# some were fine: common practice, no source.
RICINOLEIC, MUCH_RICINOLEIC_PERCENT = "C18:1-OH", Decimal(11)
# Coconut oil is two thirds lauric and myristic acid; a bar of little else is hard within hours: common practice, no
# source.
LAURIC, MYRISTIC, MUCH_LAURIC_PERCENT = "C12:0", "C14:0", Decimal(50)
# How far a SAP reckoned from a make-up may stray from the given range before someone should look: the formula and a
# measured make-up agree with sourced ranges to half a unit, so one percent is a real difference.
SAP_DATA_TOLERANCE = Decimal("0.01")


def judge_parts(spec: FormulaSpec, result: FormulaResult) -> Iterator[Finding]:
    yield from _judge_volumes(spec.fats)
    yield from _judge_sap_data(spec.fats)
    yield from _judge_purity(spec)
    yield from _judge_castor(spec.fats)
    yield from _judge_lauric(spec.fats)
    unknown = [additive.name for additive in spec.additives if additive.alkali_demand_g_naoh_per_g is None]
    if unknown:
        yield note(
            "alkali-demand-unknown",
            f"Nobody has said how much alkali {listed(unknown)} takes up; it counts as none.",
            "Enter 0 if it takes up none. If it is an acid, the superfat will be higher than shown.",
        )
    without_density = [fat.name for fat in spec.fats if fat.density_g_per_ml is None]
    if without_density and result.batter_density_g_per_ml is not None:
        yield note(
            "density-assumed",
            f"No density is on file for {listed(without_density)}; the batter is reckoned with 0.90 g per mL.",
            "Enter the density at 40 °C to fit molds more closely.",
        )


def listed(names: Iterable[str]) -> str:
    """Return names for a sentence, the first few of them."""
    shown = [name_text(name) for name in dict.fromkeys(names)]
    rest = len(shown) - NAMES_SHOWN
    if rest > 0:
        return f"{', '.join(shown[:NAMES_SHOWN])} and {rest} more"
    return " and ".join(filter(None, (", ".join(shown[:-1]), shown[-1])))


def _judge_volumes(fats: tuple[Fat, ...]) -> Iterator[Finding]:
    by_volume = [fat.name for fat in fats if fat.measured_by == "volume"]
    if by_volume:
        yield ask(
            "oils-by-volume",
            f"{listed(by_volume)} was measured by volume. Air and a short fill can take the whole superfat.",
            "Weigh it and type the grams before anything is made.",
        )


def _judge_sap_data(fats: tuple[Fat, ...]) -> Iterator[Finding]:
    bare = [fat.name for fat in fats if not fat.sap_koh_mg_per_g.half_width and not fat.sap_is_certificate]
    if bare:
        yield note(
            "sap-without-range",
            f"The SAP of {listed(bare)} has no range, so the superfat interval leaves its spread out.",
            "Enter the lowest and highest SAP, or mark it as the lot's certificate value.",
        )
    for fat in fats:
        reckoned, sap = sap_of_make_up(fat), fat.sap_koh_mg_per_g
        if reckoned is not None and not agrees_with_range(reckoned, sap):
            yield note(
                "sap-and-make-up-differ",
                f"{name_text(fat.name)}: its fatty acids give a SAP of {figure_text(reckoned, 1)}, "
                f"outside {figure_text(sap.low, 1)} to {figure_text(sap.high, 1)}.",
                "One of the two is wrong or of another oil. Check the certificate.",
            )


def agrees_with_range(reckoned: Decimal, sap: Spread) -> bool:
    return sap.low * (1 - SAP_DATA_TOLERANCE) <= reckoned <= sap.high * (1 + SAP_DATA_TOLERANCE)


def sap_of_make_up(fat: Fat) -> Decimal | None:
    """Return the SAP that the make-up gives; None for waxes and free acids, where the formula does not hold."""
    if not has_make_up(fat) or not fat.gives_glycerol or fat.acid_value > fat.sap_koh_mg_per_g.plan / 10:
        return None
    return sap_from_fatty_acids(fat.fatty_acids_percent, fat.unsaponifiable_fraction or Decimal(0))


def _judge_castor(fats: tuple[Fat, ...]) -> Iterator[Finding]:
    """Tell what much ricinoleic acid does; it is never forbidden, some bars hold a fifth of castor and are fine."""
    grams = sum((fat.grams for fat in fats), Decimal(0))
    ricinoleic = sum(fat.grams * named_percents(fat.fatty_acids_percent).get(RICINOLEIC, Decimal(0)) for fat in fats)
    if grams and ricinoleic / grams > MUCH_RICINOLEIC_PERCENT:
        yield note(
            "castor-much",
            f"Castor oil brings {figure_text(ricinoleic / grams, 0)} % ricinoleic acid: "
            "the loaf stays longer in the mold and may feel tacky.",
            "Plan a later unmolding, or see what your own batches say. Most formulas keep castor at 5 to 8 %.",
        )


def _judge_lauric(fats: tuple[Fat, ...]) -> Iterator[Finding]:
    """Tell that a loaf of mostly coconut, babassu or palm kernel oil is hard, and brittle to cut, on the same day."""
    grams = sum((fat.grams for fat in fats), Decimal(0))
    short = sum(
        fat.grams * sum(named_percents(fat.fatty_acids_percent).get(acid, Decimal(0)) for acid in (LAURIC, MYRISTIC))
        for fat in fats
    )
    if grams and short / grams > MUCH_LAURIC_PERCENT:
        yield note(
            "cut-within-hours",
            f"Lauric and myristic acid make up {figure_text(short / grams, 0)} % of the fats: "
            "the loaf is hard within hours.",
            "Cut it as soon as it is firm and cooled down, and set the cut of its designs to the day of the pour; "
            "later it breaks under the wire.",
        )


def _judge_purity(spec: FormulaSpec) -> Iterator[Finding]:
    for alkali in spec.alkalis:
        purity = alkali.purity_fraction
        if purity.low < purity.plan == purity.high:
            yield note(
                "purity-planned-high",
                f"{alkali.kind} is dosed as {figure_text(100 * purity.plan, 1)} % pure, the high end of its range, "
                "so that the batch cannot turn lye-heavy.",
                "Enter the certificate purity of the lot to narrow the superfat.",
            )
