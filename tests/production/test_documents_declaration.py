"""The ingredient declaration sheet read back from its PDF."""

import io
from dataclasses import replace
from decimal import Decimal

import pypdf
import pytest

from production.documents.declaration_sheet import declaration_sheet_pdf
from production.documents.records import DeclarationLine
from tests.production.pdf_reading import page_sizes_mm, page_texts
from tests.production.sample_papers import DECLARATION


@pytest.fixture(scope="module")
def sheet() -> bytes:
    return declaration_sheet_pdf(DECLARATION)


@pytest.mark.parametrize(
    "words",
    [
        "Dusk over Harbor Hill, with sprig topper",
        "B-2026-041",
        "US cosmetic",
        "as added",
        "HH-04 rev. 3",
        "Nov 25, 2026",
        DECLARATION.declaration,
        "12 Quay Lane, Merrow Point, ME 04999",
        "Worked from weights recorded at the bench.",
        "2,003.0 26.68 % above 1 percent, by weight",
        "Olive oil, OO-112",
        "Together 7,506.6",
        "Linalool 0.4410 % 0.01 % declare",
        "Geraniol 0.0061 % 0.01 % below",
        "Alpha-Cedrene unknown 0.01 % unknown",
        "has no allergen data. Ask the supplier",
        "21 CFR 701.3, read November 2026",
        "not legal advice",
        "unknown is not absent",
        "Read and approved for the label by",
        "Batch B-2026-041 page 1 of 1",
    ],
)
def test_sheet_says(sheet, words):
    assert words in page_texts(sheet)[0]


@pytest.mark.parametrize(("paper_size", "width_mm"), [("letter", 215.9), ("a4", 210.0)])
def test_ordinary_sheet_takes_one_page(paper_size, width_mm):
    sizes = page_sizes_mm(declaration_sheet_pdf(replace(DECLARATION, paper_size=paper_size)))
    assert [round(width, 1) for width, _ in sizes] == [width_mm]


def test_long_working_repeats_its_heading_and_counts_pages():
    line = DeclarationLine("Olive Oil", Decimal(10), Decimal("1.5"), "above 1 percent, by weight")
    lines = tuple(replace(line, name=f"Ingredient {number}") for number in range(1, 91))
    texts = page_texts(declaration_sheet_pdf(replace(DECLARATION, lines=lines)))
    assert len(texts) > 2
    assert [f"page {number} of {len(texts)}" in text for number, text in enumerate(texts, start=1)] == [True] * len(
        texts
    )
    assert [" ".join(texts).count(f"Ingredient {number} ") for number in (1, 45, 90)] == [1, 1, 1]


def test_sheet_without_extras_leaves_their_headings_out():
    bare = replace(DECLARATION, allergens=(), sources=(), findings=(), made_date=None, total_grams=None)
    text = page_texts(declaration_sheet_pdf(bare))[0]
    headings = ("Fragrance allergens", "Rules and data used", "Together", "day not recorded")
    assert [words in text for words in headings] == [False, False, False, True]


def test_sheet_is_tagged_and_named(sheet):
    reader = pypdf.PdfReader(io.BytesIO(sheet))
    assert reader.trailer["/Root"]["/Lang"] == "en"
    assert reader.metadata.title == "Ingredient declaration, batch B-2026-041: Dusk over Harbor Hill"


def test_same_record_same_bytes(sheet):
    assert declaration_sheet_pdf(DECLARATION) == sheet


def test_a_list_of_eleven_names_takes_one_page():
    lines = tuple(
        replace(DECLARATION.lines[0], name=f"Ingredient number {count} of Some Length") for count in range(11)
    )
    allergens = DECLARATION.allergens[:1] * 3
    paper = replace(DECLARATION, lines=lines, allergens=allergens)
    assert [len(page_texts(declaration_sheet_pdf(replace(paper, paper_size=size)))) for size in ("letter", "a4")] == [
        1,
        1,
    ]
