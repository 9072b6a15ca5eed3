"""What the pages of a formula show."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from formulas.chemistry.findings import RANK
from formulas.chemistry.findings_superfat import main_cause, way_out
from formulas.chemistry.results import Finding, FormulaResult
from formulas.drawing import Picture, fatty_acids_svg, superfat_interval_svg
from formulas.models import Formula, FormulaLine, FormulaRevision
from formulas.reads.pot_sheets import PotSheet, pot_sheet
from formulas.reads.sizes import SizeAsked, SizeShown, size_shown
from formulas.records import ONE_KILOGRAM, Reckoning, reckon_revision
from soapshop.models import Workshop

Stage = FormulaLine.Stage
NOTHING_ASKED = SizeAsked()
CLOSING_GRAMS = Decimal("0.001")
MOISTURES_PERCENT = (Decimal(8), Decimal(10), Decimal(12), Decimal(15))


@dataclass(frozen=True)
class FormulaRow:
    """One formula in the list: the revision in use, and a draft beside it if there is one."""

    formula: Formula
    in_use: FormulaRevision | None
    draft: FormulaRevision | None


def formula_rows() -> list[FormulaRow]:
    rows = []
    for formula in Formula.objects.filter(is_shelved=False).for_list():
        by_status: dict[str, FormulaRevision] = {}
        for revision in formula.revisions.all():
            by_status.setdefault(revision.status, revision)
        rows.append(FormulaRow(formula, by_status.get("approved"), by_status.get("draft")))
    return rows


@dataclass(frozen=True)
class WeighRow:
    phase: str
    name: str
    grams: Decimal
    percent: Decimal | None
    percent_of: str = ""
    when: str = ""  # when and how it goes in, in the words of its material


@dataclass(frozen=True)
class CuredBatch:
    """The whole batch dried to a moisture: what it has lost by then, and its fat reckoned as fatty acids."""

    moisture_percent: Decimal
    grams: Decimal
    loss_percent: Decimal
    fatty_matter_percent: Decimal


@dataclass(frozen=True)
class RevisionPage:
    reckoning: Reckoning
    size: SizeShown
    weigh_rows: tuple[WeighRow, ...]
    cured: tuple[CuredBatch, ...]
    floor_percent: Decimal
    pot: PotSheet = field(default_factory=PotSheet)
    others: tuple[FormulaRevision, ...] = ()

    @property
    def oils_grams(self) -> Decimal:
        return self.size.oils_grams

    @property
    def result(self) -> FormulaResult | None:
        result = self.reckoning.result
        return result if result is not None and result.is_computed else None

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Return what a person must know of the sums and of the doses, the gravest first."""
        found = (*self.reckoning.findings, *self.pot.doses.findings)
        return tuple(sorted(found, key=lambda finding: RANK[finding.level]))

    @property
    def cause(self) -> str:
        """Name the figure that makes most of the superfat's spread, and the way to narrow it."""
        if self.result is None or self.result.superfat is None or not self.result.superfat.causes:
            return ""
        return f"{main_cause(self.result.superfat)} {way_out(self.result.superfat)}"

    @property
    def adds_up(self) -> bool:
        """Whether the lines of the weigh-out come to the batch."""
        lines = sum((row.grams for row in self.weigh_rows), Decimal(0))
        return self.result is not None and abs(lines - (self.result.batch_grams or 0)) < CLOSING_GRAMS

    @property
    def lye_in_stock_grams(self) -> Decimal | None:
        result = self.result
        if result is None or result.stock_solution_grams is None or result.water_in_stock_grams is None:
            return None
        return result.stock_solution_grams - result.water_in_stock_grams

    @property
    def lye_and_water_grams(self) -> Decimal | None:
        """All that goes into the lye pot when a ready solution is drawn: solution, dry lye and plain water."""
        result = self.result
        if result is None or result.stock_solution_grams is None:
            return None
        parts = (result.stock_solution_grams, result.dry_alkali_grams, result.water_grams)
        return sum((grams for grams in parts if grams), Decimal(0))

    @property
    def mark(self) -> str:
        """Return the chief figures as text, so that the next calculation can tell which of them changed."""
        result = self.result
        if result is None or result.superfat is None:
            return ""
        figures = {
            "superfat": result.superfat.planned,
            "naoh": result.naoh_grams,
            "koh": result.koh_grams,
            "water": result.water_grams,
            "batch": result.batch_grams,
        }
        return " ".join(f"{name}={figure:.3f}" for name, figure in figures.items() if figure is not None)

    def changed_since(self, mark: str) -> set[str]:
        """Return the names of the chief figures that differ from an earlier mark."""
        if not mark or not self.mark:
            return set()
        return {text.partition("=")[0] for text in set(self.mark.split()) - set(mark.split())}

    @property
    def superfat_picture(self) -> Picture | None:
        if self.result is None or self.result.superfat is None:
            return None
        return superfat_interval_svg(self.result.superfat, self.floor_percent)

    @property
    def fatty_acids_picture(self) -> Picture | None:
        if self.result is None or not self.result.fatty_acids:
            return None
        return fatty_acids_svg(self.result.fatty_acids)


