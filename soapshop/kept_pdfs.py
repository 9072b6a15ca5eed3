"""PDFs that came from outside, such as certificates: read once, bounded, kept outside the web root, handed out to save.

A PDF cannot be drawn anew as a photo is. So it is only kept when it opens as one, and it is never shown inside a page
of the shop: the browser is told to save it.
"""

import io
import re
import secrets
from dataclasses import dataclass
from functools import partial
from typing import IO

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.http import HttpResponse

MOST_PDF_BYTES = 8_000_000  # own choice: a scanned certificate of a few pages stays below it
MOST_PDF_PAGES = 200
START = b"%PDF-"
KEPT_NAME = re.compile(r"pdfs/[a-z]{1,20}/[0-9a-f]{32}\.pdf")
NOT_A_PDF = "This file cannot be read as a PDF. Save it once more from where it came, then choose it again."


class PdfRefusal(Exception):
    """A file cannot be kept as a PDF; the message says why and the mend."""


class PdfMissing(Exception):
    """The file of a kept PDF is not on the disk."""


@dataclass(frozen=True)
class KeptPdf:
    content: bytes
    pages: int


def looks_like_pdf(upload: IO[bytes]) -> bool:
    """Whether a file begins as a PDF does; the file is read from its start again afterwards."""
    start = upload.read(len(START))
    upload.seek(0)
    return start == START


def read_pdf(upload: IO[bytes]) -> KeptPdf:
    """Return an uploaded PDF that opens and is not locked. Raises PdfRefusal."""
    from pypdf import PdfReader  # here, because only few pages need it
    from pypdf.errors import PyPdfError

    content = upload.read(MOST_PDF_BYTES + 1)
    if len(content) > MOST_PDF_BYTES:
        raise PdfRefusal("This PDF is larger than 8 MB. Save it smaller, or send the one page that matters.")
    if not content.startswith(START):
        raise PdfRefusal(NOT_A_PDF)
    try:
        reader = PdfReader(io.BytesIO(content))
        if reader.is_encrypted:
            raise PdfRefusal("This PDF is locked with a password. Save it without one, then choose it again.")
        pages = len(reader.pages)
    # The reader meets a broken file with whichever of these it stumbled over.
    except (PyPdfError, OSError, ValueError, TypeError, KeyError, AttributeError, IndexError, RecursionError) as fault:
        raise PdfRefusal(NOT_A_PDF) from fault
    if not 1 <= pages <= MOST_PDF_PAGES:
        raise PdfRefusal(f"A paper has from 1 to {MOST_PDF_PAGES} pages. Send only those that matter.")
    return KeptPdf(content, pages)


def store_pdf(pdf: KeptPdf, *, shelf: str) -> str:
    """Write the PDF to the disk and return the name to keep in the row; call it last in the transaction."""
    name = f"pdfs/{shelf}/{secrets.token_hex(16)}.pdf"
    if not KEPT_NAME.fullmatch(name):
        raise ValueError(f"A shelf is a word of small letters, not {shelf!r}.")
    return default_storage.save(name, ContentFile(pdf.content))


def remove_pdf_after(name: str) -> None:
    """Take a kept PDF off the disk as soon as the present transaction stands."""
    if KEPT_NAME.fullmatch(name):
        transaction.on_commit(partial(default_storage.delete, name))


def pdf_answer(name: str, *, save_as: str) -> HttpResponse:
    """Answer with a kept PDF to save. The view decides who may have it. Raises PdfMissing."""
    if not KEPT_NAME.fullmatch(name):
        raise PdfMissing("There is no PDF of this name. Keep one first.")
    try:
        with default_storage.open(name) as file:
            answer = HttpResponse(file.read(), content_type="application/pdf")
    except FileNotFoundError as fault:
        raise PdfMissing("The file of this PDF is gone from the disk. Keep it once more.") from fault
    answer.headers["Content-Disposition"] = f'attachment; filename="{save_as}.pdf"'
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Cache-Control"] = "private, no-cache"
    answer.headers["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return answer
