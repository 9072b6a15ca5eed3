"""Words of a label fitted to its stock by measuring: as large as the room allows, never below the legal height.

All lengths in millimeters, measured from the corner of the label.
"""

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal

from production.documents.label_blocks import (
    Block,
    FittedLabel,
    Room,
    bottom_up,
    fitted_block,
    fitted_column,
    label_room,
    logo_box,
    logo_room,
    qr_side,
    round_room,
    stack_height,
    stacked,
)
from production.documents.label_records import LabelFace, LabelLayout, LabelShape, LabelStock
from production.documents.label_stock import LABEL_STOCKS
from production.documents.label_words import Words, front_words, net_weight_words, small_print
from soapshop.paper import PaperRefused
from soapshop.typeface import Face, typeface

GUTTER_MM = 3.0  # between the front and the small print
FRONT_SHARES = (0.4, 0.46, 0.52, 0.58, 0.34)
ROUND_SLANTS = (0.6, 0.7, 0.785, 0.87, 0.97)  # from low and wide to tall and narrow
BROKEN_LINE_PENALTY = 0.06  # of the span of sizes, for each line more
NO_LOGO = Decimal(0)
# Clear space around the net quantity: one letter height above and below, twice the width of an "N" at its sides
# (16 CFR 500.20 and 21 CFR 701.13(f), from memory).
CLEAR_N_WIDTHS = 2


class LabelDoesNotFit(PaperRefused):
    """The words need more room at the legal height; the choices are sentences for people."""

    def __init__(self, message: str, choices: tuple[str, ...]) -> None:
        super().__init__(f"{message} {' '.join(choices)}")
        self.choices = choices


def fit_label(face: LabelFace, stock: LabelStock, *, others: Iterable[LabelStock] | None = None) -> FittedLabel:
    """Return the arrangement with the largest letters; raises LabelDoesNotFit when none holds the legal heights.

    `others` are the stocks offered then: those that come with the program, unless the shop's own are given too.
    """
    fitted = _best_fit(face, stock)
    if fitted is None:
        raise LabelDoesNotFit(*_refusal(face, stock, LABEL_STOCKS.values() if others is None else others))
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


def _words_alone(face: LabelFace, stock: LabelStock, room: Room, largeness: float) -> FittedLabel | None:
    """The customer's words in the middle of a sticker that carries nothing else."""
    front = fitted_column(front_words(face, stock), largeness, room.width)
    logo = logo_box(face, room, largeness, room.width, is_centered=True)
    if not front or (used := logo_room(logo) + sum(block.height_mm for block in front)) > room.height:
        return None
    top = room.top + (room.height - used) / 2
    if logo is not None:
        logo = replace(logo, top_mm=top)
    blocks = stacked(front, room.left, top + logo_room(logo), is_centered=True)
    return FittedLabel(tuple(blocks), largeness, logo=logo)


def _arranged(face: LabelFace, stock: LabelStock, share: float | None, largeness: float) -> FittedLabel | None:
    is_round = stock.shape == LabelShape.ROUND
    room = round_room(stock, share or 0.0) if is_round else label_room(stock)
    if room.width <= 0 or room.height <= 0:
        return None
    if face.layout == LabelLayout.WORDS:
        return _words_alone(face, stock, room, largeness)
    if share is None or is_round:
        return _one_column(face, stock, room, largeness)
    return _two(face, stock, room, share, largeness)


def _clear_width(net: Words, largeness: float, width: float, gutter: float) -> float:
    """What is left for the net weight when its sides must stay clear of other print."""
    size = net.smallest_mm + (net.largest_mm - net.smallest_mm) * largeness
    clear = CLEAR_N_WIDTHS * typeface(Face.SEMIBOLD).width_mm("N", size_mm=size)
    return min(width, width + gutter - clear)


def _clear_height(net: Block) -> float:
    return net.size_mm * typeface(net.face).letters_height("N")


