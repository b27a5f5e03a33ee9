"""The units that a box of the form offers behind a number, with the number as ``{}``, and their words."""

from __future__ import annotations

from collections.abc import Mapping

from fieldplan.jobfile.rates import WRITTEN
from fieldplan.report.words.quantities import System
from fieldplan.tables.bands import band_of
from fieldplan.typed_quantity import EXAMPLES
from fieldplan.units import FACTORS, Kind

PRICES = ("${}/lb", "${}/bag", "${}/oz", "${}/kg", "€{}/kg")
_METRIC = {"m", "cm", "mm", "km", "ha", "m2", "km/h", "m/s", "kg", "g", "t", "l", "m3", "kw", "hl"}
_NEITHER = {"s", "min", "h", "deg", "%", "seeds", "bag"}


def units_of(name: str, kind: Kind) -> tuple[str, ...]:
    """The units of a key of the job file: those that figures of it are published in, and the usual one of each system."""
    band = band_of(name)
    usual = EXAMPLES[kind].strip('"').partition(" ")[2]
    named = (band.unit, *band.other_units) if band and band.unit in FACTORS[kind] else (usual,)
    both = {"us": usual, "metric": _METRIC_UNITS.get(kind, usual)}
    return tuple(f"{{}} {unit}" for unit in dict.fromkeys((*named, *both.values())))


_METRIC_UNITS: Mapping[Kind, str] = {
    "length": "m",
    "area": "m2",
    "speed": "km/h",
    "mass": "kg",
    "volume": "l",
    "power": "kw",
    "density": "kg/hl",
    "volume rate": "l/ha",
    "mass rate": "kg/ha",
    "count rate": "seeds/m2",
}


def rates() -> tuple[str, ...]:
    """Every form of a seeding rate, as a job file writes it."""
    weights = [
        f"{{}} {unit} {one.behind}" for one in WRITTEN.values() if one.behind for unit in ("lb/ac", "kg/ha")
    ]
    ounces = [f"{{}} oz/ac {one.behind}" for one in WRITTEN.values() if one.behind]
    return (*weights, "{} seeds/ft2", "{} seeds/m2", "{} % of stand", *ounces)


def system_of(unit: str) -> System | None:
    """The units that a unit belongs to; ``None`` for one that all use.

    Examples
    --------
    >>> system_of("{} kg/ha PLS"), system_of("{} ft"), system_of("{} min")
    ('metric', 'us', None)
    """
    word = unit.replace("{}", "").strip(" $€").split(" ")[0].strip("/")
    parts = {word, *word.split("/")}
    if parts & _METRIC:
        return "metric"
    return None if parts <= _NEITHER else "us"


UNIT_WORDS: Mapping[str, str] = {
    "ft": "feet",
    "in": "inches",
    "m": "meters",
    "cm": "centimeters",
    "mm": "millimeters",
    "ac": "acres",
    "ha": "hectares",
    "ft2": "square feet",
    "m2": "square meters",
    "mph": "miles an hour",
    "km/h": "kilometers an hour",
    "m/s": "meters a second",
    "s": "seconds",
    "min": "minutes",
    "h": "hours",
    "lb": "pounds",
    "oz": "ounces",
    "kg": "kilograms",
    "g": "grams",
    "t": "metric tons",
    "ft3": "cubic feet",
    "m3": "cubic meters",
    "bu": "bushels",
    "gal": "gallons",
    "l": "liters",
    "hp": "horsepower",
    "kw": "kilowatts",
    "w": "watts",
    "deg": "degrees",
    "%": "percent",
    "lb/bu": "pounds a bushel",
    "kg/hl": "kilograms a hectoliter",
    "kg/m3": "kilograms a cubic meter",
    "bu/ac": "bushels an acre",
    "l/ha": "liters a hectare",
    "lb/ac": "pounds an acre",
    "kg/ha": "kilograms a hectare",
    "oz/ac": "ounces an acre",
    "seeds/ft2": "live seeds a square foot",
    "seeds/m2": "live seeds a square meter",
    "% of stand": "percent of the species' full stand",
}
_BASIS = {"PLS": "of pure live seed", "bulk": "bulk, out of the bag"}


def unit_words(unit: str) -> str:
    """A unit in words, to stand beside a number.

    Examples
    --------
    >>> unit_words("{} lb/ac PLS"), unit_words("${}/bag")
    ('pounds of pure live seed an acre', '$ a bag')
    """
    before, _, after = unit.partition("{}")
    if before:
        one = {"lb": "pound", "oz": "ounce", "kg": "kilogram", "gal": "gallon", "l": "liter", "h": "hour"}
        below = after.strip("/")
        return f"{before} a{'n' if below in ('h', 'oz') else ''} {one.get(below, below)}"
    after = after.strip()
    if after in UNIT_WORDS:
        return UNIT_WORDS[after]
    per, _, basis = after.rpartition(" ")
    if per in UNIT_WORDS and basis == "PLS":
        mass, _, area = UNIT_WORDS[per].partition(" ")
        return f"{mass} {_BASIS[basis]} {area}"
    return f"{UNIT_WORDS[per]}, {_BASIS[basis]}" if per in UNIT_WORDS and basis in _BASIS else after
