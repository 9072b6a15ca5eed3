"""The papers of a lot, each with what is to be said of its age."""

from dataclasses import dataclass
from datetime import date, timedelta

from production.lot_papers.models import LotPaper
from production.stock.models import Lot

# Own choice, no source: past three years a newer sheet is asked for. A note, never a stop.
OLD_AFTER = timedelta(days=3 * 365)


@dataclass(frozen=True)
class PaperRow:
    paper: LotPaper
    is_old: bool


def papers_of(lot: Lot, *, today: date) -> list[PaperRow]:
    return [PaperRow(paper, _is_old(paper, today)) for paper in lot.papers.select_related("by")]


def _is_old(paper: LotPaper, today: date) -> bool:
    is_sheet = paper.kind == LotPaper.Kind.SAFETY_SHEET
    return is_sheet and paper.dated_on is not None and today - paper.dated_on > OLD_AFTER
