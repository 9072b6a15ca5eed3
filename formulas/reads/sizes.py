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
from soapshop.quantity import QuantityRefused, mass_grams

LEAST_OILS_GRAMS, MOST_OILS_GRAMS = Decimal(50), Decimal(100_000)
MOST_MOLDS, MOST_BARS = 100, 10_000
OUT_OF_BOUNDS = "That comes to {grams:,.0f} g of oils. A batch here has between 50 g and 100 kg of oils."


@dataclass(frozen=True)
class SizeAsked:
    """What a person typed into the three small forms; the first one that is filled counts."""

    oils: str = ""
    mold: str = ""
    molds: str = ""
    bars: str = ""
    cured: str = ""

    @classmethod
    def of(cls, query: Mapping[str, str]) -> "SizeAsked":
        return cls(**{name: query.get(name, "").strip() for name in cls.__dataclass_fields__})


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


def size_shown(asked: SizeAsked, revision: FormulaRevision, result: FormulaResult | None) -> SizeShown:
    """Work out the oils for what was asked; a refusal shows one kilogram and says why. ``result`` is for 1 kg."""
    what = "mold" if asked.mold else "bars" if asked.bars or asked.cured else "oils"
    try:
        if what == "mold":
            plan, words = _for_molds(asked, revision, result)
        elif what == "bars":
            plan, words = _for_bars(asked, revision, result)
        else:
            return _for_oils(asked)
    except (MoldError, QuantityRefused) as refusal:
        return SizeShown(asked=asked, refusals={what: str(refusal)})
    if not LEAST_OILS_GRAMS <= plan.oils_grams <= MOST_OILS_GRAMS:
        return SizeShown(asked=asked, refusals={what: OUT_OF_BOUNDS.format(grams=plan.oils_grams)})
    cured = plan.batter_grams * kept_fraction(result)
    return SizeShown(asked=asked, oils_grams=plan.oils_grams, plan=plan, cured_grams=cured, words=words)


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


def _for_bars(asked: SizeAsked, revision: FormulaRevision, result: FormulaResult | None) -> tuple[ScalePlan, str]:
    bars = _count(asked.bars, MOST_BARS, "bars")
    cured_grams = mass_grams(asked.cured, default_unit="gram")
    plan = bars_scale(revision, result, bars=bars, cured_grams=cured_grams)
    return plan, f"For {bars} bars that weigh {cured_grams.normalize():f} g when cured. Ends and spares come on top."


def _count(typed: str, most: int, what: str) -> int:
    if not _is_count(typed, most):
        raise MoldError(f"How many {what}? Type a whole number from 1 to {most:,}.")
    return int(typed)


def _is_count(typed: str, most: int) -> bool:
    return typed.isascii() and typed.isdecimal() and len(typed) < 13 and 1 <= int(typed) <= most
