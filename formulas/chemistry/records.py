"""What goes into the chemistry: the parts of a formula as frozen records.

Fractions run from 0 to 1. A figure that is not known is None, never zero.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from formulas.chemistry.results import Finding, FormulaResult, SuperfatInterval

__all__ = [
    "Additive",
    "Alkali",
    "AlkaliKind",
    "Fat",
    "Finding",
    "FormulaError",
    "FormulaResult",
    "FormulaSpec",
    "Liquid",
    "LiquidRule",
    "Spread",
    "StockSolution",
    "SuperfatInterval",
]

AlkaliKind = Literal["NaOH", "KOH"]
ZERO = Decimal(0)
ONE = Decimal(1)


class FormulaError(ValueError):
    """The chemistry was asked for something it cannot answer; the message is for people."""


@dataclass(frozen=True)
class Spread:
    """A figure known only within limits: the lowest it may be, what is planned with, the highest."""

    low: Decimal
    plan: Decimal
    high: Decimal

    @classmethod
    def exactly(cls, figure: Decimal) -> "Spread":
        return cls(figure, figure, figure)

    @classmethod
    def between(cls, low: Decimal, high: Decimal) -> "Spread":
        """Plan with the middle of the range."""
        return cls(low, (low + high) / 2, high)

    @property
    def half_width(self) -> Decimal:
        return (self.high - self.low) / 2


@dataclass(frozen=True)
class Fat:
    """A fat, oil, wax or fatty acid in the pot.

    `acid_value` (mg KOH/g) is the part of the SAP that free fatty acids take up: it gives water, no glycerol. A pure
    fatty acid has its whole SAP as acid value; a wax has `gives_glycerol=False`. `measured_by="volume"` marks grams
    that were reckoned from cups or milliliters and must be weighed before anything is made.
    """

    name: str
    grams: Decimal
    sap_koh_mg_per_g: Spread
    iodine_value: Decimal | None = None
    density_g_per_ml: Decimal | None = None  # at 40 C
    gives_glycerol: bool = True
    acid_value: Decimal = ZERO
    unsaponifiable_fraction: Decimal | None = None
    fatty_acids_percent: Mapping[str, Decimal] | tuple[tuple[str, Decimal], ...] = ()
    sap_is_certificate: bool = False
    measured_by: Literal["mass", "volume"] = "mass"


@dataclass(frozen=True)
class Alkali:
    """NaOH or KOH. The share is of the fat it neutralizes (equivalents), not of weight.

    `grams` given means a person fixed the weight: the superfat follows from it instead of the other way round.
    """

    kind: AlkaliKind
    share_fraction: Decimal = ONE
    purity_fraction: Spread = Spread(ONE, ONE, ONE)
    purity_is_certificate: bool = False
    grams: Decimal | None = None


@dataclass(frozen=True)
class Liquid:
    """Something that stands in for water. The share is of the water that the liquids bring."""

    name: str
    share_fraction: Decimal = ONE
    water_fraction: Decimal = ONE
    fat_fraction: Decimal = ZERO
    fat_sap_koh_mg_per_g: Spread | None = None
    sugars_fraction: Decimal | None = None
    protein_fraction: Decimal | None = None
    alcohol_fraction: Decimal | None = None
    alkali_demand_g_naoh_per_g: Decimal | None = ZERO
    grams: Decimal | None = None  # as weighed at the bench; a formula leaves it out


@dataclass(frozen=True)
class Additive:
    """Anything else in the pot: acids, salts, sugar, color, scent. A demand of None means nobody knows it."""

    name: str
    grams: Decimal
    alkali_demand_g_naoh_per_g: Decimal | None = ZERO
    water_fraction: Decimal = ZERO
    fat_fraction: Decimal = ZERO
    fat_sap_koh_mg_per_g: Spread | None = None
    fat_acid_value: Decimal = ZERO  # stearic acid: all of its SAP
    fat_gives_glycerol: bool = True  # waxes: False
    alcohol_fraction: Decimal | None = None
    is_scent: bool = False
    stage: str = ""


@dataclass(frozen=True)
class LiquidRule:
    """How much water: percent alkali in the lye, grams of water per gram of alkali, or percent of the oils."""

    basis: Literal["lye_concentration", "liquid_to_lye", "percent_of_oils"]
    value: Decimal


@dataclass(frozen=True)
class StockSolution:
    """Lye mixed ahead. Strength: grams of alkali as it was weighed in, per gram of the solution as it is now."""

    kind: AlkaliKind
    strength_fraction: Decimal


@dataclass(frozen=True)
class FormulaSpec:
    """A formula as a person wrote it. Superfat may be None only where the alkali grams are given."""

    name: str
    superfat_fraction: Decimal | None
    fats: tuple[Fat, ...]
    alkalis: tuple[Alkali, ...]
    liquid_rule: LiquidRule
    liquids: tuple[Liquid, ...] = ()
    additives: tuple[Additive, ...] = ()
    stock_solution: StockSolution | None = None
    weighing_error_fraction: Decimal = ZERO
    least_superfat_fraction: Decimal = ZERO  # the workshop's floor; 0 means it has none
