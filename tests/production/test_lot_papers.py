"""Papers of a lot: bounded, outside the web root, for signed-in people, handed out to save, never shown in a page."""

import io
from datetime import date
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image
from pypdf import PdfWriter

from production.lot_papers.actions import MOST_PAPERS, keep_lot_paper, remove_lot_paper
from production.lot_papers.models import LotPaper
from production.lot_papers.reads import papers_of
from production.stock.actions import StockRefusal, receive_lot
from soapshop.kept_pdfs import KeptPdf, PdfRefusal, read_pdf
from tests.production.stores_shop import material


def pdf_bytes(*, password: str = "", pages: int = 1) -> bytes:
    writer, file = PdfWriter(), io.BytesIO()
    for _ in range(pages):
        writer.add_blank_page(100, 100)
    if password:
        writer.encrypt(password)
    writer.write(file)
    return file.getvalue()


def upload(content: bytes, name: str = "sheet.pdf") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content, content_type="application/pdf")


@pytest.fixture(autouse=True)
def own_files(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "media"


@pytest.fixture
def lot(owner, workshop):
    return receive_lot(material=material("lye"), received_on=date(2026, 4, 1), grams=Decimal(5000), by=owner)


def send(client, lot, file, **typed):
    return client.post(f"/stores/lots/{lot.code}/papers/", {"kind": "safety_sheet", "file": file} | typed)


def test_a_pdf_is_kept_and_handed_out_to_save(owner_client, client, lot, settings):
    assert send(owner_client, lot, upload(pdf_bytes()), dated_on="2026-01-05").status_code == 302
    paper = LotPaper.objects.get()
    assert (settings.MEDIA_ROOT / paper.file).is_file()
    answer = owner_client.get(f"/stores/lots/{lot.code}/papers/{paper.pk}/")
    assert answer.content == pdf_bytes()
    assert answer["Content-Disposition"] == f'attachment; filename="safety-sheet-{lot.code}.pdf"'
    assert (answer["X-Content-Type-Options"], answer["Content-Type"]) == ("nosniff", "application/pdf")
    assert answer["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert client.get(f"/stores/lots/{lot.code}/papers/{paper.pk}/").url.startswith("/sign-in/")
    assert client.get(f"/media/{paper.file}").status_code in (302, 404)


def test_a_photo_of_a_paper_is_drawn_anew(owner_client, lot):
    file = io.BytesIO()
    notes = Image.Exif()
    notes[0x010F] = "A camera's maker"  # tag 271 of TIFF 6.0: Make
    Image.new("RGB", (30, 20), "white").save(file, "JPEG", exif=notes)
    assert send(owner_client, lot, upload(file.getvalue(), "photo.jpg")).status_code == 302
    paper = LotPaper.objects.get()
    shown = owner_client.get(f"/stores/lots/{lot.code}/papers/{paper.pk}/")
    assert (paper.is_pdf, shown["Content-Type"], b"camera" in shown.content) == (False, "image/jpeg", False)


@pytest.mark.parametrize(
    ("content", "sentence"),
    (
        (b"", "This file is empty."),
        (b"%PDF-1.7 and nothing more", "cannot be read as a PDF"),
        (b"<script>alert(1)</script>", "cannot be read as a photo"),
        (pdf_bytes(password="secret"), "locked with a password"),
        (pdf_bytes(pages=201), "from 1 to 200 pages"),
    ),
)
def test_what_is_no_paper_is_refused_in_a_sentence(owner_client, lot, content, sentence):
    answer = send(owner_client, lot, upload(content))
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert not LotPaper.objects.exists()


def test_a_pdf_past_its_bound_is_refused():
    with pytest.raises(PdfRefusal, match="larger than 8 MB"):
        read_pdf(io.BytesIO(b"%PDF-" + b"0" * 8_000_000))


def test_a_paper_is_taken_away_with_a_reason(owner, owner_client, lot, settings, django_capture_on_commit_callbacks):
    paper = keep_lot_paper(lot_id=lot.pk, kind="certificate", file=KeptPdf(pdf_bytes(), 1), by=owner)
    path = settings.MEDIA_ROOT / paper.file
    with pytest.raises(StockRefusal, match="why the paper is taken away"):
        remove_lot_paper(paper_id=paper.pk, reason=" ", by=owner)
    with django_capture_on_commit_callbacks(execute=True):
        remove_lot_paper(paper_id=paper.pk, reason="Of the other lot", by=owner)
    assert (LotPaper.objects.exists(), path.exists()) == (False, False)


def test_a_lot_has_room_for_so_many_papers(owner, lot):
    LotPaper.objects.bulk_create(LotPaper(lot=lot, kind="other", file="x", by=owner) for _ in range(MOST_PAPERS))
    with pytest.raises(StockRefusal, match="Take one away first"):
        keep_lot_paper(lot_id=lot.pk, kind="other", file=KeptPdf(pdf_bytes(), 1), by=owner)


@pytest.mark.parametrize(
    ("kind", "dated", "is_old"),
    (
        pytest.param("safety_sheet", date(2023, 5, 12), True, id="a day past 3 x 365 days, worked by hand"),
        pytest.param("safety_sheet", date(2023, 5, 13), False, id="3 x 365 days to the day"),
        pytest.param("certificate", date(2020, 1, 1), False, id="a certificate does not age"),
        pytest.param("safety_sheet", None, False, id="no day, no judgement"),
    ),
)
def test_an_old_safety_sheet_is_said(owner, lot, kind, dated, is_old):
    keep_lot_paper(lot_id=lot.pk, kind=kind, file=KeptPdf(pdf_bytes(), 1), dated_on=dated, by=owner)
    (row,) = papers_of(lot, today=date(2026, 5, 12))
    assert row.is_old == is_old
