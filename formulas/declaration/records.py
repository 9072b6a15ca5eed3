"""What goes into an ingredient declaration and what comes out of it. Frozen; every mass is in grams."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

from formulas.label_rules.problems import Problem
from formulas.label_rules.rulebook import RuleSet

Role = Literal["fat", "alkali", "liquid", "acid", "additive", "scent", "colorant", "botanical", "part"]
Market = Literal["us_soap", "us_cosmetic", "eu", "uk", "ca"]
Style = Literal["as_added", "as_resulting"]
Group = Literal["main", "low", "allergen", "color"]


class DeclarationError(ValueError):
    """A declaration that cannot be worked out at all; the message is for people."""


@dataclass(frozen=True)
class LabelNames:
    """The words one material carries on a label. An empty word is not known yet."""

    us: str = ""
    eu: str = ""
    ca: str | None = None  # None: Canada takes the EU word
    soap_sodium: str = ""  # for a fat its soap, for an acid its salt
    soap_potassium: str = ""
    color_us: str = ""
    color_ci: str = ""
    is_confirmed: bool = False


@dataclass(frozen=True)
class AllergenShare:
    """The most a material can hold of one allergen (the top of the supplier's range), percent of the material."""

    name: str
    share_percent: Decimal


@dataclass(frozen=True)
class DeclaredInput:
    """One material as it was really weighed into the pot or set onto the bar.

    `components` tells what a blend, an infused oil or a part is made of; their grams add up to the grams above.
    A part reacts in a pot of its own. `allergens` None means unknown, an empty tuple means the supplier states none.
    """

    material: str
    grams: Decimal
    role: Role
    names: LabelNames = LabelNames()
    sap_koh_mg_per_g: Decimal | None = None  # the planned value, or the lot's own
    purity_fraction: Decimal = Decimal(1)  # active alkali in an alkali
    alkali_kind: Literal["", "NaOH", "KOH"] = ""
    water_fraction: Decimal = Decimal(0)
    fat_fraction: Decimal = Decimal(0)  # fat inside a liquid such as milk
    fat_sap_koh_mg_per_g: Decimal | None = None
    alkali_demand_g_naoh_per_g: Decimal = Decimal(0)
    gives_glycerol: bool = True  # false for waxes and free fatty acids
    is_fatty_acid: bool = False  # a free fatty acid frees water instead of glycerol
    is_named_apart: bool = False  # a scent listed by its own name instead of the one word
    is_nano: bool = False
    is_ready_soap: bool = False  # bought as soap, such as a melt-and-pour base
    certification_lot: str = ""  # for dyes that need batch certification in the US
    components: tuple["DeclaredInput", ...] = ()
    allergens: tuple[AllergenShare, ...] | None = None


@dataclass(frozen=True)
class DeclarationInput:
    """All that is in the goods of one label, and for whom and when the label is made.

    `on_date` is the day the goods are sold or the label printed; `first_placed_on` the day these goods first come on
    the market (None: the same day). The newer allergen names bind new goods earlier than goods already on sale.
    """

    inputs: tuple[DeclaredInput, ...]
    market: Market
    style: Style
    on_date: date
    cured_mass_grams: Decimal | None = None
    lowest_cured_mass_grams: Decimal | None = None
    first_placed_on: date | None = None
    is_leave_on: bool = False


@dataclass(frozen=True)
class Entry:
    """One name of the list. The grams of an allergen are part of the fragrance above it, not on top of it."""

    name: str
    grams: Decimal
    percent: Decimal
    group: Group
    rule: str
    materials: tuple[str, ...] = ()


@dataclass(frozen=True)
class AllergenLine:
    name: str
    percent: Decimal
    threshold_percent: Decimal
    is_declared: bool
    sources: tuple[str, ...]
    grams: Decimal
    basis: str  # the mass the percent was worked on
    rule: str


@dataclass(frozen=True)
class BalanceLine:
    what: str
    grams: Decimal
    working: str = ""


@dataclass(frozen=True)
class Balance:
    """What went in against where it is now; the residual is nothing but the last digits of the division."""

    lines_in: tuple[BalanceLine, ...]
    lines_out: tuple[BalanceLine, ...]

    @property
    def in_grams(self) -> Decimal:
        return sum((line.grams for line in self.lines_in), Decimal())

    @property
    def out_grams(self) -> Decimal:
        return sum((line.grams for line in self.lines_out), Decimal())

    @property
    def residual_grams(self) -> Decimal:
        return self.in_grams - self.out_grams


@dataclass(frozen=True)
class Declaration:
    heading: str
    text: str
    entries: tuple[Entry, ...]
    allergens: tuple[AllergenLine, ...]
    balance: Balance
    problems: tuple[Problem, ...]
    market: Market
    style: Style
    rule_set: RuleSet
    saponified_fraction: Decimal | None = None
    basis_grams: Decimal = Decimal(0)  # what the percents are shares of

    @property
    def is_printable(self) -> bool:
        return not any(problem.level == "stop" for problem in self.problems)
