"""A label as it will be printed, as lines of text for a picture on the page. No Django, nothing printed.

The picture has its own units: PICTURE_WIDTH of them make the width of the label.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from production.documents.label_blocks import FittedLabel
from production.documents.label_fit import LabelDoesNotFit, fit_label
from production.documents.label_marks import accent_strip_mm
from production.documents.label_records import LabelFace, LabelLayout, LabelShape, LabelStock
from production.documents.label_sheet import LONGEST_LABEL_TEXT
from production.documents.qr_path import QrPath, qr_path
from soapshop.paper import PaperRefused
from soapshop.paper_words import exact_words
from soapshop.typeface import Face, TypefaceMissing, typeface

PICTURE_WIDTH = 360
# Where the foot of the letters stands in a line, as a share of the size (ascent of the typeface with its leading).
BASELINE = 0.94


@dataclass(frozen=True)
class PictureLine:
    """One line of words; `length` is its measured width, so that any screen typeface keeps the real proportions."""

    text: str
    x: str
    y: str
    size: str
    length: str
    is_strong: bool


@dataclass(frozen=True)
class LabelPicture:
    width: str
    height: str
    inner_width: str
    inner_height: str
    lines: tuple[PictureLine, ...]
    smallest_mm: str
    description: str
    rule_x: str = ""
    rule_from: str = ""
    rule_to: str = ""
    qr: QrPath | None = None
    qr_x: str = ""
    qr_y: str = ""
    qr_size: str = ""
    is_round: bool = False
    middle_x: str = ""
    middle_y: str = ""
    accent_color: str = ""
    accent_size: str = ""
    accent_middle: str = ""
    glue_x: str = ""
    logo_x: str = ""
    logo_y: str = ""
    logo_width: str = ""
    logo_height: str = ""


@dataclass(frozen=True)
class PictureRefusal:
    """Why the label cannot be drawn, and the choices there are."""

    text: str
    choices: tuple[str, ...] = ()


def label_picture(
    face: LabelFace, stock: LabelStock, *, accent: str = "", others: Iterable[LabelStock] | None = None
) -> LabelPicture | PictureRefusal:
    """Fit the words as the printer will, and draw them; or say what stands in the way and which stocks would do."""
    try:
        face = exact_words(face, longest=LONGEST_LABEL_TEXT)
        fitted = fit_label(face, stock, others=others)
        qr = qr_path(face.qr_text) if face.qr_text else None
    except LabelDoesNotFit as refusal:
        return PictureRefusal(str(refusal).removesuffix(" ".join(refusal.choices)).strip(), refusal.choices)
    except (PaperRefused, TypefaceMissing) as refusal:
        return PictureRefusal(str(refusal))
    return _picture(face, stock, fitted, qr, accent)


def _picture(face: LabelFace, stock: LabelStock, fitted: FittedLabel, qr: QrPath | None, accent: str) -> LabelPicture:
    scale = PICTURE_WIDTH / float(stock.label_width_mm)
    height_mm = float(stock.label_height_mm)
    strip = float(accent_strip_mm(stock)) * scale
    logo = fitted.logo
    smallest = min(block.size_mm * typeface(block.face).letters_height("o") for block in fitted.blocks)
    return LabelPicture(
        width=figure(PICTURE_WIDTH),
        height=figure(height_mm * scale),
        inner_width=figure(PICTURE_WIDTH - 1),
        inner_height=figure(height_mm * scale - 1),
        lines=tuple(_lines(fitted, scale)),
        smallest_mm=figure(smallest),
        description=_description(face, stock),
        rule_x=figure(fitted.rule_left_mm * scale) if fitted.rule_left_mm else "",
        rule_from=figure(height_mm * 0.12 * scale),
        rule_to=figure(height_mm * 0.88 * scale),
        qr=qr,
        qr_x=figure(fitted.qr_left_mm * scale),
        qr_y=figure(fitted.qr_top_mm * scale),
        qr_size=figure(fitted.qr_mm * scale),
        is_round=stock.shape == LabelShape.ROUND,
        middle_x=figure(PICTURE_WIDTH / 2),
        middle_y=figure(height_mm * scale / 2),
        accent_color=accent,
        accent_size=figure(strip),
        accent_middle=figure(PICTURE_WIDTH / 2 - strip / 2),
        logo_x=figure(logo.left_mm * scale) if logo else "",
        logo_y=figure(logo.top_mm * scale) if logo else "",
        logo_width=figure(logo.width_mm * scale) if logo else "",
        logo_height=figure(logo.height_mm * scale) if logo else "",
        glue_x=figure(PICTURE_WIDTH - float(stock.glue_mm) * scale) if stock.glue_mm else "",
    )


def _lines(fitted: FittedLabel, scale: float) -> list[PictureLine]:
    found = []
    for block in fitted.blocks:
        for number, text in enumerate(block.lines):
            width = typeface(block.face).width_mm(text, size_mm=block.size_mm)
            left = block.left_mm + ((block.width_mm - width) / 2 if block.is_centered else 0)
            top = block.top_mm + number * block.line_mm
            found.append(
                PictureLine(
                    text=text,
                    x=figure(left * scale),
                    y=figure((top + block.size_mm * BASELINE) * scale),
                    size=figure(block.size_mm * scale),
                    length=figure(width * scale),
                    is_strong=block.face in (Face.SEMIBOLD, Face.CONDENSED_SEMIBOLD),
                )
            )
    return found


def figure(length: float) -> str:
    """A length as an attribute of a drawing."""
    return f"{length:.2f}".rstrip("0").rstrip(".")


def _description(face: LabelFace, stock: LabelStock) -> str:
    if face.layout == LabelLayout.WORDS:
        return f"{face.wording}, {_size(stock)}."
    return f"{face.product}, {face.net_weight}, batch {face.batch_number}, {_size(stock)}."


def _size(stock: LabelStock) -> str:
    width, height = (round(Decimal(side), 1).normalize() for side in (stock.label_width_mm, stock.label_height_mm))
    return f"{width:f} × {height:f} mm"
