"""The way through the pages, in the order of the work. Pages are named by string: this floor imports no app."""

from dataclasses import dataclass

from django.urls import NoReverseMatch, reverse


@dataclass(frozen=True)
class Station:
    """One entry of the navigation. `url_name` names its page; `key` marks the entry as the present one."""

    name: str
    url_name: str
    key: str


WORK = (
    Station("Today", "production:today", "today"),
    Station("Orders", "orders:order-list", "orders"),
    Station("Plan", "production:plan", "plan"),
    Station("Bench", "production:bench", "bench"),
    Station("Cure rack", "production:cure-rack", "cure"),
    Station("Labels", "production:label-list", "labels"),
)
SHELVES = (
    Station("Formulas", "formulas:formula-list", "formulas"),
    Station("Designs", "formulas:design-list", "designs"),
    Station("Stores", "production:stores", "stores"),
    Station("Trace", "production:trace", "trace"),
    Station("Money", "orders:money", "money"),
    Station("Settings", "workshop-settings", "settings"),
)


@dataclass(frozen=True)
class Link:
    """An entry with its address, and whether it is the page (or the part) being looked at."""

    name: str
    url: str
    key: str
    is_here: bool


def links(stations: tuple[Station, ...], *, path: str) -> tuple[Link, ...]:
    """Return the entries whose page exists, with the one for this path marked."""
    found = []
    for station in stations:
        try:
            url = reverse(station.url_name)
        except NoReverseMatch:
            continue
        is_here = path == url or (url != "/" and path.startswith(url))
        found.append(Link(station.name, url, station.key, is_here))
    return tuple(found)
