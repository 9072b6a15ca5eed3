"""Gates on liquids and additives: shares, what they bring, what they take up."""

from collections.abc import Iterator
from decimal import Decimal

from formulas.chemistry.constants import LARGEST_ALKALI_DEMAND, NEGLIGIBLE_FAT_FRACTION
from formulas.chemistry.gates_fats import judge_sap
from formulas.chemistry.numbers import adds_up, is_fraction, is_mass, is_number
from formulas.chemistry.records import Additive, Liquid
from formulas.chemistry.results import Finding
from formulas.chemistry.wording import figure_text, name_text, stop

LEAST_WATER_FRACTION = Decimal("0.2")  # cream has 58 %; drier things are additives. Common practice, no source.


def judge_liquids(liquids: tuple[Liquid, ...]) -> Iterator[Finding]:
    if not liquids:
        return
    shares = tuple(liquid.share_fraction for liquid in liquids)
    if not all(is_number(share) and 0 < share <= 1 for share in shares):
        yield stop("liquid-share", "Each liquid needs a share above 0 and at most 100 %.", "Take unused ones out.")
    elif not adds_up(shares):
        total = figure_text(100 * sum(shares, Decimal(0)))
        yield stop(
            "liquid-share-sum",
            f"The shares of the liquids add up to {total} %, not 100 %.",
            "Make the shares add up to 100.",
        )
    for liquid in liquids:
        yield from _judge_make_up(liquid)


def _judge_make_up(liquid: Liquid) -> Iterator[Finding]:
    name = name_text(liquid.name)
    known = (liquid.water_fraction, liquid.fat_fraction)
    looser = (liquid.sugars_fraction, liquid.protein_fraction, liquid.alcohol_fraction)
    parts = known + tuple(part for part in looser if part is not None)
    if not all(is_fraction(part) for part in parts):
        yield stop("liquid-make-up", f"{name}: water, fat and the rest must be 0 to 100 %.", "Check its figures.")
        return
    if sum(parts, Decimal(0)) > Decimal("1.01"):
        yield stop("liquid-make-up", f"{name}: its parts add up to more than 100 %.", "Check its figures.")
    if liquid.water_fraction < LEAST_WATER_FRACTION:
        yield stop(
            "liquid-without-water",
            f"{name} brings too little water to dissolve alkali.",
            "Add it as an additive and choose water or another liquid here.",
        )
    if liquid.fat_fraction > NEGLIGIBLE_FAT_FRACTION and liquid.fat_sap_koh_mg_per_g is None:
        yield stop(
            "liquid-fat-without-sap",
            f"{name} brings {figure_text(100 * liquid.fat_fraction)} % fat, but its SAP value is not known.",
            "Give the SAP of that fat, for milk 226.5.",
        )
    elif liquid.fat_fraction and liquid.fat_sap_koh_mg_per_g is not None:
        yield from judge_sap(f"Fat in {name}", liquid.fat_sap_koh_mg_per_g)
    yield from _judge_demand(name, liquid.alkali_demand_g_naoh_per_g)


def judge_additives(additives: tuple[Additive, ...]) -> Iterator[Finding]:
    for additive in additives:
        name = name_text(additive.name)
        if not is_mass(additive.grams):
            yield stop("additive-grams", f"{name}: its grams cannot be weighed.", "Type grams above zero.")
        yield from _judge_demand(name, additive.alkali_demand_g_naoh_per_g)
        alcohol = additive.alcohol_fraction
        parts = (additive.water_fraction, additive.fat_fraction) + ((alcohol,) if alcohol is not None else ())
        if not all(is_fraction(part) for part in parts) or sum(parts, Decimal(0)) > 1:
            yield stop("additive-make-up", f"{name}: its water and fat are not plausible.", "Type 0 to 100 %.")
        elif additive.fat_fraction and additive.fat_sap_koh_mg_per_g is None:
            yield stop("additive-fat-without-sap", f"{name} brings fat of unknown SAP.", "Give the SAP of that fat.")
        elif not is_number(additive.fat_acid_value) or additive.fat_acid_value < 0:
            yield stop("acid-value", f"{name}: the acid value of its fat is not plausible.", "Type mg KOH per g.")
        elif additive.fat_fraction and additive.fat_sap_koh_mg_per_g is not None:
            yield from judge_sap(f"Fat in {name}", additive.fat_sap_koh_mg_per_g)


def _judge_demand(name: str, demand: Decimal | None) -> Iterator[Finding]:
    if demand is not None and not (is_number(demand) and 0 <= demand <= LARGEST_ALKALI_DEMAND):
        yield stop(
            "alkali-demand",
            f"{name}: it cannot take up that much alkali.",
            "Type grams of NaOH per gram, for citric acid 0.62455; 0 if it takes up none.",
        )
