"""The words of one label, each with the height that the law of its market asks for. No Django."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from formulas.declaration import Declaration
from formulas.geometry import BarSize
from formulas.label_rules.panel import CM2_PER_SQ_IN, Panel, panel_area_sq_in
from formulas.label_rules.problems import Problem
from formulas.label_rules.type_heights import (
    MM_PER_IN,
    ca_numeral_height,
    eu_figure_height,
    us_list_height,
    us_net_weight_height,
)
from production.documents.records import LabelFace, LabelLayout, LetterMeasure
from production.labels.net import WorkingLine
from production.labels.net_weight import US_MARKETS, NetStatement

# Europe sets no height for the list; it must be easy to read (common practice, no published source).
PLAIN_LIST_MM = Decimal("1.0")
# Canada: the height of the list (from memory of C.R.C. c. 869).
CANADA_LIST_MM = Decimal("1.6")
LEAST_NET_MM = Decimal("1.6")


@dataclass(frozen=True)
class Maker:
    """Who answers for the bars, as it stands on the label. `qualifier` is empty when the firm named made them."""

    name: str
    address_lines: tuple[str, ...]
    qualifier: str = ""
    contact: str = ""
    origin: str = ""
    is_person_of_market: bool = False  # entered for this market, not simply the workshop

    @property
    def is_complete(self) -> bool:
        return bool(self.name and self.address_lines)

    @property
    def lines(self) -> tuple[str, ...]:
        first = f"{self.qualifier} {self.name}".strip() if self.name else ""
        return tuple(line for line in (first, *self.address_lines, self.origin) if line)


@dataclass(frozen=True)
class Face:
    """Width and height of the bar's face, and the whole surface of the bar where it is known."""

    width_mm: Decimal
    height_mm: Decimal
    thickness_mm: Decimal | None = None

    @property
    def area_sq_in(self) -> Decimal:
        return self.width_mm * self.height_mm / MM_PER_IN**2

    @property
    def surface_sq_in(self) -> Decimal | None:
        if self.thickness_mm is None:
            return None
        around = 2 * (self.width_mm + self.height_mm) * self.thickness_mm
        return (2 * self.width_mm * self.height_mm + around) / MM_PER_IN**2


@dataclass(frozen=True)
class FaceWords:
    """Everything that goes on a label before its letters have a size."""

    product: str
    identity: str
    batch_number: str
    maker: Maker
    brand: str = ""
    wording: str = ""
    best_from: date | None = None
    best_before: date | None = None
    qr_text: str = ""
    has_list: bool = True
    removed: tuple[str, ...] = ()  # parts that come off before use
    room_words: str = ""
    layout: str = LabelLayout.LABEL.value
    logo_aspect: Decimal = Decimal(0)


def face_of_bar(size: BarSize | None, *, typed_mm: tuple[Decimal | None, Decimal | None]) -> Face | None:
    """Return the face as it was typed (width, height), else as the mold gives it; None has to be asked."""
    width_mm, height_mm = typed_mm
    if width_mm and height_mm:
        return Face(width_mm, height_mm, size.thickness_mm if size else None)
    return Face(size.width_mm, size.height_mm, size.thickness_mm) if size else None


def label_face(
    words: FaceWords,
    *,
    market: str,
    declaration: Declaration | None,
    net: NetStatement | None,
    face: Face | None,
    on: date,
) -> LabelFace:
    """Return the label; what is missing is left empty, the problems beside it say so."""
    if words.layout == LabelLayout.WORDS:
        return _words_alone(words)
    is_listed = words.has_list and declaration is not None
    text = f"{declaration.heading}: {declaration.text}" if is_listed and declaration else ""
    return LabelFace(
        product=words.product,
        net_weight=net.text if net else "",
        net_weight_min_mm=net_height_mm(market, net=net, face=face, on=on),
        ingredients=text,
        ingredients_min_mm=list_height_mm(market, face=face, on=on),
        batch_number=words.batch_number,
        maker_lines=words.maker.lines,
        brand=words.brand,
        identity=words.identity,
        net_weight_measure=LetterMeasure.LETTERS if market in US_MARKETS else LetterMeasure.FIGURES,
        wording=words.wording,
        best_from=f"Best from {_day(words.best_from)}" if words.best_from and words.best_from > on else "",
        notes=_notes(words, market),
        qr_text=words.qr_text,
        layout=words.layout,
        logo_aspect=words.logo_aspect,
    )


