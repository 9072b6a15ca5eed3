"""The 32 things a batch ticket shows, each by its number, read back from the text of the PDF (rule G23).

The list follows 21 CFR 211.188 (batch production and control records), 21 CFR 111.260 (batch record) and
ISO 22716:2007, 7.2 (production); what stands there as "common practice" has no published source.
"""

from dataclasses import replace

import pytest

from production.documents.batch_ticket import batch_ticket_pdf
from production.documents.records import CheckLine
from tests.production.pdf_reading import codes, page_texts
from tests.production.sample_papers import LONG_TICKET, TICKET

CFR, ISO, PRACTICE = "21 CFR 211.188", "ISO 22716 7.2", "common practice, no source"
ITEMS = (
    (1, "product, formula, version, approval", ISO, ("Dusk over Harbor Hill", "HH-04 rev. 3", "approved Oct 2, 2026")),
    (2, "batch number on each sheet, sheets counted", CFR, ("Batch B-2026-041 sheet 1 of 1",)),
    (3, "planned size: fats, whole, bars, mold", CFR, ("5,000 g", "7,509.4 g", "48 bars", "Slab no. 2, 48 bars")),
    (4, "orders it is for", PRACTICE, ("orders 1042, 1047, 1051",)),
    (5, "printed when, by whom, which copy", CFR, ("printed Nov 24, 2026, 14:05 by Mara", "copy no. 2")),
    (6, "area and equipment clean, named", ISO, ("Area clear", "Equipment pot 2, slab mold no. 2, stick blender")),
    (7, "scales and their check of the day", PRACTICE, ("scale S1",)),
    (8, "lots there and released", ISO, ("All lots",)),
    (9, "protective gear, eyewash, air", PRACTICE, ("Goggles, gloves, apron on", "tap by the back door")),
    (10, "phase and step number of each weighing", CFR, ("Oils 3", "Scent 9")),
    (11, "material", CFR, ("Rice bran oil",)),
    (12, "lot number", CFR, ("RB-015",)),
    (13, "planned grams", CFR, ("737.4",)),
    (14, "accept from and to", PRACTICE, ("Accept from – to, g", "733.7 – 741.1")),
    (15, "room for the actual grams", CFR, ("Weighed, g",)),
    (16, "scale used", PRACTICE, ("Scale",)),
    (17, "weighed by", CFR, ("By",)),
    (18, "checked by", CFR, ("Check",)),
    (19, "running total of a shared pot", PRACTICE, ("In the pot, g", "3,250")),
    (20, "two lots of one material are two rows", CFR, ("CO-087", "CO-088")),
    (21, "numbered steps with their target", ISO, ("38 to 43 °C",)),
    (22, "cautions beside the step where they bite", PRACTICE, ("never liquid onto lye",)),
    (23, "checks in process with limits", CFR, ("Batter temperature at pour 35 to 40 °C",)),
    (24, "what was odd, and a deviation", CFR, ("What was odd", "deviation no.")),
    (25, "yield points with limits", CFR, ("Bars cut 48",)),
    (26, "pour day, ready day, weighing days, rack", PRACTICE, ("Pour day Nov 25, 2026", "Dec 2, Dec 9, Dec 16")),
    (27, "tests with method and limit", CFR, ("Alkali (phenolphthalein)",)),
    (28, "superfat from actual weights", PRACTICE, ("Superfat from weights",)),
    (29, "retained sample", ISO, ("Sample kept",)),
    (30, "labels: version and count", CFR, ("Labels",)),
    (31, "deviations closed", CFR, ("Deviations closed",)),
    (32, "decision with name and day", ISO, ("released held rejected", "by day")),
)


@pytest.fixture(scope="module")
def text() -> str:
    closing = (*TICKET.release_checks, CheckLine("Deviations closed", "all"))
    return " ".join(" ".join(page_texts(batch_ticket_pdf(replace(TICKET, release_checks=closing)))).split())


def test_the_list_is_whole():
    assert [number for number, *_ in ITEMS] == list(range(1, 33))


@pytest.mark.parametrize(("words",), [pytest.param(item[3], id=f"{item[0]} {item[1]} ({item[2]})") for item in ITEMS])
def test_rule_g23_each_item_is_on_the_ticket(text, words):
    assert [each for each in words if each not in text] == []


def test_the_code_of_the_batch_can_be_scanned():
    assert codes(batch_ticket_pdf(replace(TICKET, scan_text=""))) == [TICKET.batch_number]


def test_every_sheet_says_which_of_how_many_it_is():
    pages = page_texts(batch_ticket_pdf(LONG_TICKET))
    said = [f"sheet {number} of {len(pages)}" for number in range(1, len(pages) + 1)]
    assert len(pages) > 1
    assert [each in page for each, page in zip(said, pages, strict=True)] == [True] * len(pages)


def test_a_first_print_names_no_copy():
    assert "copy" not in " ".join(page_texts(batch_ticket_pdf(replace(TICKET, copy_number=1))))