def _one_column(face: LabelFace, stock: LabelStock, room: Room, largeness: float) -> FittedLabel | None:
    qr = qr_side(face, room)
    foot_width = room.width - (qr + 1.5 if qr else 0.0)
    top_words, foot_words = small_print(face, stock)
    net_words = net_weight_words(face)
    front = fitted_column(front_words(face, stock), largeness, room.width)
    top = fitted_column(top_words, largeness, room.width)
    foot = fitted_column(foot_words, largeness, foot_width)
    net_width = _clear_width(net_words, largeness, foot_width, 1.5) if qr else foot_width
    net = fitted_block(net_words, largeness, net_width)
    if front is None or top is None or foot is None or net is None:
        return None
    bottom = room.top + room.height
    net_top = bottom - net.height_mm
    foot_bottom = net_top - _clear_height(net)
    logo = logo_box(face, room, largeness, room.width, is_centered=True)
    front_top = room.top + logo_room(logo)
    used = logo_room(logo) + stack_height(front) + stack_height(top)
    foot_height = max(stack_height(foot) + _clear_height(net) + net.height_mm, qr)
    if used + foot_height > room.height:
        return None
    is_centered = not qr
    is_round = stock.shape == LabelShape.ROUND and is_centered
    blocks = (
        *stacked(front, room.left, front_top, is_centered=True),
        *stacked(top, room.left, front_top + stack_height(front), is_centered=is_round),
        *bottom_up(foot, room.left, foot_bottom, is_centered=is_round),
        replace(net, left_mm=room.left, top_mm=net_top, is_centered=is_centered),
    )
    return FittedLabel(blocks, largeness, room.left + room.width - qr, bottom - qr, qr, logo=logo)


def _two(face: LabelFace, stock: LabelStock, room: Room, share: float, largeness: float) -> FittedLabel | None:
    front_width = room.width * share
    print_left, print_width = room.left + front_width + GUTTER_MM, room.width - front_width - GUTTER_MM
    qr = qr_side(face, room)
    top_words, foot_words = small_print(face, stock)
    net_words = net_weight_words(face)
    front = fitted_column(front_words(face, stock), largeness, front_width)
    net = fitted_block(net_words, largeness, _clear_width(net_words, largeness, front_width, GUTTER_MM))
    top = fitted_column(top_words, largeness, print_width)
    foot = fitted_column(foot_words, largeness, print_width - (qr + 1.5 if qr else 0.0))
    if front is None or top is None or foot is None or net is None:
        return None
    bottom = room.top + room.height
    logo = logo_box(face, room, largeness, front_width, is_centered=False)
    if logo_room(logo) + stack_height(front) + _clear_height(net) + net.height_mm > room.height:
        return None
    if stack_height(top) + max(stack_height(foot), qr) > room.height:
        return None
    blocks = (
        *stacked(front, room.left, room.top + logo_room(logo)),
        replace(net, left_mm=room.left, top_mm=bottom - net.height_mm),
        *stacked(top, print_left, room.top),
        *bottom_up(foot, print_left, bottom),
    )
    qr_left = room.left + room.width - qr
    return FittedLabel(blocks, largeness, qr_left, bottom - qr, qr, print_left - GUTTER_MM / 2, logo)


def _is_at_hand(other: LabelStock, stock: LabelStock) -> bool:
    """Sheets of the same paper, and rolls."""
    is_same_page = (other.page_width_mm, other.page_height_mm) == (stock.page_width_mm, stock.page_height_mm)
    return is_same_page or other.labels_per_page == 1 or stock.labels_per_page == 1


def _refusal(face: LabelFace, stock: LabelStock, others: Iterable[LabelStock]) -> tuple[str, tuple[str, ...]]:
    size = f"{stock.label_width_mm.normalize():f} × {stock.label_height_mm.normalize():f} mm"
    offered = [other for other in others if other.code != stock.code and _is_at_hand(other, stock)]
    bigger = [other.name for other in offered if _best_fit(face, other)]
    choices = [f"They fit on: {'; '.join(bigger)}." if bigger else "Choose a bigger label."]
    if face.ingredients and _best_fit(replace(face, ingredients="", notes=()), stock):
        choices.append("Or put the ingredient list on a second panel, or on a leaflet that goes with the bar.")
    else:
        choices.append("Or shorten the name and the wording.")
    if face.logo_aspect and _best_fit(replace(face, logo_aspect=NO_LOGO), stock):
        choices.append("Or leave the logo off.")
    return f"These words do not fit on a label of {size} at the legal letter height.", tuple(choices)
