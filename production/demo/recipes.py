"""The demo shop's recipes, each with its oils, its lye and what goes in beside them."""

from dataclasses import dataclass

Lines = tuple[tuple[str, str, str], ...]
BASE: Lines = (("naoh", "alkali", "100"), ("water", "liquid", "100"))
MILK: Lines = (("naoh", "alkali", "100"), ("milk_goat", "liquid", "100"))


@dataclass(frozen=True)
class Recipe:
    name: str
    superfat: str
    lye: str
    lines: Lines
    cure_days: int = 42
    note: str = ""


STANDARD = Recipe(
    "Harbor Standard",
    "5",
    "33",
    (("olive", "oils", "40"), ("coconut", "oils", "30"), ("palm", "oils", "30"), *BASE),
    note="Soap at 38 °C. Light trace for layers; the second layer waits until the first holds a spoonful.",
)
SHEA = Recipe(
    "Shea Evening",
    "7",
    "31",
    (
        ("olive", "oils", "45"),
        ("coconut", "oils", "25"),
        ("shea", "oils", "20"),
        ("castor", "oils", "10"),
        *BASE,
        ("Fig and Driftwood", "trace", "3"),
    ),
)
OAT = Recipe(
    "Goat Milk and Oat",
    "8",
    "32",
    (
        ("olive", "oils", "50"),
        ("coconut", "oils", "25"),
        ("palm", "oils", "25"),
        *MILK,
        ("oatmeal", "trace", "1"),
    ),
    note="Milk frozen in cubes the day before. Lye in thirds. No gel.",
)
GARDEN = Recipe(
    "Garden, no palm",
    "7",
    "32",
    (
        ("olive", "oils", "50"),
        ("coconut", "oils", "25"),
        ("sunflower_high", "oils", "10"),
        ("shea", "oils", "10"),
        ("castor", "oils", "5"),
        *BASE,
        ("kaolin", "trace", "1"),
        ("Lavender essential oil", "trace", "2.5"),
    ),
)
ORCHARD = Recipe(
    "Orchard Night",
    "6",
    "30",
    (
        ("olive", "oils", "45"),
        ("coconut", "oils", "28"),
        ("palm", "oils", "22"),
        ("castor", "oils", "5"),
        *BASE,
        ("Winter Orchard", "trace", "3"),
    ),
)
SILK = Recipe(
    "Fog, with silk",
    "6",
    "31",
    (
        ("olive", "oils", "55"),
        ("coconut", "oils", "27"),
        ("castor", "oils", "6"),
        ("shea", "oils", "12"),
        *BASE,
        ("silk", "lye", "0.05"),
        ("Salt and Fennel", "trace", "2"),
    ),
    note="Silk in the hot lye the evening before, strained at the pour.",
)
DOUGH = Recipe(
    "Working Dough",
    "5",
    "33",
    (("olive", "oils", "80"), ("coconut", "oils", "20"), *BASE),
    note="Wrap it as soon as it is cut: in open air it is hard within a day.",
)
RECIPES = (STANDARD, SHEA, OAT, GARDEN, ORCHARD, SILK, DOUGH)
