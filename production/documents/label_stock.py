"""Label stocks by their geometry. Add one by measuring the sheet: margins of the first label, then the pitches."""

from decimal import Decimal

from production.documents.label_records import LabelShape, LabelStock

MM_PER_INCH = Decimal("25.4")  # exact, international inch of 1959


def _inches(text: str) -> Decimal:
    return Decimal(text) * MM_PER_INCH


LETTER_30 = LabelStock(
    code="letter-30",
    name="US Letter, 30 labels of 2.625 × 1 in",
    page_width_mm=_inches("8.5"),
    page_height_mm=_inches("11"),
    columns=3,
    rows=10,
    label_width_mm=_inches("2.625"),
    label_height_mm=_inches("1"),
    left_mm=_inches("0.1875"),
    top_mm=_inches("0.5"),
    pitch_x_mm=_inches("2.75"),
    pitch_y_mm=_inches("1"),
    corner_radius_mm=Decimal("1.6"),
)
LETTER_10 = LabelStock(
    code="letter-10",
    name="US Letter, 10 labels of 4 × 2 in",
    page_width_mm=_inches("8.5"),
    page_height_mm=_inches("11"),
    columns=2,
    rows=5,
    label_width_mm=_inches("4"),
    label_height_mm=_inches("2"),
    left_mm=_inches("0.15625"),
    top_mm=_inches("0.5"),
    pitch_x_mm=_inches("4.1875"),
    pitch_y_mm=_inches("2"),
    corner_radius_mm=Decimal("2.5"),
    safe_margin_mm=Decimal(3),
)
A4_21 = LabelStock(
    code="a4-21",
    name="A4, 21 labels of 63.5 × 38.1 mm",
    page_width_mm=Decimal(210),
    page_height_mm=Decimal(297),
    columns=3,
    rows=7,
    label_width_mm=Decimal("63.5"),
    label_height_mm=Decimal("38.1"),
    left_mm=Decimal("7.25"),
    top_mm=Decimal("15.15"),
    pitch_x_mm=Decimal(66),
    pitch_y_mm=Decimal("38.1"),
    corner_radius_mm=Decimal("1.5"),
    safe_margin_mm=Decimal(2),
)
ROLL_4X2 = LabelStock(
    code="roll-4x2",
    name="Roll, one label of 4 × 2 in",
    page_width_mm=_inches("4"),
    page_height_mm=_inches("2"),
    columns=1,
    rows=1,
    label_width_mm=_inches("4"),
    label_height_mm=_inches("2"),
    left_mm=Decimal(0),
    top_mm=Decimal(0),
    pitch_x_mm=_inches("4"),
    pitch_y_mm=_inches("2"),
    safe_margin_mm=Decimal(3),
)
BAND_LETTER = LabelStock(
    code="band-letter",
    name="US Letter, 5 bands of 8.1 × 2 in, to cut",
    page_width_mm=_inches("8.5"),
    page_height_mm=_inches("11"),
    columns=1,
    rows=5,
    label_width_mm=_inches("8.1"),
    label_height_mm=_inches("2"),
    left_mm=_inches("0.2"),
    top_mm=_inches("0.5"),
    pitch_x_mm=_inches("8.1"),
    pitch_y_mm=_inches("2"),
    safe_margin_mm=Decimal(3),
    shape=LabelShape.BAND.value,
    glue_mm=Decimal(12),
)
BAND_A4 = LabelStock(
    code="band-a4",
    name="A4, 5 bands of 200 × 52 mm, to cut",
    page_width_mm=Decimal(210),
    page_height_mm=Decimal(297),
    columns=1,
    rows=5,
    label_width_mm=Decimal(200),
    label_height_mm=Decimal(52),
    left_mm=Decimal(5),
    top_mm=Decimal("18.5"),
    pitch_x_mm=Decimal(200),
    pitch_y_mm=Decimal(52),
    safe_margin_mm=Decimal(3),
    shape=LabelShape.BAND.value,
    glue_mm=Decimal(12),
)
ROUND_LETTER = LabelStock(
    code="round-letter",
    name="US Letter, 12 round labels of 2.5 in",
    page_width_mm=_inches("8.5"),
    page_height_mm=_inches("11"),
    columns=3,
    rows=4,
    label_width_mm=_inches("2.5"),
    label_height_mm=_inches("2.5"),
    left_mm=_inches("0.375"),
    top_mm=_inches("0.3125"),
    pitch_x_mm=_inches("2.625"),
    pitch_y_mm=_inches("2.625"),
    safe_margin_mm=Decimal(2),
    shape=LabelShape.ROUND.value,
)
TAG_LETTER = LabelStock(
    code="tag-letter",
    name="US Letter, 8 tags of 2 × 5 in, to cut and punch",
    page_width_mm=_inches("8.5"),
    page_height_mm=_inches("11"),
    columns=4,
    rows=2,
    label_width_mm=_inches("2"),
    label_height_mm=_inches("5"),
    left_mm=_inches("0.25"),
    top_mm=_inches("0.5"),
    pitch_x_mm=_inches("2"),
    pitch_y_mm=_inches("5"),
    safe_margin_mm=Decimal(3),
    hole_mm=Decimal(14),
)

FAVOR_LETTER = LabelStock(
    code="favor-letter",
    name="US Letter, 20 round favor stickers of 2 in",
    page_width_mm=_inches("8.5"),
    page_height_mm=_inches("11"),
    columns=4,
    rows=5,
    label_width_mm=_inches("2"),
    label_height_mm=_inches("2"),
    left_mm=_inches("0.25"),
    top_mm=_inches("0.5"),
    pitch_x_mm=_inches("2"),
    pitch_y_mm=_inches("2"),
    shape=LabelShape.ROUND.value,
)
FAVOR_A4 = LabelStock(
    code="favor-a4",
    name="A4, 24 round favor stickers of 40 mm",
    page_width_mm=Decimal(210),
    page_height_mm=Decimal(297),
    columns=4,
    rows=6,
    label_width_mm=Decimal(40),
    label_height_mm=Decimal(40),
    left_mm=Decimal("17.5"),
    top_mm=Decimal(16),
    pitch_x_mm=Decimal(45),
    pitch_y_mm=Decimal(45),
    shape=LabelShape.ROUND.value,
)

LABEL_STOCKS: dict[str, LabelStock] = {
    stock.code: stock
    for stock in (
        LETTER_30,
        LETTER_10,
        A4_21,
        ROLL_4X2,
        BAND_LETTER,
        BAND_A4,
        ROUND_LETTER,
        TAG_LETTER,
        FAVOR_LETTER,
        FAVOR_A4,
    )
}
