"""Places on a page where a higher app may add its part, so that a lower app needs no knowledge of it.

A page of a lower app names a place, such as ``"orders.order"``, and shows ``panels_for(place, subject)``. A higher app
adds a builder for that place in its ``AppConfig.ready``. Builders return ``None`` when they have nothing to show.
"""

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True)
class Panel:
    """One block on a page: a template and what it shows. Lower ``rank`` stands higher on the page."""

    template: str
    context: Mapping[str, Any] = field(default_factory=dict)
    rank: int = 100


PanelBuilder = Callable[[Any], Panel | None]
_builders: defaultdict[str, list[PanelBuilder]] = defaultdict(list)


def add_panel(place: str, builder: PanelBuilder) -> None:
    """Let ``builder`` add a panel to every page that shows ``place``; adding it twice has no effect."""
    if builder not in _builders[place]:
        _builders[place].append(builder)


def panels_for(place: str, subject: Any) -> list[Panel]:
    """Return the panels for one thing, such as one order, in the order they are to stand on the page."""
    found = [panel for builder in _builders[place] if (panel := builder(subject)) is not None]
    return sorted(found, key=lambda panel: panel.rank)
