"""What a person must mend or decide before the list is true: lye, colors, weights, doubtful inputs."""

from collections.abc import Iterable
from decimal import Decimal

from formulas.declaration.pots import Pots
from formulas.declaration.reaction import Reaction, fat_grams
from formulas.declaration.records import DeclarationInput, DeclaredInput
from formulas.label_rules.colors import listing_for
from formulas.label_rules.problems import Level, Problem
from formulas.label_rules.rulebook import LabelTables

ZERO = Decimal()


def lye_problems(pots: Pots, body: Reaction, reactions: Iterable[Reaction]) -> Iterable[Problem]:
    has_fat = any(fat_grams(leaf) for leaf in pots.body if leaf.role == "fat")
    if has_fat and not any(leaf.role == "alkali" for leaf in pots.body):
        yield Problem(
            "stop",
            "no_lye",
            "There are oils but no lye among the weighed materials, so the list cannot be complete.",
            "Enter the lye that was weighed.",
        )
    is_judged = all(leaf.sap_koh_mg_per_g is not None for leaf in pots.leaves if leaf.role == "fat")
    if is_judged and any(reaction.has_spare_alkali for reaction in reactions):
        yield Problem(
            "stop",
            "lye_heavy",
            "More lye was weighed than the fats can take up.",
            "Hold these bars, check the weighings, and do not label them before they test free of lye.",
        )
    if body.has_starved_acid:
        yield Problem(
            "stop",
            "acid_takes_all_lye",
            "The acids take up all the lye, so none is left for the oils.",
            "Check the weight of the acid and of the lye.",
        )


def fat_problems(pots: Pots) -> Iterable[Problem]:
    """A fat without its saponification value cannot be worked through a reaction."""
    for leaf in pots.leaves:
        if leaf.role == "fat" and leaf.sap_koh_mg_per_g is None:
            yield Problem(
                "stop",
                "missing_sap",
                f"{leaf.material} has no saponification value, so its soap cannot be worked out.",
                "Enter the value on the material page, or use the as-added style.",
            )


def input_problems(given: DeclarationInput, pots: Pots) -> Iterable[Problem]:
    fats = sum((leaf.grams for leaf in pots.body if leaf.role == "fat"), ZERO)
    for leaf in pots.body:
        if leaf.role in ("liquid", "acid") and fats and leaf.grams > fats:
            yield Problem(
                "ask",
                "liquid_over_oils",
                f"There is more {leaf.material} than oils in this batch.",
                "Check both weights; ounces typed as grams are the usual slip.",
            )
        if leaf.is_ready_soap and given.style == "as_added":
            yield Problem(
                "ask",
                "ready_soap_in_added_list",
                f"{leaf.material} is soap already, so its salts would stand beside oils and lye.",
                "Use the as-resulting style for this label, or have the list reviewed.",
            )
    if given.market == "us_soap":
        yield Problem(
            "note",
            "list_not_required",
            "Soap sold only as soap needs no ingredient list in the US; a list that is given must be true.",
            "Print the list or leave it off, as you choose.",
        )
    if given.market == "us_cosmetic" and given.style == "as_resulting":
        yield Problem(
            "note",
            "lye_left_out",
            "The as-resulting list leaves out the lye that is used up; whether US law agrees is not settled.",
            "Use the as-added style, or have the list reviewed.",
        )
    if given.market in ("eu", "uk"):
        yield Problem(
            "note",
            "assessor_decides",
            "The rules name neither style of list; the safety assessor decides which one this product uses.",
            "Keep to the style in the safety report.",
        )


def color_problems(given: DeclarationInput, leaves: Iterable[DeclaredInput], tables: LabelTables) -> Iterable[Problem]:
    """US color law. It binds a cosmetic; on a true soap one claim turns the same bar into a cosmetic, so it asks."""
    if given.market not in ("us_soap", "us_cosmetic"):
        return
    firm: Level = "stop" if given.market == "us_cosmetic" else "ask"
    for leaf in leaves:
        if leaf.role != "colorant" or not leaf.names.color_us.strip():
            continue
        listing = listing_for(leaf.names.color_us, tables.colors)
        if listing is None or listing.bar_soap == "no":
            yield Problem(
                firm,
                "color_not_listed",
                f"{leaf.names.color_us} ({leaf.material}) is not on our list of US color additives for bars.",
                "Ask a qualified person, use a listed color, or leave it out of bars sold as cosmetics.",
            )
            continue
        if listing.bar_soap == "limit" or "at most" in listing.limit_note:
            yield Problem(
                "ask",
                "color_has_limit",
                f"{listing.name_us} may be used only with a limit: {listing.limit_note}.",
                f"Check the limit ({listing.source}) against the dose.",
            )
        if listing.is_batch_certified and not leaf.certification_lot.strip():
            yield Problem(
                firm,
                "color_not_certified",
                f"{listing.name_us} must come from a certified lot, and {leaf.material} has no certification number.",
                "Enter the certification lot number from the package, or use another color.",
            )


def mass_problems(given: DeclarationInput, total_grams: Decimal, dry_grams: Decimal) -> Iterable[Problem]:
    lowest, cured = given.lowest_cured_mass_grams, given.cured_mass_grams
    if given.style == "as_resulting" and cured is None:
        yield Problem(
            "stop",
            "cured_mass_missing",
            "The as-resulting list needs the weight after cure, because it names the water that is left.",
            "Weigh cured bars, or enter the weight they are expected to keep.",
        )
    for mass, word in ((cured, "cured weight"), (lowest, "lowest cured weight")):
        if mass is not None and mass > total_grams:
            yield Problem(
                "stop",
                "cured_mass_too_high",
                f"The {word} of {mass.normalize():f} g is more than the {total_grams:.3f} g that went in.",
                "Check the weight, and that it is for the same number of bars as the ingredients.",
            )
        if mass is not None and mass < dry_grams:
            yield Problem(
                "stop",
                "cured_mass_too_low",
                f"The {word} of {mass.normalize():f} g is less than the {dry_grams:.3f} g that cannot dry away.",
                "Check the weight, and that trimmings are left out of the ingredients too.",
            )
    if lowest is not None and cured is not None and lowest > cured:
        yield Problem(
            "stop",
            "lowest_mass_over_cured",
            "The lowest cured weight is above the expected cured weight.",
            "Swap the two weights or weigh again.",
        )
