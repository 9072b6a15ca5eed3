"""Toppers on the bar, the seal or stamp on its face, embeds inside. A dashed edge means: not on every bar."""

from math import cos, pi, sin

from formulas.drawing.bar_records import DrawnBar, DrawnPart
from formulas.drawing.inks import INK, hex_or_plain, mixed
from formulas.drawing.markup import Picture, element, words

Spot = tuple[float, float, float]  # x, y, radius
TOPPER_HEIGHT = 0.15  # of the bar's width
FINE_BELOW = 20.0


def topper_room(bar: DrawnBar, width: float) -> float:
    return width * TOPPER_HEIGHT if _of_kind(bar, "topper") else 0.0


def toppers(bar: DrawnBar, x: float, top: float, width: float) -> tuple[Picture, ...]:
    """Draw each topper as a petaled mound standing on the bar, side by side."""
    found = _of_kind(bar, "topper")
    each = width / max(len(found), 1)
    return tuple(
        _topper(part, x + each * (place + 0.5), top, min(width * TOPPER_HEIGHT, each * 0.4))
        for place, part in enumerate(found)
    )


def seals(bar: DrawnBar, x: float, y: float, width: float, height: float) -> tuple[Picture, ...]:
    """Draw each seal as a scalloped medallion at the lower right of the face."""
    return tuple(_seal(part, *spot) for part, spot in _seal_spots(bar, x, y, width, height))


def embeds(bar: DrawnBar, x: float, y: float, width: float, height: float) -> tuple[Picture, ...]:
    """Draw each embed as a diamond pressed into the middle of the face."""
    return tuple(_embed(part, *spot) for part, spot in _embed_spots(bar, x, y, width, height))


def stamps(bar: DrawnBar, x: float, y: float, width: float, height: float) -> tuple[Picture, ...]:
    """Draw each stamp as a frame pressed into the lower left of the face, with its initial."""
    return tuple(_stamp(part, *spot) for part, spot in _stamp_spots(bar, x, y, width, height))


def part_spots(bar: DrawnBar, x: float, y: float, width: float, height: float) -> list[Spot]:
    """Return the round spots of the face that parts cover, so that letters keep clear of them."""
    here = (bar, x, y, width, height)
    found = (*_seal_spots(*here), *_stamp_spots(*here), *_embed_spots(*here))
    return [spot for _, spot in found]


def _seal_spots(bar: DrawnBar, x: float, y: float, width: float, height: float) -> list[tuple[DrawnPart, Spot]]:
    radius = min(width, height) * 0.13
    inset = width * 0.24 if bar.is_round else radius * 1.45
    return [
        (part, (x + width - inset - place * radius * 2.3, y + height - inset, radius))
        for place, part in enumerate(_of_kind(bar, "seal"))
    ]


def _stamp_spots(bar: DrawnBar, x: float, y: float, width: float, height: float) -> list[tuple[DrawnPart, Spot]]:
    radius = min(width, height) * 0.11
    inset = width * 0.24 if bar.is_round else radius * 1.6
    return [
        (part, (x + inset + place * radius * 2.6, y + height - inset, radius))
        for place, part in enumerate(_of_kind(bar, "stamp"))
    ]


def _embed_spots(bar: DrawnBar, x: float, y: float, width: float, height: float) -> list[tuple[DrawnPart, Spot]]:
    found = _of_kind(bar, "embed", "dough")
    size = min(width / (2 * max(len(found), 1) + 1), height * 0.24) * 0.7
    return [
        (part, (x + width * (place + 1) / (len(found) + 1), y + height * 0.64, size))
        for place, part in enumerate(found)
    ]


