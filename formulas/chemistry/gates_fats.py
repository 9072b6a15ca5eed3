"""Gates on fats: grams, SAP, and the other figures of a fat."""

from collections.abc import Iterator
from decimal import Decimal

from formulas.chemistry.constants import KOH_G_PER_MOL, NAOH_G_PER_MOL, SAP_HIGHEST, SAP_LOWEST
from formulas.chemistry.fatty_acids import named_percents
from formulas.chemistry.numbers import is_fraction, is_in_order, is_mass, is_number, is_spread_of_numbers
from formulas.chemistry.records import Fat, Spread
from formulas.chemistry.results import Finding
from formulas.chemistry.wording import figure_text, name_text, stop

LARGEST_IODINE_VALUE = Decimal(250)  # linseed and perilla reach 208: published ranges
LIGHTEST_FAT, HEAVIEST_FAT = Decimal("0.8"), Decimal("1.1")  # oils 0.88 to 0.97 at 40 C, waxes to 1.0 when solid
MOST_FATTY_ACID_PERCENT = Decimal(102)  # a make-up rounded line by line may overshoot a little


def judge_fats(fats: tuple[Fat, ...]) -> Iterator[Finding]:
    if not fats:
        yield stop("no-oils", "This formula has no oils yet.", "Add at least one oil, then calculate again.")
    for fat in fats:
        yield from _judge_grams(fat)
        yield from judge_sap(fat.name, fat.sap_koh_mg_per_g)
        yield from _judge_figures(fat)


def _judge_grams(fat: Fat) -> Iterator[Finding]:
    if not is_mass(fat.grams):
        shown = figure_text(fat.grams) if is_number(fat.grams) else "no number"
        yield stop(
            "fat-grams",
            f"{name_text(fat.name)}: {shown} g cannot be weighed out.",
            "Type grams above zero and at most 1,000,000. Take the line out if you do not use the fat.",
        )


def judge_sap(name: str, sap: Spread) -> Iterator[Finding]:
    """Judge a SAP range; the likely slip is a factor in grams per gram."""
    name = name_text(name)
    if not is_spread_of_numbers(sap):
        yield stop("sap-missing", f"{name}: the SAP value is not a number.", "Type it in mg KOH per g, such as 190.")
        return
    if all(0 < figure < 1 for figure in (sap.low, sap.plan, sap.high)):
        as_koh, as_naoh = 1000 * sap.plan, 1000 * sap.plan * KOH_G_PER_MOL / NAOH_G_PER_MOL
        yield stop(
            "sap-is-a-factor",
            f"{name}: {figure_text(sap.plan, 4)} looks like grams of alkali per gram of fat, not mg KOH per g.",
            f"Type {figure_text(as_koh, 1)} if it is a KOH factor, {figure_text(as_naoh, 1)} if it is a NaOH factor.",
        )
    elif not all(SAP_LOWEST <= figure <= SAP_HIGHEST for figure in (sap.low, sap.plan, sap.high)):
        worst = next(f for f in (sap.plan, sap.low, sap.high) if not SAP_LOWEST <= f <= SAP_HIGHEST)
        yield stop(
            "sap-implausible",
            f"{name}: no fat has a SAP value of {figure_text(worst)} mg KOH per g.",
            f"SAP lies between {SAP_LOWEST} and {SAP_HIGHEST}. Check the unit and the decimal point.",
        )
    elif not is_in_order(sap):
        yield stop(
            "sap-range",
            f"{name}: the SAP range is upside down, or the planning value lies outside it.",
            "Type the lowest value first, then the highest.",
        )


def _judge_figures(fat: Fat) -> Iterator[Finding]:
    name = name_text(fat.name)
    if not is_number(fat.acid_value) or not 0 <= fat.acid_value <= SAP_HIGHEST:
        yield stop("acid-value", f"{name}: the acid value is not plausible.", "Type mg KOH per g, 0 if unknown.")
    elif is_spread_of_numbers(fat.sap_koh_mg_per_g) and fat.acid_value > fat.sap_koh_mg_per_g.high:
        yield stop(
            "acid-value",
            f"{name}: the acid value is above the SAP value.",
            "The free acids are a part of the SAP. Check which figure is which.",
        )
    if fat.unsaponifiable_fraction is not None and not is_fraction(fat.unsaponifiable_fraction):
        yield stop("unsaponifiable", f"{name}: the unsaponifiable part is not a percentage.", "Type 0 to 100.")
    iodine = fat.iodine_value
    if iodine is not None and not (is_number(iodine) and 0 <= iodine <= LARGEST_IODINE_VALUE):
        yield stop("iodine-value", f"{name}: the iodine value is not plausible.", "It lies between 0 and 250.")
    density = fat.density_g_per_ml
    if density is not None and not (is_number(density) and LIGHTEST_FAT <= density <= HEAVIEST_FAT):
        yield stop(
            "fat-density",
            f"{name}: a fat does not have this density.",
            "Type g per mL, near 0.9. A figure such as 900 is kg per cubic meter.",
        )
    yield from _judge_make_up(fat, name)


def _judge_make_up(fat: Fat, name: str) -> Iterator[Finding]:
    percents = dict(fat.fatty_acids_percent).values()
    if not all(is_number(percent) and 0 <= percent <= MOST_FATTY_ACID_PERCENT for percent in percents):
        yield stop("fatty-acids", f"{name}: a fatty acid is not a percentage.", "Type 0 to 100 for each acid.")
    elif sum(named_percents(fat.fatty_acids_percent).values(), Decimal(0)) > MOST_FATTY_ACID_PERCENT:
        yield stop("fatty-acids", f"{name}: its fatty acids add up to more than 100 %.", "Check the make-up.")
