"""Keep a paper with a lot, and take one away again."""

from datetime import date

from django.db import transaction

from production.lot_papers.models import LotPaper
from production.stock.actions import StockRefusal
from production.stock.models import Lot
from soapshop.audit import note_event
from soapshop.kept_pdfs import KeptPdf, remove_pdf_after, store_pdf
from soapshop.models import User
from soapshop.photos import Photo, remove_photo_after, store_photo

MOST_PAPERS = 20
SHELF = "lot"


@transaction.atomic
def keep_lot_paper(
    *, lot_id: int, kind: str, file: KeptPdf | Photo, by: User, dated_on: date | None = None, note: str = ""
) -> LotPaper:
    """Keep a certificate, a safety sheet or another paper with its lot."""
    lot = Lot.objects.select_for_update().get(pk=lot_id)
    if lot.papers.count() >= MOST_PAPERS:
        raise StockRefusal(f"{lot.code} has {MOST_PAPERS} papers already. Take one away first.")
    name = store_pdf(file, shelf=SHELF) if isinstance(file, KeptPdf) else store_photo(file, shelf=SHELF)
    paper = LotPaper.objects.create(lot=lot, kind=kind, file=name, dated_on=dated_on, note=note.strip()[:200], by=by)
    note_event(by=by, verb="keep_lot_paper", subject=lot, text=f"Kept the {paper.get_kind_display().lower()} of {lot}.")
    return paper


@transaction.atomic
def remove_lot_paper(*, paper_id: int, reason: str, by: User) -> None:
    """Take a paper away that was kept with the wrong lot; the audit trail remembers that it was there."""
    paper = LotPaper.objects.select_for_update().select_related("lot").get(pk=paper_id)
    if not reason.strip():
        raise StockRefusal("Say in a few words why the paper is taken away.")
    remove = remove_pdf_after if paper.is_pdf else remove_photo_after
    remove(paper.file)
    text = f"Took away the {paper.get_kind_display().lower()} of {paper.lot}: {reason.strip()}"[:400]
    note_event(by=by, verb="remove_lot_paper", subject=paper.lot, text=text)
    paper.delete()