def revision_page(
    revision: FormulaRevision, *, workshop: Workshop, asked: SizeAsked = NOTHING_ASKED, superfat: str = ""
) -> RevisionPage:
    """Work a saved revision out for the size a person asked for, or for one kilogram of oils.

    ``superfat`` is another superfat as typed, to be shown by both routes.
    """
    least = workshop.least_superfat_percent
    reckoning = reckon_revision(revision, least_superfat_percent=least)
    size = size_shown(asked, revision, reckoning.result)
    if size.oils_grams != ONE_KILOGRAM:
        reckoning = reckon_revision(revision, oils_grams=size.oils_grams, least_superfat_percent=least)
    others = tuple(other for other in revision.formula.revisions.order_by("-number") if other.pk != revision.pk)
    lines = list(revision.lines.all())
    pot = pot_sheet(lines, reckoning, workshop=workshop, superfat=superfat)
    return _page(lines, reckoning, size, workshop, pot, others)


def typed_page(reckoning: Reckoning, lines: Sequence[FormulaLine], *, workshop: Workshop) -> RevisionPage:
    """Show what is typed and not saved yet, for one kilogram of oils."""
    pot = pot_sheet(lines, reckoning, workshop=workshop)
    return _page(lines, reckoning, SizeShown(), workshop, pot)


def _page(
    lines: Sequence[FormulaLine],
    reckoning: Reckoning,
    size: SizeShown,
    workshop: Workshop,
    pot: PotSheet,
    others: tuple[FormulaRevision, ...] = (),
) -> RevisionPage:
    result = reckoning.result
    is_computed = result is not None and result.is_computed
    return RevisionPage(
        reckoning=reckoning,
        size=size,
        weigh_rows=weigh_rows(lines, result, size.oils_grams) if is_computed else (),
        cured=cured_batches(result) if is_computed else (),
        floor_percent=workshop.least_superfat_percent,
        pot=pot,
        others=others,
    )


def weigh_rows(lines: Sequence[FormulaLine], result: FormulaResult | None, oils_grams: Decimal) -> tuple[WeighRow, ...]:
    """Return the weigh-out in order of use, for a result worked out from these lines."""
    if result is None:
        return ()
    by_stage: Mapping[str, list[FormulaLine]] = {
        stage: [line for line in lines if line.stage == stage] for stage in Stage.values
    }
    return (
        *_lye_rows(by_stage, result, oils_grams),
        *(
            WeighRow("Oils", line.material.name, oils_grams * line.percent / 100, line.percent, "of oils")
            for line in by_stage[Stage.OILS]
        ),
        *(_dosed("At trace", line, oils_grams) for line in by_stage[Stage.TRACE]),
    )


def _dosed(phase: str, line: FormulaLine, oils_grams: Decimal) -> WeighRow:
    material = line.material
    grams = oils_grams * line.percent / 100
    return WeighRow(phase, material.name, grams, line.percent, "of oils", material.when_added)


def _lye_rows(by_stage: Mapping[str, list[FormulaLine]], result: FormulaResult, oils_grams: Decimal) -> list[WeighRow]:
    rows = [WeighRow("Lye", name, grams, None) for name, grams in result.liquids if grams]
    rows += [_dosed("Lye", line, oils_grams) for line in by_stage[Stage.LYE]]
    if result.stock_solution_grams:
        rows.append(WeighRow("Lye", "Ready lye solution", result.stock_solution_grams, None))
    by_kind = {"NaOH": result.naoh_grams, "KOH": result.koh_grams}
    for line in by_stage[Stage.ALKALI]:
        grams = by_kind[line.material.alkali_kind] if not result.stock_solution_grams else result.dry_alkali_grams
        if grams:
            rows.append(WeighRow("Lye", line.material.name, grams, line.percent, "of the fat"))
    return rows


def cured_batches(result: FormulaResult | None) -> tuple[CuredBatch, ...]:
    """Return what the whole batch weighs when it has dried to usual moistures."""
    if result is None or result.batch_grams is None or result.water_in_batch_grams is None:
        return ()
    fresh, dry = result.batch_grams, result.batch_grams - result.water_in_batch_grams
    rows = []
    for moisture in MOISTURES_PERCENT:
        grams = dry / (1 - moisture / 100)
        if grams <= fresh:
            fatty = 100 * (result.total_fatty_matter_grams or 0) / grams
            rows.append(CuredBatch(moisture, grams, 100 * (1 - grams / fresh), fatty))
    return tuple(rows)
