"""The logo on paper: drawn once on every label, in its shape, and nothing is fetched or opened to print it."""

import io
import json
import os
import subprocess
import sys
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pdfplumber
import pypdfium2
import pytest
from PIL import Image

from production.documents.label_sheet import label_sheet_pdf
from production.documents.label_stock import LETTER_10, ROUND_LETTER
from production.documents.records import LabelRun, LabelSheetPaper
from soapshop.paper import PaperRefused
from tests.production.pdf_reading import MM_PER_POINT, outlines
from tests.production.sample_papers import LABEL

ROOT = Path(__file__).resolve().parents[2]
FOREST = (47, 93, 80)
FACE = replace(LABEL, logo_aspect=Decimal("2.5"))


def jpeg(color=FOREST, **extra) -> bytes:
    written = io.BytesIO()
    Image.new("RGB", (250, 100), color).save(written, "JPEG", quality=95, **extra)
    return written.getvalue()


def sheet(stock, copies=3) -> LabelSheetPaper:
    return LabelSheetPaper(stock, (LabelRun(FACE, copies),), logo_name="logo/1.jpg", has_outlines=True)


@pytest.mark.parametrize("stock", [LETTER_10, ROUND_LETTER], ids=lambda stock: stock.code)
def test_the_logo_stands_once_on_every_label_in_its_shape(stock):
    pdf = label_sheet_pdf(sheet(stock), logo_jpeg=jpeg())
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        found = [
            tuple(float(image[side]) * MM_PER_POINT for side in ("x0", "top", "width", "height"))
            for image in document.pages[0].images
        ]
    labels = outlines(pdf)
    assert len(found) == len(labels) == 3
    for (left, top, width, height), label in zip(sorted(found), sorted_by_left(labels), strict=True):
        assert width / height == pytest.approx(2.5, abs=0.01)
        assert label.left < left
        assert left + width < label.left + label.width
        assert label.top < top < label.top + label.height / 2


def sorted_by_left(labels):
    return sorted(labels, key=lambda box: (box.left, box.top))


def test_the_logo_has_its_own_color_on_paper():
    pdf = label_sheet_pdf(sheet(LETTER_10, copies=1), logo_jpeg=jpeg())
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        image = document.pages[0].images[0]
    picture = pypdfium2.PdfDocument(pdf)[0].render(scale=2).to_pil().convert("RGB")
    middle = (int(image["x0"] + image["width"] / 2) * 2, int(image["top"] + image["height"] / 2) * 2)
    assert all(abs(seen - wanted) <= 4 for seen, wanted in zip(picture.getpixel(middle), FOREST, strict=True))


def test_the_same_logo_gives_the_same_bytes():
    assert label_sheet_pdf(sheet(LETTER_10), logo_jpeg=jpeg()) == label_sheet_pdf(sheet(LETTER_10), logo_jpeg=jpeg())


def test_a_label_without_a_logo_has_no_picture():
    pdf = label_sheet_pdf(LabelSheetPaper(LETTER_10, (LabelRun(LABEL, 1),)), logo_jpeg=jpeg())
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        assert document.pages[0].images == []


@pytest.mark.parametrize("content", [b"", b"no picture at all", b"<svg xmlns='http://www.w3.org/2000/svg'/>"])
def test_a_logo_that_is_no_picture_is_refused_in_a_sentence(content):
    with pytest.raises(PaperRefused, match=r"not printed\."):
        label_sheet_pdf(sheet(LETTER_10), logo_jpeg=content)


def test_printing_a_logo_opens_no_file_and_calls_nobody(listener):
    """An audit hook sees what one sheet opens and whom it calls, with addresses in the picture and in the words."""
    port, calls = listener
    done = subprocess.run(
        [sys.executable, "-c", HOOKED, str(port)],
        capture_output=True,
        text=True,
        cwd=ROOT,
        timeout=120,
        env={"PATH": "", "SOAPSHOP_DATA_DIR": os.environ.get("SOAPSHOP_DATA_DIR", "")},
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout) == []
    assert calls == []


HOOKED = """
import json, os, sys
sys.path.insert(0, ".")
os.environ["DJANGO_SETTINGS_MODULE"] = "soapshop.settings"
if not os.environ["SOAPSHOP_DATA_DIR"]:
    del os.environ["SOAPSHOP_DATA_DIR"]
import django
django.setup()
from dataclasses import replace
from tests.production.test_label_logo import FACE, jpeg, sheet
from production.documents.label_sheet import label_sheet_pdf
from production.documents.label_stock import LETTER_10
from production.documents.records import LabelRun
address = "http://127.0.0.1:%s/logo.png" % sys.argv[1]
plain = sheet(LETTER_10, copies=1)
label_sheet_pdf(plain, logo_jpeg=jpeg())
words = "<img src=%s> url(%s) file:///etc/hostname" % (address, address)
hostile = replace(plain, runs=(LabelRun(replace(FACE, wording=words, notes=(words,)), 1),), title=words)
picture = jpeg(comment=("<xmpmeta href='%s'/> file:///etc/hostname" % address).encode())
seen = []
WATCHED = ("open", "socket.connect", "socket.getaddrinfo", "subprocess.Popen")
sys.addaudithook(lambda event, given: seen.append(str(given[0])) if event in WATCHED else None)
label_sheet_pdf(hostile, logo_jpeg=picture)
print(json.dumps([path for path in seen if not path.endswith((".py", ".pyc"))]))
"""
