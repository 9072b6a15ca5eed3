"""Color additives that the US lists for cosmetics: which may color a bar, and which need a certified lot."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from formulas.label_rules.rows import list_of, rows_of


@dataclass(frozen=True)
class ColorListing:
    name_us: str
    ci_numbers: tuple[str, ...]
    is_batch_certified: bool
    bar_soap: Literal["yes", "no", "limit"]
    limit_note: str
    status: str
    source: str


def packaged_colors() -> tuple[ColorListing, ...]:
    return tuple(
        ColorListing(
            name_us=row["name_us"],
            ci_numbers=list_of(row["ci_numbers"]),
            is_batch_certified=row["is_batch_certified"] == "yes",
            bar_soap=row["bar_soap"],  # type: ignore[arg-type]
            limit_note=row["limit_note"],
            status=row["status"],
            source=row["source"],
        )
        for row in rows_of("color_additives_us")
    )


def color_key(name: str) -> str:
    """Return a color name as it is compared: "FD&C Red No. 40 Lake" and "Red 40 (CI 16035)" are one dye."""
    bare = re.sub(r"\([^)]*\)", " ", name.casefold())
    bare = re.sub(r"\b(?:fd&c|d&c|aluminum|lakes?)(?!\w)|\bno\.?(?=\s*\d)|[.,]", " ", bare)
    words = [word.removesuffix("s") if len(word) > 3 else word for word in bare.split()]
    return " ".join(words)


def listing_for(name: str, colors: Iterable[ColorListing]) -> ColorListing | None:
    """Return the listing of a color by its printed name, or None when it is not on the list."""
    wanted = color_key(name)
    return next((color for color in colors if color_key(color.name_us) == wanted), None)