def _topper(part: DrawnPart, x: float, foot: float, high: float) -> Picture:
    color = hex_or_plain(part.color_hex)
    petals = " ".join(
        f"M{x:.2f} {foot:.2f}Q{x + high * 1.25 * cos(angle - 0.3):.2f} {foot - high * 1.05 * sin(angle - 0.3):.2f} "
        f"{x + high * 1.05 * cos(angle):.2f} {foot - high * sin(angle):.2f}"
        f"Q{x + high * 1.25 * cos(angle + 0.3):.2f} {foot - high * 1.05 * sin(angle + 0.3):.2f} {x:.2f} {foot:.2f}Z"
        for angle in (pi * step / 6 for step in (0.65, 1.8, 3, 4.2, 5.35))
    )
    heart = element("path", d=_dome(x, foot, high * 0.42), fill=mixed(color, "#ffffff", 0.35), **_edge(part, high))
    return element("g", element("path", d=petals, fill=color, stroke_linejoin="round", **_edge(part, high)), heart)


def _dome(x: float, foot: float, radius: float) -> str:
    return f"M{x - radius:.2f} {foot:.2f}a{radius:.2f} {radius:.2f} 0 0 1 {2 * radius:.2f} 0Z"


def _seal(part: DrawnPart, x: float, y: float, radius: float) -> Picture:
    color = hex_or_plain(part.color_hex)
    scallops = 14
    points = [
        (x + radius * cos(2 * pi * step / scallops), y + radius * sin(2 * pi * step / scallops))
        for step in range(scallops)
    ]
    bump = radius * sin(pi / scallops) * 1.05
    edge = "".join(f"A{bump:.2f} {bump:.2f} 0 0 1 {px:.2f} {py:.2f}" for px, py in (*points[1:], points[0]))
    start = f"M{points[0][0]:.2f} {points[0][1]:.2f}"
    ring = element("circle", cx=x, cy=y, r=radius * 0.68, fill=mixed(color, "#ffffff", 0.3), **_edge(part, radius))
    leaf = radius * 0.4
    mark = f"M{x:.2f} {y - leaf:.2f}q{leaf:.2f} {leaf:.2f} 0 {2 * leaf:.2f}q{-leaf:.2f} {-leaf:.2f} 0 {-2 * leaf:.2f}Z"
    return element(
        "g",
        element("path", d=f"{start}{edge}Z", fill=color, **_edge(part, radius)),
        ring,
        element("path", d=mark, fill=INK, fill_opacity=0.75),
    )


def _embed(part: DrawnPart, x: float, y: float, size: float) -> Picture:
    color = hex_or_plain(part.color_hex)
    diamond = f"M{x:.2f} {y - size:.2f}l{size:.2f} {size:.2f}l{-size:.2f} {size:.2f}l{-size:.2f} {-size:.2f}Z"
    facets = f"M{x - size:.2f} {y:.2f}h{2 * size:.2f}M{x:.2f} {y - size:.2f}v{2 * size:.2f}"
    return element(
        "g",
        element("path", d=diamond, fill=color, stroke_linejoin="round", **_edge(part, size)),
        element("path", d=facets, fill="none", stroke=INK, stroke_width=0.7, stroke_opacity=0.6),
    )


def _stamp(part: DrawnPart, x: float, y: float, size: float) -> Picture:
    color = hex_or_plain(part.color_hex)
    frame = f"M{x - size:.2f} {y - size:.2f}h{2 * size:.2f}v{2 * size:.2f}h{-2 * size:.2f}Z"
    initial = words(part.name[:1].upper(), x, y + size * 0.45, font_size=size * 1.3, text_anchor="middle")
    return element("g", element("path", d=frame, fill=color, stroke_linejoin="round", **_edge(part, size)), initial)


def _edge(part: DrawnPart, size: float) -> dict[str, str | float | None]:
    """Return the outline of a part, finer on a small one."""
    is_fine = size < FINE_BELOW
    dashes = "2 1.5" if is_fine else "4 3"
    return {
        "stroke": INK,
        "stroke_width": 0.7 if is_fine else 1.3,
        "stroke_dasharray": None if part.is_on_every_bar else dashes,
    }


def _of_kind(bar: DrawnBar, *kinds: str) -> tuple[DrawnPart, ...]:
    return tuple(part for part in bar.parts if part.kind in kinds)
