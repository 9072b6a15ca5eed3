"""The cut face of a bar: areas true to their shares, a color, a pattern and a letter for each jug, parts on top."""

from formulas.drawing.bar_areas import Face, Mark, bar_areas
from formulas.drawing.bar_legend import LEGEND_WIDTH, legend, legend_height
from formulas.drawing.bar_parts import embeds, seals, stamps, topper_room, toppers
from formulas.drawing.bar_records import DrawnBar, bar_in_words, legend_lines
from formulas.drawing.inks import INK, hex_or_plain, letter_ink
from formulas.drawing.markup import Picture, element, picture, words
from formulas.drawing.patterns import pattern_names, pattern_tile

# Natural width of the bar in units (one unit is one pixel when the picture is shown at its own size).
FULL_WIDTH, SMALL_WIDTH = 320.0, 92.0
FLATTEST, TALLEST = 0.2, 2.0  # height over width; beyond that the letters would not fit


def bar_cross_section_svg(
    bar: DrawnBar, *, key: str = "bar", is_small: bool = False, has_legend: bool = False
) -> Picture:
    """Return the picture. The key must differ between pictures on one page; is_small is for 80 to 160 pixels."""
    face = _face(bar, key, is_small)
    areas, marks = bar_areas(bar, face)
    width = face.width + 2 * face.x + (LEGEND_WIDTH if has_legend else 0)
    height = max(face.y + face.height + face.x, legend_height(bar) + 2 * face.x if has_legend else 0)
    clip_id = f"{face.key}-face"
    return picture(
        element("defs", *_tiles(bar, face), element("clipPath", _outline(bar, face), id=clip_id)),
        element("g", *areas, clip_path=f"url(#{clip_id})"),
        *_bevel(bar, face),
        _outline(bar, face, fill="none", stroke=INK, stroke_width=1.5 if not is_small else 1.2, class_="ink-line"),
        *embeds(bar, face.x, face.y, face.width, face.height),
        *(_letter(mark, face) for mark in marks),
        *toppers(bar, face.x, face.y, face.width),
        *seals(bar, face.x, face.y, face.width, face.height),
        *stamps(bar, face.x, face.y, face.width, face.height),
        *(legend(bar, face) if has_legend else ()),
        width=width,
        height=height,
        title=bar.title,
        description=bar_in_words(bar),
    )


def _face(bar: DrawnBar, key: str, is_small: bool) -> Face:
    width = SMALL_WIDTH if is_small else FULL_WIDTH
    ratio = 1.0
    if not bar.is_round and bar.width_mm > 0:
        ratio = min(max(float(bar.height_mm / bar.width_mm), FLATTEST), TALLEST)
    margin = 2.0 if is_small else 4.0
    return Face(
        margin, margin + topper_room(bar, width), width, width * ratio, 11.0 if is_small else 15.0, key, is_small
    )


def _tiles(bar: DrawnBar, face: Face) -> tuple[Picture, ...]:
    lines = legend_lines(bar)
    names = pattern_names(tuple(line.letter for line in lines))
    scale = 0.8 if face.is_small else 1.25
    return tuple(
        pattern_tile(
            names[line.letter],
            tile_id=face.tile_id(line.letter),
            color_hex=hex_or_plain(line.color_hex),
            scale=scale,
        )
        for line in lines
    )


def _letter(mark: Mark, face: Face) -> Picture:
    """Write the letter on a spot of its own color; where the area is too thin, the spot sits on it like a bead."""
    color = hex_or_plain(mark.color_hex)
    size = face.letter_size
    wide = 0.72 + 0.3 * (len(mark.letter) - 1)
    is_bead = mark.room < 1.7 * size
    spot = element(
        "rect",
        x=mark.x - size * wide,
        y=mark.y - size * 0.72,
        width=2 * size * wide,
        height=size * 1.44,
        rx=size * 0.72,
        fill=color,
        stroke=letter_ink(color) if is_bead else None,
        stroke_width=0.8 if is_bead else None,
    )
    letter = words(
        mark.letter,
        mark.x,
        mark.y + size * 0.36,
        class_=None,
        font_size=size,
        font_weight=650,
        text_anchor="middle",
        fill=letter_ink(color),
    )
    return element("g", spot, letter)


def _outline(bar: DrawnBar, face: Face, **attributes: str | float | None) -> Picture:
    if bar.is_round:
        middle_x, middle_y = face.x + face.width / 2, face.y + face.height / 2
        return element("circle", cx=middle_x, cy=middle_y, r=face.width / 2, **attributes)
    corner = face.width * (0.035 if bar.is_beveled else 0.012)
    return element("rect", x=face.x, y=face.y, width=face.width, height=face.height, rx=corner, **attributes)


def _bevel(bar: DrawnBar, face: Face) -> tuple[Picture, ...]:
    if not bar.is_beveled or bar.is_round:
        return ()
    inset = face.width * 0.022
    frame = element(
        "rect",
        x=face.x + inset,
        y=face.y + inset,
        width=face.width - 2 * inset,
        height=face.height - 2 * inset,
        rx=face.width * 0.02,
        fill="none",
        stroke="#ffffff",
        stroke_width=1,
        stroke_opacity=0.65,
    )
    return (frame,)
