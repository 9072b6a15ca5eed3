"""From bars wanted to a mold: two ways to fill and cut it so that each bar cures to a weight."""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from functools import partial

from formulas.design_records import mold_of
from formulas.fills import sized_by
from formulas.geometry import ColumnMold, LoafMold, MoldError
from formulas.models import FormulaRevision, Mold
from formulas.records import reckon_revision
from formulas.scaling import BarsWanted, ScalePlan, bars_by_fill, bars_by_thickness
from formulas.size_records import HUNDRED, batter_size, kept_fraction, own_fill
from soapshop.quantity import QuantityRefused, mass_grams, plain_number

MOST_BARS = 10_000


@dataclass(frozen=True)
class BarsWay:
    """One way to get there, or the sentence why it does not work."""

    name: str
    plan: ScalePlan | None
    refusal: str = ""


def mold_bars(
    mold: Mold, revision: FormulaRevision, *, typed_bars: str, typed_cured: str, typed_kept: str = ""
) -> tuple[tuple[BarsWay, ...], str]:
    """Return the ways to get so many bars of a cured weight from this mold, and a sentence when nothing can be said.

    What a bar keeps of its fresh weight, in percent, is the workshop's own figure; without it 10 % moisture counts.
    """
    if not typed_bars and not typed_cured:
        return (), ""
    is_count = typed_bars.isascii() and typed_bars.isdecimal() and len(typed_bars) < 6
    if not is_count or not 1 <= int(typed_bars) <= MOST_BARS:
        return (), f"How many bars? Type a whole number from 1 to {MOST_BARS:,}."
    try:
        cured_grams = mass_grams(typed_cured, default_unit="gram")
        result = reckon_revision(revision).result
        size = sized_by(batter_size(revision, result), own_fill(revision))
        wanted = BarsWanted(int(typed_bars), cured_grams, _kept(typed_kept) or kept_fraction(result))
        shape = mold_of(mold)
    except (MoldError, QuantityRefused) as refusal:
        return (), str(refusal)
    cut: dict[str, Decimal] = {"end_trim_mm": mold.end_trim_mm, "headroom_fraction": mold.headroom_percent / HUNDRED}
    ways = []
    if isinstance(shape, LoafMold | ColumnMold):
        ways.append(
            _way("Filled as usual, cut to another thickness", partial(bars_by_thickness, size, wanted, shape, **cut))
        )
    if not isinstance(shape, ColumnMold):
        ways.append(_way("Cut as usual, filled to another height", partial(bars_by_fill, size, wanted, shape, **cut)))
    return tuple(ways), ""


def _kept(typed: str) -> Decimal | None:
    """Return what the workshop's own bars keep of their fresh weight, when it was typed."""
    return plain_number(typed.replace("%", " ").strip()) / HUNDRED if typed else None


def _way(name: str, plan: Callable[[], ScalePlan]) -> BarsWay:
    try:
        return BarsWay(name, plan())
    except MoldError as refusal:
        return BarsWay(name, None, str(refusal))
