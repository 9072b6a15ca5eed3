"""What the formula pages show, worked out for one page each."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from formulas.chemistry.results import FormulaResult
from formulas.models import Formula, FormulaLine, FormulaRevision, Material
from formulas.records import ONE_KILOGRAM, Reckoning, reckon_revision
from soapshop.models import Workshop
from soapshop.quantity import QuantityRefused, mass_grams

Stage = FormulaLine.Stage
MOISTURES_PERCENT = (Decimal(8), Decimal(10), Decimal(12), Decimal(15))
LEAST_OILS_GRAMS, MOST_OILS_GRAMS = Decimal(50), Decimal(100_000)


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


@dataclass(frozen=True)
class CuredBatch:
    """The whole batch dried to a moisture, and what it has lost by then."""

    moisture_percent: Decimal
    grams: Decimal
    loss_percent: Decimal


@dataclass(frozen=True)
class RevisionPage:
    reckoning: Reckoning
    oils_grams: Decimal
    oils_refusal: str
    weigh_rows: tuple[WeighRow, ...]
    cured: tuple[CuredBatch, ...]
    floor_percent: Decimal
    others: tuple[FormulaRevision, ...] = ()

    @property
    def result(self) -> FormulaResult | None:
        result = self.reckoning.result
        return result if result is not None and result.is_computed else None

    @property
    def cause(self) -> tuple[str, Decimal] | None:
        """Name the figure that makes most of the superfat's spread, and its share of the variance in percent."""
        if self.result is None or self.result.superfat is None or not self.result.superfat.causes:
            return None
        name, share = self.result.superfat.causes[0]
        return name, share * 100


def revision_page(
    revision: FormulaRevision,
    *,
    workshop: Workshop,
    typed_grams: str = "",
    reckoning: Reckoning | None = None,
    lines: Sequence[FormulaLine] | None = None,
) -> RevisionPage:
    """Work a revision out for the mass of oils a person typed, or for one kilogram."""
    oils_grams, refusal = _oils(typed_grams)
    shown = list(revision.lines.all()) if lines is None else list(lines)
    if reckoning is None:
        least = workshop.least_superfat_percent
        reckoning = reckon_revision(revision, oils_grams=oils_grams, least_superfat_percent=least)
    others = () if revision.formula_id is None else tuple(_others(revision))
    result = reckoning.result
    is_computed = result is not None and result.is_computed
    return RevisionPage(
        reckoning=reckoning,
        oils_grams=oils_grams,
        oils_refusal=refusal,
        weigh_rows=weigh_rows(shown, result, oils_grams) if is_computed else (),
        cured=cured_batches(result) if is_computed else (),
        floor_percent=workshop.least_superfat_percent,
        others=others,
    )


def _others(revision: FormulaRevision) -> list[FormulaRevision]:
    return [other for other in revision.formula.revisions.order_by("-number") if other.pk != revision.pk]


def _oils(typed: str) -> tuple[Decimal, str]:
    if not typed.strip():
        return ONE_KILOGRAM, ""
    try:
        grams = mass_grams(typed, default_unit="gram")
    except QuantityRefused as refusal:
        return ONE_KILOGRAM, str(refusal)
    if not LEAST_OILS_GRAMS <= grams <= MOST_OILS_GRAMS:
        return ONE_KILOGRAM, "Give the oils between 50 g and 100 kg. Shown below is 1 kg."
    return grams, ""


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
        *(
            WeighRow("At trace", line.material.name, oils_grams * line.percent / 100, line.percent, "of oils")
            for line in by_stage[Stage.TRACE]
        ),
    )


def _lye_rows(by_stage: Mapping[str, list[FormulaLine]], result: FormulaResult, oils_grams: Decimal) -> list[WeighRow]:
    rows = [WeighRow("Lye", name, grams, None) for name, grams in result.liquids if grams]
    rows += [
        WeighRow("Lye", line.material.name, oils_grams * line.percent / 100, line.percent, "of oils")
        for line in by_stage[Stage.LYE]
    ]
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
            rows.append(CuredBatch(moisture, grams, 100 * (1 - grams / fresh)))
    return tuple(rows)


@dataclass(frozen=True)
class ComparedLine:
    name: str
    stage: str
    older: Decimal | None
    newer: Decimal | None

    @property
    def is_changed(self) -> bool:
        return self.older != self.newer


@dataclass(frozen=True)
class ComparedFigure:
    label: str
    unit: str
    older: Decimal | None
    newer: Decimal | None

    @property
    def is_changed(self) -> bool:
        return self.older != self.newer


@dataclass(frozen=True)
class Comparison:
    older: FormulaRevision
    newer: FormulaRevision
    lines: tuple[ComparedLine, ...]
    figures: tuple[ComparedFigure, ...]


def compared_revisions(newer: FormulaRevision, older: FormulaRevision) -> Comparison:
    """Set two revisions side by side, line by line, with what the change does for 1 kg of oils."""
    shares: dict[tuple[str, str], list[Decimal | None]] = {}
    for column, revision in enumerate((older, newer)):
        for line in revision.lines.all():
            shares.setdefault((line.get_stage_display(), line.material.name), [None, None])[column] = line.percent
    results = [reckon_revision(revision).result for revision in (older, newer)]
    return Comparison(
        older=older,
        newer=newer,
        lines=tuple(ComparedLine(name, stage, *pair) for (stage, name), pair in shares.items()),
        figures=_compared_figures(older, newer, results),
    )


def _compared_figures(
    older: FormulaRevision, newer: FormulaRevision, results: Sequence[FormulaResult | None]
) -> tuple[ComparedFigure, ...]:
    def pair(name: str) -> tuple[Decimal | None, Decimal | None]:
        first, second = (None if result is None else getattr(result, name) for result in results)
        return first, second

    def interval(name: str) -> tuple[Decimal | None, Decimal | None]:
        first, second = (
            None if result is None or result.superfat is None else getattr(result.superfat, name) for result in results
        )
        return first, second

    return (
        ComparedFigure("Superfat planned", "%", older.superfat_percent, newer.superfat_percent),
        ComparedFigure("Superfat at its lowest", "%", *interval("lowest")),
        ComparedFigure("Superfat at its highest", "%", *interval("highest")),
        ComparedFigure("NaOH to weigh", "g", *pair("naoh_grams")),
        ComparedFigure("KOH to weigh", "g", *pair("koh_grams")),
        ComparedFigure("Plain water", "g", *pair("water_grams")),
        ComparedFigure("Lye concentration", "%", *pair("lye_concentration_percent")),
        ComparedFigure("Scent", "g", *pair("scent_grams")),
        ComparedFigure("Batch", "g", *pair("batch_grams")),
        ComparedFigure("Cure", "days", Decimal(older.cure_days), Decimal(newer.cure_days)),
    )


def material_choices() -> dict[str, list[str]]:
    """Return the names to choose from in each list of a formula, read in one query."""
    names: dict[str, list[str]] = {"oils": [], "alkali": [], "liquid": [], "extras": []}
    lists = {Material.Kind.FAT: "oils", Material.Kind.ALKALI: "alkali", Material.Kind.LIQUID: "liquid"}
    for name, kind in Material.objects.in_use().exclude(kind="packaging").values_list("name", "kind"):
        names[lists.get(Material.Kind(kind), "extras")].append(name)
    return names
