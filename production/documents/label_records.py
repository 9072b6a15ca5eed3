"""What a sheet of labels shows: the stock it is printed on and the face of each label. All lengths in millimeters."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum


class LabelShape(StrEnum):
    RECTANGLE = "rectangle"  # box label, tag, favor sticker
    ROUND = "round"
    BAND = "band"  # wraps around the bar: a front, a back, and an end to glue


class LetterMeasure(StrEnum):
    """What a legal type height is measured on."""

    LETTERS = "letters"  # capitals; the small "o" as soon as small letters are used (16 CFR 500.21, 21 CFR 701.13)
    FIGURES = "figures"  # the figures of the quantity (EU directive 76/211/EEC, Annex I)


class LabelLayout(StrEnum):
    LABEL = "label"  # the name of the bar first
    FAVOR = "favor"  # the customer's words first, the name of the bar small
    WORDS = "words"  # the customer's words alone: a second sticker beside the one with the required items


@dataclass(frozen=True, slots=True)
class LabelStock:
    """A sheet (or one label of a roll) by its geometry: left and top of the first label, then the pitches."""

    code: str
    name: str
    page_width_mm: Decimal
    page_height_mm: Decimal
    columns: int
    rows: int
    label_width_mm: Decimal
    label_height_mm: Decimal
    left_mm: Decimal
    top_mm: Decimal
    pitch_x_mm: Decimal
    pitch_y_mm: Decimal
    corner_radius_mm: Decimal = Decimal(0)
    safe_margin_mm: Decimal = Decimal("1.5")  # paper shifts in the printer: nothing is printed this close to the edge
    shape: str = LabelShape.RECTANGLE.value
    bleed_mm: Decimal = Decimal(0)  # color runs on past the edge, so that a cut never leaves a white line
    glue_mm: Decimal = Decimal(0)  # a band: bare at its right end, under the overlap
    hole_mm: Decimal = Decimal(0)  # a tag: kept free along its top for the hole

    @property
    def labels_per_page(self) -> int:
        return self.columns * self.rows


@dataclass(frozen=True, slots=True)
class LabelFace:
    """The words of one label, as they were frozen when it was approved."""

    product: str
    net_weight: str  # "Net Wt 4.25 oz (120 g)", both units
    net_weight_min_mm: Decimal  # legal height for this panel, see formulas.label_rules.type_heights
    ingredients: str  # heading included: "Ingredients: …"
    ingredients_min_mm: Decimal
    batch_number: str
    maker_lines: tuple[str, ...]  # name, street, city, state and ZIP
    brand: str = ""
    identity: str = "Soap"
    net_weight_measure: LetterMeasure = LetterMeasure.LETTERS
    other_min_mm: Decimal = Decimal("0.8")  # height of the small "o" in all other words; 1/32 in cut up
    wording: str = ""  # the customer's own words on a favor
    best_from: str = ""  # "Best from Nov 24, 2026"
    notes: tuple[str, ...] = ()  # warnings, contact, durability: each a short line
    qr_text: str = ""
    layout: str = LabelLayout.LABEL.value
    logo_aspect: Decimal = Decimal(0)  # width by height; 0 is no logo


@dataclass(frozen=True, slots=True)
class LabelRun:
    face: LabelFace
    copies: int


@dataclass(frozen=True, slots=True)
class LabelSheetPaper:
    """`logo_name` is the file the logo is kept as; its bytes are handed to the builder beside the record."""

    stock: LabelStock
    runs: tuple[LabelRun, ...]  # printed one after the other: one run for each finish or wording
    title: str = "Labels"
    start_position: int = 1  # 1 is the first label of the first sheet; earlier ones are used up
    offset_x_mm: Decimal = Decimal(0)  # this printer: to the right
    offset_y_mm: Decimal = Decimal(0)  # this printer: down
    scale_x: Decimal = Decimal(1)  # this printer: above 1 where it shrinks the page
    scale_y: Decimal = Decimal(1)
    logo_name: str = ""
    accent_hex: str = ""  # one color, along the edge of each label
    has_cut_marks: bool = False
    has_outlines: bool = False  # hairline around each label, for a trial on plain paper
    language: str = "en"
