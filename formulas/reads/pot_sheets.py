"""What stands beside the sums of a formula: doses and limits, two alkalis, fatty acids, scales, other superfats."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal

from formulas.alkali_split import AlkaliPart, alkali_parts
from formulas.bench_records import scale_steps
from formulas.chemistry.fatty_acids import group_percents
from formulas.chemistry.records import FormulaError
from formulas.dose_records import formula_doses
from formulas.doses import DoseSheet
from formulas.models import FormulaLine
from formulas.records import Reckoning
from formulas.scale_rounding import RoundedBatch, rounded_batch
from formulas.superfat_routes import SuperfatRoutes, superfat_routes
from soapshop.models import Workshop
from soapshop.quantity import QuantityRefused, plain_number


@dataclass(frozen=True)
class AcidGroup:
    """A group of fatty acids, its percent of them all, and what it does for the bar."""

    name: str
    percent: Decimal
    words: str


@dataclass(frozen=True)
class OtherSuperfat:
    """What was typed for another superfat, with both routes to it or the sentence that refuses it."""

    typed: str = ""
    routes: SuperfatRoutes | None = None
    refusal: str = ""


@dataclass(frozen=True)
class PotSheet:
    doses: DoseSheet = field(default_factory=DoseSheet)
    alkalis: tuple[AlkaliPart, ...] = ()
    acid_groups: tuple[AcidGroup, ...] = ()
    rounded: RoundedBatch | None = None
    other: OtherSuperfat = field(default_factory=OtherSuperfat)


def pot_sheet(
    lines: Iterable[FormulaLine], reckoning: Reckoning, *, workshop: Workshop, superfat: str = ""
) -> PotSheet:
    """Return the sheet of a formula that could be worked out; an empty one for one that could not."""
    spec, result = reckoning.spec, reckoning.result
    if spec is None or result is None or not result.is_computed:
        return PotSheet(other=OtherSuperfat(superfat))
    acids = group_percents(result.fatty_acids) if result.fatty_acids else ()
    return PotSheet(
        doses=formula_doses(lines, result, house_percent=workshop.most_scent_percent),
        alkalis=alkali_parts(spec, result),
        acid_groups=tuple(AcidGroup(group.name, percent, group.words) for group, percent in acids if percent),
        rounded=rounded_batch(spec, result, scale_steps(workshop)),
        other=_other_superfat(reckoning, superfat),
    )


def _other_superfat(reckoning: Reckoning, typed: str) -> OtherSuperfat:
    if not typed or reckoning.spec is None or reckoning.result is None:
        return OtherSuperfat(typed)
    try:
        wanted = plain_number(typed.replace("%", " ").strip())
        return OtherSuperfat(typed, superfat_routes(reckoning.spec, reckoning.result, wanted_percent=wanted))
    except (QuantityRefused, FormulaError) as refusal:
        return OtherSuperfat(typed, refusal=str(refusal))
