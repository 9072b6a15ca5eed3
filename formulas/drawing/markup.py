"""SVG elements as escaped text."""

import html
import unicodedata
from decimal import Decimal

Attribute = str | int | float | Decimal | None


class Picture(str):
    """Finished markup: everything typed by a person inside it is already escaped, so templates show it as it is."""

    __slots__ = ()

    def __html__(self) -> str:
        return str(self)


def element(tag: str, *children: "Picture | str", **attributes: Attribute) -> Picture:
    """Return one element. Plain strings among the children are escaped, finished pictures are not.

    An underscore in an attribute's name becomes a hyphen; a trailing one is dropped (class_).
    """
    written = "".join(
        f' {name.rstrip("_").replace("_", "-")}="{_escaped(_figure(content))}"'
        for name, content in attributes.items()
        if content is not None
    )
    inside = "".join(child if isinstance(child, Picture) else _escaped(child) for child in children)
    return Picture(f"<{tag}{written}>{inside}</{tag}>" if inside else f"<{tag}{written}/>")


def picture(
    *children: Picture, width: float, height: float, title: str, description: str, css_class: str = "drawing"
) -> Picture:
    """Return the whole SVG with its title and description; role img lets a screen reader read it as one picture."""
    return element(
        "svg",
        element("title", title),
        element("desc", description),
        *children,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {_figure(width)} {_figure(height)}",
        width=width,
        height=height,
        role="img",
        aria_label=f"{title}. {description}",
        class_=css_class,
    )


def words(text: str, x: float, y: float, **attributes: Attribute) -> Picture:
    """Return a line of text in the page's face; classes of the page may recolor it."""
    defaults: dict[str, Attribute] = {
        "class_": "svg-text",
        "font_family": "Paper, Noto Sans, sans-serif",  # the typeface of papers, then that of the pages
        "font_size": 14,
        "fill": "#1b2226",
    }
    return element("text", text, x=x, y=y, **{**defaults, **attributes})


def shortened(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def _figure(content: Attribute) -> str:
    if isinstance(content, float | Decimal):
        return f"{content:.2f}".rstrip("0").rstrip(".")
    return str(content)


def _escaped(text: str) -> str:
    """Escape for text and attributes; control characters have no place in XML and are left out."""
    return html.escape("".join(sign for sign in text if unicodedata.category(sign) != "Cc" or sign in "\n\t"))
