"""Reading a PDF back: pages, words, picture and drawn boxes, in millimeters from the top left corner."""

import io
from dataclasses import dataclass

import pdfplumber
import pypdfium2
import zxingcpp

MM_PER_POINT = 25.4 / 72  # 1 point is 1/72 inch
OUTLINE_GRAY = 0.533333  # #888, the trial outline of a label


@dataclass(frozen=True)
class Box:
    left: float
    top: float
    width: float
    height: float

    def holds(self, other: "Box", slack: float = 0.01) -> bool:
        return (
            other.left >= self.left - slack
            and other.top >= self.top - slack
            and other.left + other.width <= self.left + self.width + slack
            and other.top + other.height <= self.top + self.height + slack
        )


def page_texts(pdf: bytes) -> list[str]:
    """Text of each page with all white space as single spaces."""
    document = pypdfium2.PdfDocument(pdf)
    return [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]


def codes(pdf: bytes, scale: float = 3) -> list[str]:
    """What a phone reads from the first page."""
    picture = pypdfium2.PdfDocument(pdf)[0].render(scale=scale).to_pil()
    return [code.text for code in zxingcpp.read_barcodes(picture)]


def page_sizes_mm(pdf: bytes) -> list[tuple[float, float]]:
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        return [(float(page.width) * MM_PER_POINT, float(page.height) * MM_PER_POINT) for page in document.pages]


def outlines(pdf: bytes, page: int = 0) -> list[Box]:
    """The gray trial outlines of labels, by rows."""
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        drawn = (*document.pages[page].rects, *document.pages[page].curves)  # round labels are circles
        boxes = {_box(shape) for shape in drawn if _is_outline(shape)}
    # an outline is drawn as the ring between two boxes: the outer one is the label
    outer = [box for box in boxes if not any(other != box and other.holds(box) for other in boxes)]
    return sorted(outer, key=lambda box: (round(box.top, 1), box.left))


def letters(pdf: bytes, page: int = 0) -> list[tuple[str, Box]]:
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        return [(char["text"], _box(char)) for char in document.pages[page].chars]


def ink_height_mm(pdf: bytes, box: Box, scale: int = 40) -> float:
    """Height of what is printed inside a box, measured on a picture of 2,880 dots per inch."""
    page = pypdfium2.PdfDocument(pdf)[0]
    left, top = box.left / MM_PER_POINT, box.top / MM_PER_POINT
    right, bottom = left + box.width / MM_PER_POINT, top + box.height / MM_PER_POINT
    crop = (left, page.get_height() - bottom, page.get_width() - right, top)
    picture = page.render(scale=scale, crop=crop).to_pil().convert("L")
    ink = picture.point(lambda gray: 255 if gray < 128 else 0).getbbox()
    assert ink is not None
    return (ink[3] - ink[1]) / scale * MM_PER_POINT


def _is_outline(rect: dict) -> bool:
    color = rect["non_stroking_color"] or ()
    return len(color) == 3 and all(abs(part - OUTLINE_GRAY) < 0.001 for part in color)


def _box(thing: dict) -> Box:
    return Box(
        left=round(thing["x0"] * MM_PER_POINT, 4),
        top=round(thing["top"] * MM_PER_POINT, 4),
        width=round((thing["x1"] - thing["x0"]) * MM_PER_POINT, 4),
        height=round((thing["bottom"] - thing["top"]) * MM_PER_POINT, 4),
    )
