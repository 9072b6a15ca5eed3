"""Two revisions of a formula side by side: what changed, and what the change does."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from formulas.chemistry.results import FormulaResult
from formulas.models import FormulaRevision
from formulas.records import reckon_revision


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
