"""Words of a label fitted to its stock by measuring: as large as the room allows, never below the legal height.

All lengths in millimeters, measured from the corner of the label.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from production.documents.label_records import LabelFace, LabelShape, LabelStock
from production.documents.label_stock import LABEL_STOCKS
from production.documents.label_words import Words, front_words, net_weight_words, small_print
from soapshop.paper import PaperRefused
from soapshop.typeface import Face, balanced_lines, typeface, wrapped_lines

LEADING = 1.2  # the typeface's own ascent and descent, so that no accent leaves its line
GAP = 0.32  # of the size, between blocks
GUTTER_MM = 3.0  # between the front and the small print
FRONT_SHARES = (0.4, 0.46, 0.52, 0.58, 0.34)
ROUND_SLANTS = (0.6, 0.7, 0.785, 0.87, 0.97)  # from low and wide to tall and narrow
SMALLEST_QR_MM = 11.0
LARGEST_QR_MM = 18.0
MEASURING_SLACK_MM = 0.05
BROKEN_LINE_PENALTY = 0.06  # of the span of sizes, for each line more
# Clear space around the net quantity: one letter height above and below, twice the width of an "N" at its sides
# (16 CFR 500.20 and 21 CFR 701.13(f), from memory).
CLEAR_N_WIDTHS = 2


class LabelDoesNotFit(PaperRefused):
    """The words need more room at the legal height; the choices are sentences for people."""

    def __init__(self, message: str, choices: tuple[str, ...]) -> None:
        super().__init__(f"{message} {' '.join(choices)}")
        self.choices = choices


@dataclass(frozen=True, slots=True)
class Block:
    """Fitted words: lines that are not wrapped again."""

    role: str
    lines: tuple[str, ...]
    face: Face
    size_mm: float
    left_mm: float = 0.0
    top_mm: float = 0.0
    width_mm: float = 0.0
    is_centered: bool = False

    @property
    def line_mm(self) -> float:
        return self.size_mm * LEADING

    @property
    def height_mm(self) -> float:
        return self.line_mm * len(self.lines)


@dataclass(frozen=True, slots=True)
class FittedLabel:
    blocks: tuple[Block, ...]
    largeness: float  # 0 is every size at its smallest, 1 at its largest
    qr_left_mm: float = 0.0
    qr_top_mm: float = 0.0
    qr_mm: float = 0.0
    rule_left_mm: float = 0.0  # the line between front and small print; 0 is none


@dataclass(frozen=True, slots=True)
class _Room:
    left: float
    top: float
    width: float
    height: float


def fit_label(face: LabelFace, stock: LabelStock) -> FittedLabel:
    """Return the arrangement with the largest letters; raises LabelDoesNotFit when none holds the legal heights."""
    fitted = _best_fit(face, stock)
    if fitted is None:
        raise LabelDoesNotFit(*_refusal(face, stock))
    return fitted


def _best_fit(face: LabelFace, stock: LabelStock) -> FittedLabel | None:
    ways: tuple[float | None, ...] = (None, *FRONT_SHARES)
    if stock.shape == LabelShape.ROUND:
        ways = ROUND_SLANTS
    elif stock.shape == LabelShape.BAND:
        ways = FRONT_SHARES  # the front of a band is never its back
    found = [fitted for way in ways if (fitted := _largest(face, stock, way))]
    return max(found, key=_comeliness, default=None)


def _comeliness(fitted: FittedLabel) -> float:
    """Large letters, and names and addresses that keep to their own lines."""
    broken = sum(len(block.lines) for block in fitted.blocks if block.role in ("brand", "product", "maker"))
    return fitted.largeness - BROKEN_LINE_PENALTY * broken


def _largest(face: LabelFace, stock: LabelStock, share: float | None) -> FittedLabel | None:
    """Halve the span of sizes until the largest that fits is found."""
    best = _arranged(face, stock, share, 0.0)
    if best is None:
        return None
    low, high = 0.0, 1.0
    for _ in range(6):
        middle = (low + high) / 2
        if fitted := _arranged(face, stock, share, middle):
            best, low = fitted, middle
        else:
            high = middle
    return best


def _block(words: Words, largeness: float, width: float) -> Block | None:
    size = words.smallest_mm + (words.largest_mm - words.smallest_mm) * largeness
    for face in words.faces:
        lines: list[str] = []
        for paragraph in words.paragraphs:
            wrap = balanced_lines if words.is_balanced else wrapped_lines
            wrapped = wrap(paragraph, face=face, size_mm=size, width_mm=width - MEASURING_SLACK_MM)
            if wrapped is None:
                break
            lines.extend(wrapped)
        else:
            if len(lines) <= words.most_lines:
                return Block(words.role, tuple(lines), face, size, width_mm=width)
    return None


def _column(words: list[Words], largeness: float, width: float) -> list[Block] | None:
    blocks = [_block(one, largeness, width) for one in words]
    return None if None in blocks else [block for block in blocks if block]


def _stacked(blocks: list[Block], left: float, top: float, *, is_centered: bool = False) -> Iterator[Block]:
    for block in blocks:
        yield replace(block, left_mm=left, top_mm=top, is_centered=is_centered)
        top += block.height_mm + GAP * block.size_mm


def _height(blocks: list[Block]) -> float:
    return sum(block.height_mm + GAP * block.size_mm for block in blocks)


def _bottom_up(blocks: list[Block], left: float, bottom: float, *, is_centered: bool = False) -> list[Block]:
    last_gap = GAP * blocks[-1].size_mm if blocks else 0.0
    return list(_stacked(blocks, left, bottom - _height(blocks) + last_gap, is_centered=is_centered))


def _arranged(face: LabelFace, stock: LabelStock, share: float | None, largeness: float) -> FittedLabel | None:
    is_round = stock.shape == LabelShape.ROUND
    room = _round_room(stock, share or 0.0) if is_round else _room(stock)
    if room.width <= 0 or room.height <= 0:
        return None
    if share is None or is_round:
        return _one_column(face, stock, room, largeness)
    return _two(face, stock, room, share, largeness)


def _room(stock: LabelStock) -> _Room:
    """Inside the margin; a tag stays free of words around its hole, a band where it is glued."""
    margin = float(stock.safe_margin_mm)
    top = max(margin, float(stock.hole_mm))
    width = float(stock.label_width_mm) - 2 * margin - float(stock.glue_mm)
    return _Room(margin, top, width, float(stock.label_height_mm) - top - margin)


def _round_room(stock: LabelStock, slant: float) -> _Room:
    """The oblong whose corners touch the margin of a round label; `slant` is the angle of its diagonal in radians."""
    across, down = float(stock.label_width_mm), float(stock.label_height_mm)
    radius = min(across, down) / 2 - float(stock.safe_margin_mm)
    width, height = 2 * radius * math.cos(slant), 2 * radius * math.sin(slant)
    return _Room((across - width) / 2, (down - height) / 2, width, height)


def _qr_mm(face: LabelFace, room: _Room) -> float:
    return min(LARGEST_QR_MM, max(SMALLEST_QR_MM, room.height * 0.36)) if face.qr_text else 0.0


def _clear_width(net: Words, largeness: float, width: float, gutter: float) -> float:
    """What is left for the net weight when its sides must stay clear of other print."""
    size = net.smallest_mm + (net.largest_mm - net.smallest_mm) * largeness
    clear = CLEAR_N_WIDTHS * typeface(Face.SEMIBOLD).width_mm("N", size_mm=size)
    return min(width, width + gutter - clear)


def _clear_height(net: Block) -> float:
    return net.size_mm * typeface(net.face).letters_height("N")


def _one_column(face: LabelFace, stock: LabelStock, room: _Room, largeness: float) -> FittedLabel | None:
    qr = _qr_mm(face, room)
    foot_width = room.width - (qr + 1.5 if qr else 0.0)
    top_words, foot_words = small_print(face, stock)
    net_words = net_weight_words(face)
    front = _column(front_words(face, stock), largeness, room.width)
    top = _column(top_words, largeness, room.width)
    foot = _column(foot_words, largeness, foot_width)
    net_width = _clear_width(net_words, largeness, foot_width, 1.5) if qr else foot_width
    net = _block(net_words, largeness, net_width)
    if front is None or top is None or foot is None or net is None:
        return None
    bottom = room.top + room.height
    net_top = bottom - net.height_mm
    foot_bottom = net_top - _clear_height(net)
    used = _height(front) + _height(top)
    foot_height = max(_height(foot) + _clear_height(net) + net.height_mm, qr)
    if used + foot_height > room.height:
        return None
    is_centered = not qr
    blocks = (
        *_stacked(front, room.left, room.top, is_centered=True),
        *_stacked(top, room.left, room.top + _height(front)),
        *_bottom_up(foot, room.left, foot_bottom),
        replace(net, left_mm=room.left, top_mm=net_top, is_centered=is_centered),
    )
    return FittedLabel(blocks, largeness, room.left + room.width - qr, bottom - qr, qr)


def _two(face: LabelFace, stock: LabelStock, room: _Room, share: float, largeness: float) -> FittedLabel | None:
    front_width = room.width * share
    print_left, print_width = room.left + front_width + GUTTER_MM, room.width - front_width - GUTTER_MM
    qr = _qr_mm(face, room)
    top_words, foot_words = small_print(face, stock)
    net_words = net_weight_words(face)
    front = _column(front_words(face, stock), largeness, front_width)
    net = _block(net_words, largeness, _clear_width(net_words, largeness, front_width, GUTTER_MM))
    top = _column(top_words, largeness, print_width)
    foot = _column(foot_words, largeness, print_width - (qr + 1.5 if qr else 0.0))
    if front is None or top is None or foot is None or net is None:
        return None
    bottom = room.top + room.height
    if _height(front) + _clear_height(net) + net.height_mm > room.height:
        return None
    if _height(top) + max(_height(foot), qr) > room.height:
        return None
    blocks = (
        *_stacked(front, room.left, room.top),
        replace(net, left_mm=room.left, top_mm=bottom - net.height_mm),
        *_stacked(top, print_left, room.top),
        *_bottom_up(foot, print_left, bottom),
    )
    qr_left = room.left + room.width - qr
    return FittedLabel(blocks, largeness, qr_left, bottom - qr, qr, rule_left_mm=print_left - GUTTER_MM / 2)


def _is_at_hand(other: LabelStock, stock: LabelStock) -> bool:
    """Sheets of the same paper, and rolls."""
    is_same_page = (other.page_width_mm, other.page_height_mm) == (stock.page_width_mm, stock.page_height_mm)
    return is_same_page or other.labels_per_page == 1 or stock.labels_per_page == 1


def _refusal(face: LabelFace, stock: LabelStock) -> tuple[str, tuple[str, ...]]:
    size = f"{stock.label_width_mm.normalize():f} × {stock.label_height_mm.normalize():f} mm"
    offered = [other for other in LABEL_STOCKS.values() if other != stock and _is_at_hand(other, stock)]
    bigger = [other.name for other in offered if _best_fit(face, other)]
    choices = [f"They fit on: {'; '.join(bigger)}." if bigger else "Choose a bigger label."]
    if face.ingredients and _best_fit(replace(face, ingredients="", notes=()), stock):
        choices.append("Or put the ingredient list on a second panel, or on a leaflet that goes with the bar.")
    else:
        choices.append("Or shorten the name and the wording.")
    return f"These words do not fit on a label of {size} at the legal letter height.", tuple(choices)
