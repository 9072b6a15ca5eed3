"""What a label is fitted from: the room inside its margins, blocks of measured words, and the place of a logo.

All lengths in millimeters, measured from the corner of the label.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from production.documents.label_records import LabelFace, LabelStock
from production.documents.label_words import Words
from soapshop.typeface import Face, balanced_lines, wrapped_lines

LEADING = 1.2  # the typeface's own ascent and descent, so that no accent leaves its line
GAP = 0.32  # of the size, between blocks
SMALLEST_QR_MM = 11.0
LARGEST_QR_MM = 18.0
MEASURING_SLACK_MM = 0.05
LOGO_SHARES = (0.14, 0.26)  # of the height, from the smallest letters to the largest
SMALLEST_LOGO_MM = 3.0
LOGO_GAP = 0.12  # of its height, under it


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
class LogoBox:
    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float

    @property
    def room_mm(self) -> float:
        """What it takes of the height, the gap under it included."""
        return self.height_mm * (1 + LOGO_GAP)


@dataclass(frozen=True, slots=True)
class FittedLabel:
    blocks: tuple[Block, ...]
    largeness: float  # 0 is every size at its smallest, 1 at its largest
    qr_left_mm: float = 0.0
    qr_top_mm: float = 0.0
    qr_mm: float = 0.0
    rule_left_mm: float = 0.0  # the line between front and small print; 0 is none
    logo: LogoBox | None = None


@dataclass(frozen=True, slots=True)
class Room:
    left: float
    top: float
    width: float
    height: float


def fitted_block(words: Words, largeness: float, width: float) -> Block | None:
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


def fitted_column(words: list[Words], largeness: float, width: float) -> list[Block] | None:
    blocks = [fitted_block(one, largeness, width) for one in words]
    return None if None in blocks else [block for block in blocks if block]


def stacked(blocks: list[Block], left: float, top: float, *, is_centered: bool = False) -> Iterator[Block]:
    for block in blocks:
        yield replace(block, left_mm=left, top_mm=top, is_centered=is_centered)
        top += block.height_mm + GAP * block.size_mm


def stack_height(blocks: list[Block]) -> float:
    return sum(block.height_mm + GAP * block.size_mm for block in blocks)


def bottom_up(blocks: list[Block], left: float, bottom: float, *, is_centered: bool = False) -> list[Block]:
    last_gap = GAP * blocks[-1].size_mm if blocks else 0.0
    return list(stacked(blocks, left, bottom - stack_height(blocks) + last_gap, is_centered=is_centered))


def logo_box(face: LabelFace, room: Room, largeness: float, width: float, *, is_centered: bool) -> LogoBox | None:
    """A logo at the top of the front, as high as its share and never wider than the front; None is no logo."""
    if not face.logo_aspect:
        return None
    smallest, largest = LOGO_SHARES
    aspect = float(face.logo_aspect)
    height = max(SMALLEST_LOGO_MM, room.height * (smallest + (largest - smallest) * largeness))
    height = min(height, width / aspect)
    left = room.left + ((width - height * aspect) / 2 if is_centered else 0.0)
    return LogoBox(left, room.top, height * aspect, height)


def logo_room(logo: LogoBox | None) -> float:
    return logo.room_mm if logo else 0.0


def label_room(stock: LabelStock) -> Room:
    """Inside the margin; a tag stays free of words around its hole, a band where it is glued."""
    margin = float(stock.safe_margin_mm)
    top = max(margin, float(stock.hole_mm))
    width = float(stock.label_width_mm) - 2 * margin - float(stock.glue_mm)
    return Room(margin, top, width, float(stock.label_height_mm) - top - margin)


def round_room(stock: LabelStock, slant: float) -> Room:
    """The oblong whose corners touch the margin of a round label; `slant` is the angle of its diagonal in radians."""
    across, down = float(stock.label_width_mm), float(stock.label_height_mm)
    radius = min(across, down) / 2 - float(stock.safe_margin_mm)
    width, height = 2 * radius * math.cos(slant), 2 * radius * math.sin(slant)
    return Room((across - width) / 2, (down - height) / 2, width, height)


def qr_side(face: LabelFace, room: Room) -> float:
    return min(LARGEST_QR_MM, max(SMALLEST_QR_MM, room.height * 0.36)) if face.qr_text else 0.0
