"""What a person chooses for one printing of labels. Frozen; no Django."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from formulas.declaration.records import Market, Style
from production.documents.label_records import LabelLayout


class MakerRole(StrEnum):
    """What stands before the name on the label (16 CFR 500.5, 21 CFR 701.12)."""

    MADE = ""
    MANUFACTURED_FOR = "Manufactured for"
    DISTRIBUTED_BY = "Distributed by"

    @property
    def label(self) -> str:
        return self.value or "No words: the firm named made the bars"


class CodeToScan(StrEnum):
    NONE = ""
    BATCH = "batch"
    WEBSITE = "website"

    @property
    def label(self) -> str:
        return {"": "None", "batch": "Batch number", "website": "Our website"}[self.value]


class Accent(StrEnum):
    """One color along the edge of a label: few, each dark enough to be seen and quiet enough for every bar."""

    NONE = ""
    FOREST = "#2f5d50"
    SEA = "#2b5d86"
    CLAY = "#a4512f"
    HONEY = "#c08a1e"
    HEATHER = "#7a5a86"
    SLATE = "#4a5560"

    @property
    def label(self) -> str:
        return "None" if self is Accent.NONE else self.name.capitalize()


class Elsewhere(StrEnum):
    """Where that stands which this label leaves off."""

    NOT_SAID = ""
    UNDER = "under the bar"
    BOX = "on the box"
    TAG = "on a tag"
    LEAFLET = "on a leaflet that goes with each bar"

    @property
    def label(self) -> str:
        return f"{self.value[:1].upper()}{self.value[1:]}" if self.value else "Nothing is left off"


LAYOUT_NAMES = {
    LabelLayout.LABEL: "The name of the bar first",
    LabelLayout.FAVOR: "Favor: the customer's wording first",
    LabelLayout.WORDS: "The customer's wording alone, on a second sticker",
}


@dataclass(frozen=True)
class LabelAsk:
    """One printing as it was asked for. Empty texts and None mean: as the program works it out."""

    finish: str
    market: Market
    style: Style
    stock: str
    copies: int = 1
    start_position: int = 1
    offset_x_mm: Decimal = Decimal(0)
    offset_y_mm: Decimal = Decimal(0)
    net_weight: str = ""
    hand_over: date | None = None
    wording: str = ""
    has_list: bool = True
    elsewhere: Elsewhere = Elsewhere.NOT_SAID
    role: MakerRole = MakerRole.MADE
    code: CodeToScan = CodeToScan.NONE
    panel_width_mm: Decimal | None = None
    panel_height_mm: Decimal | None = None
    printer_id: int | None = None
    accent: str = ""
    has_cut_marks: bool = False
    layout: LabelLayout = LabelLayout.LABEL
    has_logo: bool = False
    has_room_words: bool = True
