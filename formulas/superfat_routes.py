"""Another superfat by either route: less lye for the same oils, or more oils for the lye that is dissolved already."""

from dataclasses import dataclass, replace
from decimal import Context, Decimal, localcontext

from formulas.chemistry.compute import compute_formula
from formulas.chemistry.constants import KOH_G_PER_MOL, NAOH_G_PER_MOL
from formulas.chemistry.records import FormulaError, FormulaSpec
from formulas.chemistry.results import FormulaResult

HUNDRED, ZERO = Decimal(100), Decimal(0)
LEAST_PERCENT, MOST_PERCENT = Decimal(0), Decimal(50)
PRECISE = Context(prec=40)


@dataclass(frozen=True)
class LyeChange:
    kind: str
    was_grams: Decimal
    now_grams: Decimal


@dataclass(frozen=True)
class OilChange:
    name: str
    now_grams: Decimal
    more_grams: Decimal  # below zero: less of it


@dataclass(frozen=True)
class SuperfatRoutes:
    """Both ways to a wanted superfat. By the lye the liquid follows it; by the oils lye and liquid stay as they are."""

    wanted_percent: Decimal
    planned_percent: Decimal
    lye: tuple[LyeChange, ...]
    lye_batch_grams: Decimal
    lowest_percent: Decimal  # the worst case at the wanted superfat, the same by both routes but for weighing
    oils: tuple[OilChange, ...]
    oils_more_grams: Decimal
    oils_batch_grams: Decimal


def superfat_routes(spec: FormulaSpec, result: FormulaResult, *, wanted_percent: Decimal) -> SuperfatRoutes:
    """Return what either route asks for. Refuses a superfat that no bar has."""
    if not LEAST_PERCENT < wanted_percent <= MOST_PERCENT:
        raise FormulaError("Ask for a superfat above 0 and at most 50 %, such as 8.")
    if result.superfat is None or result.batch_grams is None:
        raise FormulaError("This formula cannot be made as it stands. Mend what is said above first.")
    by_lye = compute_formula(replace(spec, superfat_fraction=wanted_percent / HUNDRED))
    if by_lye.superfat is None or by_lye.batch_grams is None:
        raise FormulaError("The lye cannot be worked out for that superfat. Mend what is said above first.")
    with localcontext(PRECISE):
        factor = _oils_factor(result, wanted_percent / HUNDRED)
        oils = tuple(OilChange(fat.name, fat.grams * factor, fat.grams * (factor - 1)) for fat in spec.fats)
        more = sum((oil.more_grams for oil in oils), ZERO)
    pairs = (("NaOH", result.naoh_grams, by_lye.naoh_grams), ("KOH", result.koh_grams, by_lye.koh_grams))
    return SuperfatRoutes(
        wanted_percent=wanted_percent,
        planned_percent=result.superfat.planned,
        lye=tuple(LyeChange(kind, was or ZERO, now or ZERO) for kind, was, now in pairs if was or now),
        lye_batch_grams=by_lye.batch_grams,
        lowest_percent=by_lye.superfat.lowest,
        oils=oils,
        oils_more_grams=more,
        oils_batch_grams=result.batch_grams + more,
    )


def _oils_factor(result: FormulaResult, wanted: Decimal) -> Decimal:
    """Return by how much the oils grow. Fat that comes in with a liquid stays as it is."""
    own = (result.koh_demand_grams or ZERO) / KOH_G_PER_MOL
    whole = (result.pure_naoh_at_zero_superfat_grams or ZERO) / NAOH_G_PER_MOL
    planned = ZERO if result.superfat is None else result.superfat.planned / HUNDRED
    return (whole * (1 - planned) / (1 - wanted) - (whole - own)) / own
