"""Two revisions of a formula side by side: what changed, and what the change does."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from formulas.chemistry.results import FormulaResult
from formulas.declaration_records import label_list
from formulas.dose_records import formula_doses
from formulas.doses import DoseSheet
from formulas.models import FormulaRevision
from formulas.records import reckon_revision
from soapshop.models import Workshop


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
    older_label: str = ""  # the ingredient list in the workshop's market and style, as the formula is written
    newer_label: str = ""

    @property
    def is_label_changed(self) -> bool:
        return self.older_label != self.newer_label


def compared_revisions(
    newer: FormulaRevision, older: FormulaRevision, *, workshop: Workshop, on_date: date
) -> Comparison:
    """Set two revisions side by side, line by line, with what the change does for 1 kg of oils."""
    shares: dict[tuple[str, str], list[Decimal | None]] = {}
    for column, revision in enumerate((older, newer)):
        for line in revision.lines.all():
            shares.setdefault((line.get_stage_display(), line.material.name), [None, None])[column] = line.percent
    results = [reckon_revision(revision).result for revision in (older, newer)]
    pairs = [(list(revision.lines.all()), result) for revision, result in zip((older, newer), results, strict=True)]
    labels = [label_list(lines, result, workshop=workshop, on_date=on_date) for lines, result in pairs]
    doses = [formula_doses(lines, result) for lines, result in pairs]
    return Comparison(
        older=older,
        newer=newer,
        lines=tuple(ComparedLine(name, stage, *pair) for (stage, name), pair in shares.items()),
        figures=(*_compared_figures(older, newer, results), *_compared_scent(doses)),
        older_label=labels[0],
        newer_label=labels[1],
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

    found = (
        ComparedFigure("Superfat planned", "%", older.superfat_percent, newer.superfat_percent),
        ComparedFigure("Superfat at its lowest", "%", *interval("lowest")),
        ComparedFigure("Superfat at its highest", "%", *interval("highest")),
        ComparedFigure("Superfat at its likely lowest", "%", *interval("likely_lowest")),
        ComparedFigure("NaOH to weigh", "g", *pair("naoh_grams")),
        ComparedFigure("KOH to weigh", "g", *pair("koh_grams")),
        ComparedFigure("Plain water", "g", *pair("water_grams")),
        ComparedFigure("Lye concentration", "%", *pair("lye_concentration_percent")),
        ComparedFigure("Scent", "g", *pair("scent_grams")),
        ComparedFigure("Batch", "g", *pair("batch_grams")),
        ComparedFigure("Cure", "days", Decimal(older.cure_days), Decimal(newer.cure_days)),
    )
    return tuple(figure for figure in found if figure.older or figure.newer)


def _compared_scent(doses: Sequence[DoseSheet]) -> tuple[ComparedFigure, ...]:
    """Return each scent, and all of them, as percent of the dried bar."""
    by_name: dict[str, list[Decimal | None]] = {}
    for column, sheet in enumerate(doses):
        for row in (*(row for row in sheet.rows if row.is_scent), *((sheet.scent,) if sheet.scent else ())):
            by_name.setdefault(row.name, [None, None])[column] = row.percent_of_bar
    return tuple(ComparedFigure(f"{name}, of the dried bar", "%", *pair) for name, pair in by_name.items())
