"""Findings on the lye and its liquids: strength, stock solution, what liquids bring."""

from collections.abc import Iterator
from decimal import Decimal

from formulas.chemistry.constants import (
    NAOH_G_PER_MOL,
    STRONG_LYE_PERCENT,
    STRONGEST_LYE_PERCENT,
    WEAK_LYE_PERCENT,
)
from formulas.chemistry.mixing import Mix
from formulas.chemistry.records import Liquid
from formulas.chemistry.results import Finding, FormulaResult
from formulas.chemistry.wording import ask, figure_text, name_text, note, stop

SHOWN_GRAMS = Decimal("0.001")
# From where a liquid needs a caution: common practice, no source.
CAUTION_SUGARS, CAUTION_PROTEIN, CAUTION_ALCOHOL = Decimal("0.02"), Decimal("0.01"), Decimal("0.005")


def judge_lye(mix: Mix, result: FormulaResult) -> Iterator[Finding]:
    yield from _judge_strength(mix, result)
    if mix.stock_water_grams > mix.water_wanted_grams + SHOWN_GRAMS:
        yield stop(
            "stock-too-weak",
            f"The stock solution brings {figure_text(mix.stock_water_grams)} g of water, "
            f"more than the {figure_text(mix.water_wanted_grams)} g wanted.",
            "Choose a lower lye concentration, a stronger stock solution, or dry alkali.",
        )
    elif mix.liquids_cut_short:
        yield note(
            "liquids-cut-short",
            "The stock solution's own water leaves less room for the other liquids than their shares ask for.",
            "Use a stronger stock solution or dry alkali to keep the shares.",
        )
    if len(mix.alkalis) > 1:
        weights = " to ".join(f"{figure_text(a.grams or 0)} g {a.kind}" for a in mix.alkalis)
        yield note(
            "alkali-split",
            f"By weight this is {weights}: {figure_text(result.naoh_mass_share_percent or 0, 1)} % NaOH.",
            "The shares are of the fat that each alkali neutralizes, not of weight.",
        )


def _judge_strength(mix: Mix, result: FormulaResult) -> Iterator[Finding]:
    percent = result.lye_concentration_percent or Decimal(0)
    strongest = min(STRONGEST_LYE_PERCENT[alkali.kind] for alkali in mix.alkalis)
    shown = figure_text(percent, 1)
    if percent > strongest:
        yield stop(
            "lye-too-strong",
            f"A lye of {shown} % does not dissolve: at room temperature {strongest} % is the most.",
            "Use more liquid. Check whether the liquid was typed in another unit.",
        )
    elif percent > STRONG_LYE_PERCENT:
        yield ask(
            "lye-strong",
            f"A lye of {shown} % is close to what dissolves and crystallizes in a cool room.",
            "Use more liquid, or write down why so little is right here.",
        )
    elif percent < WEAK_LYE_PERCENT:
        yield note(
            "lye-weak",
            f"A lye of {shown} % is thin: slow trace, a long cure and more shrinkage.",
            "Use less liquid unless you mean it.",
        )


def judge_liquid_effects(mix: Mix, result: FormulaResult) -> Iterator[Finding]:
    """Tell what liquids and acids do to the lye, and which liquids need care."""
    own = {eater.name: eater.mol * NAOH_G_PER_MOL for eater in mix.eaters}
    if result.superfat_without_acid_lye_percent is not None:
        yield note(
            "acid-needs-lye",
            f"{' and '.join(name_text(name) for name in own)} takes up {figure_text(sum(own.values()))} g NaOH, "
            f"which is in the alkali. Left out, the superfat would be "
            f"{figure_text(result.superfat_without_acid_lye_percent, 1)} %.",
            "Dissolve acids in the water first, then add the alkali; expect extra heat.",
        )
    if result.superfat_ignoring_liquid_fat_percent is not None:
        yield note(
            "liquid-fat-needs-lye",
            f"The liquids bring {figure_text(result.fat_in_liquids_grams or 0)} g fat, which has its alkali. "
            f"Left out, the superfat would be {figure_text(result.superfat_ignoring_liquid_fat_percent, 1)} %.",
            "Weigh the alkali as the sheet says; another milk means another sheet.",
        )
    for liquid, grams in mix.poured:
        if grams:
            yield from _judge_liquid(liquid)


def _judge_liquid(liquid: Liquid) -> Iterator[Finding]:
    name = name_text(liquid.name)
    if (liquid.alcohol_fraction or 0) > CAUTION_ALCOHOL:
        yield note(
            "alcohol-in-liquid",
            f"{name} brings {figure_text(100 * (liquid.alcohol_fraction or 0), 1)} % alcohol: it burns, foams in the "
            "lye and hurries trace.",
            "Simmer the alcohol off away from flames the day before, chill, then weigh.",
        )
    if (liquid.sugars_fraction or 0) > CAUTION_SUGARS:
        yield note(
            "sugar-in-liquid",
            f"{name} brings {figure_text(100 * (liquid.sugars_fraction or 0), 1)} % sugars: the batch runs hot.",
            "Soap cool and do not insulate.",
        )
    if (liquid.protein_fraction or 0) > CAUTION_PROTEIN:
        yield note(
            "freeze-liquid",
            f"{name} brings protein, which scorches and browns in hot lye.",
            "Freeze it first and add the alkali slowly, or add it to the cooled lye.",
        )