def _words_alone(words: FaceWords) -> LabelFace:
    """A second sticker: nothing of what the law asks for stands on it."""
    return LabelFace(
        product=words.product,
        net_weight="",
        net_weight_min_mm=LEAST_NET_MM,
        ingredients="",
        ingredients_min_mm=PLAIN_LIST_MM,
        batch_number=words.batch_number,
        maker_lines=(),
        identity=words.identity,
        wording=words.wording,
        layout=words.layout,
        logo_aspect=words.logo_aspect,
    )


def net_height_mm(market: str, *, net: NetStatement | None, face: Face | None, on: date) -> Decimal:
    """Return the least height of the net weight: by panel in the US and Canada, by weight in Europe."""
    if market in US_MARKETS:
        return us_net_weight_height(_panel_sq_in(face, on), on).height_mm if face else LEAST_NET_MM
    if market == "ca":
        return ca_numeral_height(face.area_sq_in * CM2_PER_SQ_IN, on).height_mm if face else LEAST_NET_MM
    return eu_figure_height(net.grams, on).height_mm if net else LEAST_NET_MM


def list_height_mm(market: str, *, face: Face | None, on: date) -> Decimal:
    """Return the least height of the ingredient list; a surface nobody knows counts as a large one."""
    if market in US_MARKETS:
        surface = face.surface_sq_in if face else None
        return us_list_height(surface if surface is not None else Decimal(1000), on).height_mm
    return CANADA_LIST_MM if market == "ca" else PLAIN_LIST_MM


def panel_problem(market: str, face: Face | None) -> Problem | None:
    if face is not None or market in ("eu", "uk"):
        return None
    return Problem(
        "stop",
        "panel_unknown",
        "The size of the bar's face is not known from its mold, so the height of the net weight cannot be looked up.",
        "Enter width and height of the face below.",
    )


def height_working(market: str, label: LabelFace, face: Face | None) -> tuple[WorkingLine, ...]:
    lines = []
    if face is not None:
        size = f"{face.width_mm.normalize():f} × {face.height_mm.normalize():f} mm, {face.area_sq_in:.2f} sq in"
        lines.append(WorkingLine("Face of the bar", size))
    if face is not None and face.surface_sq_in is not None and market in US_MARKETS:
        lines.append(WorkingLine("Surface of the bar in all", f"{face.surface_sq_in:.1f} sq in"))
    lines.append(WorkingLine("Net weight, least height", _mm(label.net_weight_min_mm)))
    lines.append(WorkingLine("Ingredient list, least height", _mm(label.ingredients_min_mm)))
    return tuple(lines)


def _panel_sq_in(face: Face, on: date) -> Decimal:
    panel = Panel("rectangle", height_in=face.height_mm / MM_PER_IN, width_in=face.width_mm / MM_PER_IN)
    return panel_area_sq_in(panel, on)


def _notes(words: FaceWords, market: str) -> tuple[str, ...]:
    """What comes off before use, words of the room, a contact where the market asks, and the last day of use."""
    off = f"Take off before use: {', '.join(words.removed)}" if words.removed else ""
    contact = words.maker.contact if market != "us_soap" else ""
    end = f"Best used before the end of {words.best_before:%m/%Y}" if words.best_before else ""
    return tuple(line for line in (off, words.room_words, contact, end) if line)


def _day(day: date) -> str:
    return f"{day:%b} {day.day}, {day.year}"


def _mm(length_mm: Decimal) -> str:
    return f"{round(length_mm, 2):f} mm"
