"""The units a person may type, each with its spellings. A unit that is not in this table is refused."""

from dataclasses import dataclass
from decimal import Decimal
from enum import Enum


class Kind(Enum):
    """What sort of amount a box asks for: its own unit, an example, and the most that can be meant."""

    MASS = ("a weight", "gram", "12.5 g or 1 lb 4 oz", Decimal(10_000_000), "10,000 kg")
    LENGTH = ("a length", "millimeter", "25 mm or 3.5 in", Decimal(100_000), "100 m")
    VOLUME = ("a volume", "milliliter", "250 ml or 1 1/2 tsp", Decimal(10_000_000), "10,000 l")
    TEMPERATURE = ("a temperature", "degree_Celsius", "38 °C or 100 °F", Decimal(400), "400 °C")

    def __init__(self, words: str, base_unit: str, example: str, largest: Decimal, largest_words: str) -> None:
        self.words = words
        self.base_unit = base_unit
        self.example = example
        self.largest = largest
        self.largest_words = largest_words


@dataclass(frozen=True)
class Unit:
    """A unit people may type. `name` is the registry's; spoon and cup measures are the US ones."""

    name: str
    kind: Kind
    spellings: tuple[str, ...]


UNITS = (
    Unit("milligram", Kind.MASS, ("mg", "milligram", "milligrams")),
    Unit("gram", Kind.MASS, ("g", "gram", "grams", "gramme", "grammes")),
    Unit("kilogram", Kind.MASS, ("kg", "kilo", "kilos", "kilogram", "kilograms")),
    Unit("ounce", Kind.MASS, ("oz", "ounce", "ounces")),
    Unit("pound", Kind.MASS, ("lb", "lbs", "pound", "pounds")),
    Unit("millimeter", Kind.LENGTH, ("mm", "millimeter", "millimeters", "millimetre", "millimetres")),
    Unit("centimeter", Kind.LENGTH, ("cm", "centimeter", "centimeters", "centimetre", "centimetres")),
    Unit("inch", Kind.LENGTH, ("in", "inch", "inches", '"', "″", "”")),
    Unit("foot", Kind.LENGTH, ("ft", "foot", "feet", "'", "′", "’")),
    Unit("milliliter", Kind.VOLUME, ("ml", "milliliter", "milliliters", "millilitre", "millilitres")),
    Unit("centiliter", Kind.VOLUME, ("cl", "centiliter", "centiliters", "centilitre", "centilitres")),
    Unit("liter", Kind.VOLUME, ("l", "liter", "liters", "litre", "litres")),
    Unit("teaspoon", Kind.VOLUME, ("tsp", "teaspoon", "teaspoons")),
    Unit("tablespoon", Kind.VOLUME, ("tbsp", "tablespoon", "tablespoons")),
    Unit("fluid_ounce", Kind.VOLUME, ("fl oz", "fl. oz", "floz", "fluid ounce", "fluid ounces")),
    Unit("cup", Kind.VOLUME, ("cup", "cups")),
    Unit("pint", Kind.VOLUME, ("pt", "pint", "pints")),
    Unit("quart", Kind.VOLUME, ("qt", "quart", "quarts")),
    Unit("gallon", Kind.VOLUME, ("gal", "gallon", "gallons")),
    Unit("degree_Celsius", Kind.TEMPERATURE, ("°c", "c", "celsius", "deg c")),
    Unit("degree_Fahrenheit", Kind.TEMPERATURE, ("°f", "f", "fahrenheit", "deg f")),
)
BY_SPELLING = {spelling: unit for unit in UNITS for spelling in unit.spellings}
BY_NAME = {unit.name: unit for unit in UNITS}
