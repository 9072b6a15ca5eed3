"""What a paper costs from the rows to its bytes, against the bare rendering of the same HTML."""

import time
from collections.abc import Callable
from dataclasses import replace
from zoneinfo import ZoneInfo

from django.utils import timezone

from production.batch_states import BatchState
from production.batches.models import Batch
from production.batches.ticket import ticket_paper
from production.benchmark.results import PaperCost
from production.documents.batch_ticket import batch_ticket_pdf
from production.documents.label_records import LabelSheetPaper
from production.documents.label_sheet import label_sheet_pdf
from production.labels.choices import CodeToScan
from production.labels.reads import batch_for_labels, plain_ask
from production.labels.sheets import prepare_label
from soapshop.models import Workshop
from soapshop.paper import FONT_FACES, PDF_OPTIONS, Sheet, watched_layouts
from soapshop.typeface import font_path

LABELS = 30


def paper_costs(*, rounds: int) -> list[PaperCost]:
    papers = {"Batch ticket": _ticket, f"Label sheet, {LABELS} labels with codes": _labels}
    return [_cost(name, paper, rounds=rounds) for name, paper in papers.items()]


def _ticket() -> bytes:
    batch = Batch.objects.for_page().filter(status=BatchState.PLANNED.value).order_by("pk").first()
    shown = batch or Batch.objects.for_page().order_by("pk")[0]
    now = timezone.now().astimezone(ZoneInfo(Workshop.current().time_zone))
    paper = ticket_paper(
        shown,
        workshop=Workshop.current(),
        printed_at=now,
        printed_by="Bench",
        scan_text=shown.number,
        copy_number=1,
    )
    return batch_ticket_pdf(paper)


def _labels() -> bytes:
    return label_sheet_pdf(label_paper(LABELS))


def label_paper(copies: int) -> LabelSheetPaper:
    """So many labels with codes to scan for a released batch; nothing is kept."""
    batch, workshop = labeled_batch(), Workshop.current()
    ask = replace(plain_ask(finish_of(batch), workshop=workshop, copies=copies), code=CodeToScan.BATCH)
    return prepare_label(batch, ask, workshop=workshop, on=timezone.localdate()).paper


def labeled_batch() -> Batch:
    found: Batch = batch_for_labels().filter(status=BatchState.RELEASED.value).order_by("pk")[0]
    return found


def finish_of(batch: Batch) -> str:
    return batch.bar_moves.order_by("pk")[0].finish


def _cost(name: str, paper: Callable[[], bytes], *, rounds: int) -> PaperCost:
    """Draw the paper and its bare twin in turn; keep the least of each."""
    with watched_layouts() as sheets:
        paper()
    # A ticket tries arrangements until one fits a page; the last sheet laid out is the one that was printed.
    sheet = sheets[-1]
    pages = _bare_pages(sheet)
    ours, bare = [], []
    for _ in range(rounds):
        ours.append(_seconds(paper))
        bare.append(_seconds(lambda: _bare_pages(sheet)))
    return PaperCost(name, min(ours) * 1000, min(bare) * 1000, pages)


def _bare_pages(sheet: Sheet) -> int:
    """Render as a program with WeasyPrint alone would: fonts and styles set up anew, nothing kept or checked."""
    import weasyprint
    from weasyprint.text.fonts import FontConfiguration

    fonts = FontConfiguration()
    faces = "\n".join(
        f'@font-face {{ font-family: "{family}"; font-weight: {weight}; src: url({font_path(face).as_uri()}) }}'
        for face, (family, weight) in FONT_FACES.items()
    )
    styles = [weasyprint.CSS(string=css, font_config=fonts) for css in (faces, *sheet.stylesheets)]
    document = weasyprint.HTML(string=sheet.html).render(stylesheets=styles, font_config=fonts, **PDF_OPTIONS)
    document.write_pdf(**PDF_OPTIONS)
    return len(document.pages)


def _seconds(work: Callable[[], object]) -> float:
    began = time.process_time()
    work()
    return time.process_time() - began
