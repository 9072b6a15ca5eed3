"""From four readings of a test sheet to the shift and the scale a printer needs. No Django.

A cross stands at the outer corner of the first label, another at the outer corner of the last. A reading says at
which millimeter of the printed ruler the label's own corner lies: right and down are above zero. The same reading at
both crosses is a shift; a reading that grows from one to the other is a page that is printed too small or too large.
"""

from dataclasses import dataclass
from decimal import Decimal

from production.documents.label_records import LabelStock

ZERO, ONE = Decimal(), Decimal(1)
PLACES = Decimal("0.0001")
SCALE_PLACES = Decimal("0.000001")
# More drift than this over the sheet is scaling, not the play of the paper (own choice).
NOTEWORTHY_MM = Decimal("0.5")


@dataclass(frozen=True)
class Readings:
    first_x_mm: Decimal
    first_y_mm: Decimal
    last_x_mm: Decimal
    last_y_mm: Decimal


@dataclass(frozen=True)
class Correction:
    """A place p is printed at p × scale + offset, so that it comes out at p."""

    offset_x_mm: Decimal = ZERO
    offset_y_mm: Decimal = ZERO
    scale_x: Decimal = ONE
    scale_y: Decimal = ONE


@dataclass(frozen=True)
class Corners:
    """The outer corners of the first and the last label of a page."""

    first_x_mm: Decimal
    first_y_mm: Decimal
    last_x_mm: Decimal
    last_y_mm: Decimal


def corners(stock: LabelStock) -> Corners:
    return Corners(
        stock.left_mm,
        stock.top_mm,
        stock.left_mm + (stock.columns - 1) * stock.pitch_x_mm + stock.label_width_mm,
        stock.top_mm + (stock.rows - 1) * stock.pitch_y_mm + stock.label_height_mm,
    )


def correction(stock: LabelStock, read: Readings) -> Correction:
    """Return what puts both corners right; everything between follows along a straight line."""
    ends = corners(stock)
    scale_x, offset_x = _axis(ends.first_x_mm, ends.last_x_mm, read.first_x_mm, read.last_x_mm)
    scale_y, offset_y = _axis(ends.first_y_mm, ends.last_y_mm, read.first_y_mm, read.last_y_mm)
    return Correction(offset_x, offset_y, scale_x, scale_y)


def fit_words(read: Readings) -> str:
    """Say whether these readings are a shift or a wrong scale, and what to do about it."""
    drift = max(abs(read.last_x_mm - read.first_x_mm), abs(read.last_y_mm - read.first_y_mm))
    if drift >= NOTEWORTHY_MM:
        return (
            f"The error grows by {drift:f} mm over the sheet: the page is scaled, or the pitch of the stock is "
            "measured wrong. Print at 100 %, not “fit to page”, and measure again; what is left is put right here."
        )
    if any((read.first_x_mm, read.first_y_mm, read.last_x_mm, read.last_y_mm)):
        return "The error is much the same everywhere: a shift, and it is put right."
    return "This printer needs no correction."


def _axis(first: Decimal, last: Decimal, at_first: Decimal, at_last: Decimal) -> tuple[Decimal, Decimal]:
    scale = ONE + (at_last - at_first) / (last - first)
    return scale.quantize(SCALE_PLACES), (first + at_first - scale * first).quantize(PLACES)
