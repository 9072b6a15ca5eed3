"""The size a formula is shown at: so much oil, molds filled, or bars of a cured weight."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from formulas.chemistry.results import FormulaResult
from formulas.geometry import MoldError
from formulas.models import FormulaRevision, Mold
from formulas.records import ONE_KILOGRAM
from formulas.scaling import ScalePlan
from formulas.size_records import USUAL_CURED_MOISTURE_PERCENT, bars_scale, kept_fraction, mold_scale
from soapshop.quantity import QuantityRefused, mass_grams, plain_number

LEAST_OILS_GRAMS, MOST_OILS_GRAMS = Decimal(50), Decimal(100_000)
MOST_MOLDS, MOST_BARS = 100, 10_000
MOST_MOISTURE_PERCENT = Decimal(25)  # bars on sale were found to hold 5 to 23 %: published surveys
OUT_OF_BOUNDS = "That comes to {grams:,.0f} g of oils. A batch here has between 50 g and 100 kg of oils."


@dataclass(frozen=True)
class SizeAsked:
    """What a person typed into the three small forms; the first one that is filled counts."""

    oils: str = ""
    mold: str = ""
    molds: str = ""
    bars: str = ""
    cured: str = ""
    moisture: str = ""

    @classmethod
    def of(cls, query: Mapping[str, str]) -> "SizeAsked":
        return cls(**{name: query.get(name, "").strip() for name in cls.__dataclass_fields__})

    @property
    def pairs(self) -> tuple[tuple[str, str], ...]:
        """Return name and entry of each box, for a form that is to keep the size."""
        return tuple((name, getattr(self, name)) for name in self.__dataclass_fields__)


@dataclass(frozen=True)
class SizeShown:
    """The oils to show a formula for. Oils, batter and cured bars are three weights and stay apart."""

    asked: SizeAsked = SizeAsked()
    oils_grams: Decimal = ONE_KILOGRAM
    refusals: Mapping[str, str] = field(default_factory=dict)
    plan: ScalePlan | None = None
    cured_grams: Decimal | None = None
    words: str = ""
    moisture_percent: Decimal = USUAL_CURED_MOISTURE_PERCENT

    @property
    def cured_bar_grams(self) -> Decimal | None:
        """What one bar is expected to weigh once it has dried to the moisture that was chosen."""
        if self.plan is None or self.plan.fresh_bar_grams is None or self.cured_grams is None:
            return None
        return self.plan.fresh_bar_grams * self.cured_grams / self.plan.batter_grams


def size_shown(asked: SizeAsked, revision: FormulaRevision, result: FormulaResult | None) -> SizeShown:
    """Work out the oils for what was asked; a refusal shows one kilogram and says why. ``result`` is for 1 kg."""
    what = "mold" if asked.mold else "bars" if asked.bars or asked.cured else "oils"
    try:
        moisture = _moisture(asked)
        if what == "mold":
            plan, words = _for_molds(asked, revision, result)
        elif what == "bars":
            plan, words = _for_bars(asked, revision, result, moisture)
        else:
            return _for_oils(asked)
    except (MoldError, QuantityRefused) as refusal:
        return SizeShown(asked=asked, refusals={what: str(refusal)})
    if not LEAST_OILS_GRAMS <= plan.oils_grams <= MOST_OILS_GRAMS:
        return SizeShown(asked=asked, refusals={what: OUT_OF_BOUNDS.format(grams=plan.oils_grams)})
    cured = plan.batter_grams * kept_fraction(result, moisture)
    return SizeShown(asked, plan.oils_grams, {}, plan, cured, words, moisture)


def _moisture(asked: SizeAsked) -> Decimal:
    if not asked.moisture:
        return USUAL_CURED_MOISTURE_PERCENT
    percent = plain_number(asked.moisture.replace("%", " ").strip())
    if not 0 <= percent <= MOST_MOISTURE_PERCENT:
        raise MoldError(
            "A cured bar holds between 0 and 25 % water; most end near 8 to 15 %. Type a figure such as 10."
        )
    return percent


def _for_oils(asked: SizeAsked) -> SizeShown:
    if not asked.oils:
        return SizeShown(asked=asked)
    grams = mass_grams(asked.oils, default_unit="gram")
    if not LEAST_OILS_GRAMS <= grams <= MOST_OILS_GRAMS:
        return SizeShown(asked=asked, refusals={"oils": "Give the oils between 50 g and 100 kg. Shown below is 1 kg."})
    return SizeShown(asked=asked, oils_grams=grams)


def _for_molds(asked: SizeAsked, revision: FormulaRevision, result: FormulaResult | None) -> tuple[ScalePlan, str]:
    mold = Mold.objects.filter(pk=int(asked.mold)).first() if _is_count(asked.mold, 10**12) else None
    if mold is None:
        raise MoldError("That mold is not in the book. Choose one from the list.")
    molds = _count(asked.molds or "1", MOST_MOLDS, "molds")
    plan = mold_scale(revision, result, mold, molds=molds)
    return plan, f"To fill {molds} × {mold.name}: {plan.bars} bars before trimming."


def _for_bars(
    asked: SizeAsked, revision: FormulaRevision, result: FormulaResult | None, moisture_percent: Decimal
) -> tuple[ScalePlan, str]:
    bars = _count(asked.bars, MOST_BARS, "bars")
    cured_grams = mass_grams(asked.cured, default_unit="gram")
    plan = bars_scale(revision, result, bars=bars, cured_grams=cured_grams, moisture_percent=moisture_percent)
    return plan, f"For {bars} bars that weigh {cured_grams.normalize():f} g when cured. Ends and spares come on top."


def _count(typed: str, most: int, what: str) -> int:
    if not _is_count(typed, most):
        raise MoldError(f"How many {what}? Type a whole number from 1 to {most:,}.")
    return int(typed)


def _is_count(typed: str, most: int) -> bool:
    return typed.isascii() and typed.isdecimal() and len(typed) < 13 and 1 <= int(typed) <= most
