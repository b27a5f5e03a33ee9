"""SI values as text in the units a reader asked for."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from fieldplan.report.words.hours import hours
from fieldplan.report.words.numbers import as_typed, counted, odds_text, percent, significant
from fieldplan.report.words.thousands import grouped
from fieldplan.units import (
    ACRE_M2,
    BUSHEL_M3,
    CUBIC_FOOT_M3,
    FOOT_M,
    GALLON_M3,
    HECTARE_M2,
    HORSEPOWER_W,
    HOUR_S,
    INCH_M,
    KMH_M_PER_S,
    MILE_M,
    MPH_M_PER_S,
    OUNCE_KG,
    POUND_KG,
    SQUARE_FOOT_M2,
)

System = Literal["us", "metric"]
FAR_M = 10_000.0
"""Lengths from here on are miles or kilometers."""
_CATCH_M = {"us": 100 * FOOT_M, "metric": 30.0}
"""The distance of a catch, round in the units of whoever weighs it."""


@dataclass(frozen=True, slots=True)
class Quantities:
    """Formats SI quantities in US or metric units.

    Parameters
    ----------
    system
        "us" or "metric".
    fills_form
        The reader fills in the form of the planning page: sentences name boxes by their labels, not keys of a job file.

    Examples
    --------
    >>> q = Quantities("us")
    >>> q.length(3.048), q.mass_rate(0.001), q.area(40468.6)
    ('10 ft', '8.9 lb/ac', '10.00')
    >>> Quantities("metric").length(3.048)
    '3 m'
    """

    system: System = "us"
    fills_form: bool = False

    @property
    def _us(self) -> bool:
        return self.system == "us"

    @property
    def area_unit(self) -> str:
        """The unit of `area`: "ac" or "ha"."""
        return "ac" if self._us else "ha"

    @property
    def area_word(self) -> str:
        """The unit of `area` in full: "acres" or "hectares"."""
        return "acres" if self._us else "hectares"

    @property
    def area_one(self) -> str:
        """The unit of `area` in full, for a single unit: "acre" or "hectare"."""
        return "acre" if self._us else "hectare"

    @property
    def meter(self) -> str:
        """What the drill's counter of ground is called."""
        return "acre meter" if self._us else "area meter"

    @property
    def mass_unit(self) -> str:
        """The unit of `mass`: "lb" or "kg"."""
        return "lb" if self._us else "kg"

    @property
    def mass_unit_kg(self) -> float:
        """Kilograms in one `mass_unit`."""
        return POUND_KG if self._us else 1.0

    @property
    def area_unit_m2(self) -> float:
        """Square meters in one `area_unit`."""
        return ACRE_M2 if self._us else HECTARE_M2

    @property
    def small_area_unit(self) -> str:
        """The unit of ground that seeds are counted on: "ft2" or "m2"."""
        return "ft2" if self._us else "m2"

    @property
    def small_area_m2(self) -> float:
        """Square meters in one `small_area_unit`."""
        return SQUARE_FOOT_M2 if self._us else 1.0

    @property
    def far_word(self) -> str:
        """Miles or kilometers."""
        return "miles" if self._us else "km"

    @property
    def far_m(self) -> float:
        """Meters in one `far_word`."""
        return MILE_M if self._us else 1000.0

    @property
    def catch_m(self) -> float:
        """Meters over which seed is caught and weighed: 100 ft or 30 m."""
        return _CATCH_M[self.system]

    @grouped
    def catch_g(self, value_kg_per_m: float) -> str:
        """What falls over the distance of a catch, in grams: scales read no other unit as finely.

        Parameters
        ----------
        value_kg_per_m
            What falls per meter driven.
        """
        return f"{significant(value_kg_per_m * self.catch_m * 1000, 3)} g"

    @grouped
    def rain(self, value_mm: float) -> str:
        """Depth of rain in inches or millimeters, with the unit."""
        return f"{significant(value_mm / 25.4, 2)} in" if self._us else f"{significant(value_mm, 3)} mm"

    def temperature(self, value_c: float, digits: int = 0) -> str:
        """Temperature in °F or °C, with the unit."""
        return f"{value_c * 1.8 + 32:.{digits}f} °F" if self._us else f"{value_c:.{digits}f} °C"

    @grouped
    def area(self, value_m2: float, digits: int = 2) -> str:
        """Acres or hectares, without the unit."""
        return f"{value_m2 / (ACRE_M2 if self._us else HECTARE_M2):,.{digits}f}"

    @grouped
    def mass(self, value_kg: float, digits: int | None = None) -> str:
        """Pounds or kilograms, without the unit; small masses have more decimals."""
        value = value_kg / POUND_KG if self._us else value_kg
        if digits is None:
            digits = 2 if 0.005 <= value < 0.995 else 1 if value < 99.95 else 0
        return f"{value:,.{digits}f}"

    @grouped
    def weight(self, value_kg: float, scale_kg: float = 0.001) -> str:
        """A weight to read off a scale, with the unit: ounces or grams under a pound or a kilogram.

        It is rounded to what the scale can show, and printed with no more decimals than that takes.

        Parameters
        ----------
        value_kg
            The weight.
        scale_kg
            The smallest step of the scale.

        Examples
        --------
        >>> q = Quantities("us")
        >>> q.weight(0.1733), q.weight(10.35), Quantities("metric").weight(0.1733, 0.005)
        ('6.10 oz', '22.82 lb', '175 g')
        """
        shown_kg = round(value_kg / scale_kg) * scale_kg
        if shown_kg == 0:
            tiny = value_kg > scale_kg * 1e-3
            return f"under {self.weight(scale_kg, scale_kg)}" if tiny else f"0 {self.mass_unit}"
        value_kg = shown_kg
        whole_kg, small_kg = self.mass_unit_kg, OUNCE_KG if self._us else 0.001
        small = value_kg < whole_kg * (1 - 1e-9)
        unit, unit_kg = (("oz" if self._us else "g"), small_kg) if small else (self.mass_unit, whole_kg)
        value = value_kg / unit_kg
        most = 2 if value < 99.95 else 1 if value < 999.5 else 0
        digits = min(most, max(0, math.ceil(-math.log10(scale_kg / unit_kg))))
        return f"{value:,.{digits}f} {unit}"

    @grouped
    def length(self, value_m: float, digits: int = 0) -> str:
        """Feet or meters, with the unit."""
        return f"{value_m / FOOT_M:,.{digits}f} ft" if self._us else f"{value_m:,.{digits}f} m"

    @grouped
    def spacing(self, value_m: float) -> str:
        """Inches or centimeters, with the unit."""
        inches, cm = value_m / INCH_M, value_m * 100
        return f"{as_typed(inches, cm, 4)} in" if self._us else f"{as_typed(cm, inches, 4)} cm"

    @grouped
    def distance(self, value_m: float) -> str:
        """Miles or kilometers, with the unit."""
        return f"{value_m / 1609.344:,.1f} mi" if self._us else f"{value_m / 1000:,.1f} km"

    @grouped
    def speed(self, value_m_per_s: float) -> str:
        """Miles or kilometers per hour, with the unit."""
        if self._us:
            return f"{significant(value_m_per_s / MPH_M_PER_S, 3)} mph"
        return f"{value_m_per_s / KMH_M_PER_S:.1f} km/h"

    @grouped
    def mass_rate(self, value_kg_per_m2: float) -> str:
        """Pounds per acre or kilograms per hectare, with the unit; one more decimal below 1."""
        value, unit = (
            (value_kg_per_m2 * ACRE_M2 / POUND_KG, "lb/ac")
            if self._us
            else (value_kg_per_m2 * HECTARE_M2, "kg/ha")
        )
        return f"{value:,.{1 if value >= 0.995 else 2}f} {unit}"

    @grouped
    def volume_rate(self, value_m3_per_m2: float) -> str:
        """Bushels per acre or liters per hectare, with the unit."""
        if self._us:
            return f"{significant(value_m3_per_m2 * ACRE_M2 / BUSHEL_M3, 3)} bu/ac"
        return f"{value_m3_per_m2 * HECTARE_M2 * 1000:,.0f} L/ha"

    @grouped
    def power(self, value_w: float, digits: int = 0) -> str:
        """Horsepower or kilowatts, with the unit."""
        return (
            f"{value_w / HORSEPOWER_W:,.{digits}f} hp" if self._us else f"{value_w / 1000:,.{digits}f} kW"
        )

    @grouped
    def density(self, value_kg_per_m3: float) -> str:
        """Pounds per bushel or kilograms per hectoliter, with the unit."""
        return (
            f"{significant(value_kg_per_m3 * BUSHEL_M3 / POUND_KG, 3)} lb/bu"
            if self._us
            else f"{significant(value_kg_per_m3 / 10, 3)} kg/hL"
        )

    @grouped
    def typed(self, value: float, kind: str) -> str:
        """A quantity as a person would type it, with no more digits than it has.

        Parameters
        ----------
        value
            The quantity in SI.
        kind
            "length", "spacing", "small area", "area", "mass", "mass rate" or "speed".

        Examples
        --------
        >>> Quantities("us").typed(0.1905, "spacing"), Quantities("metric").typed(0.1905, "spacing")
        ('7.5 in', '19 cm')
        """
        unit, size = _TYPED[kind][self.system]
        in_other_units = value / _TYPED[kind]["metric" if self._us else "us"][1]
        minimum = (
            3 if kind == "length" else 2
        )  # a width that must fit through a gate is given to the centimeter
        return f"{as_typed(value / size, in_other_units, 4 if self._us else 3, minimum)} {unit}"

    @grouped
    def box_volume(self, value_m3: float) -> str:
        """The size of a box in cubic feet or liters, with the unit."""
        if self._us:
            return f"{significant(value_m3 / CUBIC_FOOT_M3, 3)} ft3"
        return f"{significant(value_m3 * 1000, 3)} L"

    @grouped
    def box_by_width(self, value_m3_per_m: float) -> str:
        """Cubic feet or liters of box per foot or meter of a drill's width, with the unit."""
        if self._us:
            return f"{significant(value_m3_per_m * FOOT_M / CUBIC_FOOT_M3, 2)} ft3 per foot"
        return f"{significant(value_m3_per_m * 1000, 2)} L per meter"

    @grouped
    def fuel(self, value_m3: float, digits: int = 0) -> str:
        """Gallons or liters, with the unit."""
        return f"{value_m3 / GALLON_M3:,.{digits}f} gal" if self._us else f"{value_m3 * 1000:,.{digits}f} L"

    @grouped
    def fuel_rate(self, value_m3_per_m2: float) -> str:
        """Gallons per acre or liters per hectare, with the unit."""
        if self._us:
            return f"{significant(value_m3_per_m2 * ACRE_M2 / GALLON_M3, 3)} gal/ac"
        return f"{significant(value_m3_per_m2 * HECTARE_M2 * 1000, 3)} L/ha"

    @grouped
    def seeds(self, value_per_m2: float, digits: int = 0) -> str:
        """Seeds per square foot or meter, with the unit."""
        return f"{value_per_m2 * self.small_area_m2:,.{digits}f} seeds/{self.small_area_unit}"

    @grouped
    def seed_size(self, value_per_kg: float) -> str:
        """Seeds per pound or kilogram, with the unit."""
        return f"{significant(value_per_kg * self.mass_unit_kg, 6)} seeds/{self.mass_unit}"

    @grouped
    def volume(self, value_m3: float) -> str:
        """Bushels or liters, with the unit."""
        return f"{value_m3 / BUSHEL_M3:,.1f} bu" if self._us else f"{value_m3 * 1000:,.0f} L"

    @grouped
    def measured(self, name: str, value: float, digits: int | None = None) -> str:
        """A quantity with its unit.

        Parameters
        ----------
        name
            Its name, whose ending tells the unit of ``value``, such as ``_m`` or ``_kg_per_m2``. A name that
            begins with ``n_`` is a count.
        value
            The quantity in SI.
        digits
            Decimals, if not as many as suit the quantity.

        Raises
        ------
        KeyError
            If the name ends in no known unit.

        Examples
        --------
        >>> Quantities("us").measured("width_m", 3.048, 1), Quantities("us").measured("n_rows", 16)
        ('10.0 ft', '16')
        """
        if name.startswith("n_"):
            return f"{value:,.{digits or 0}f}"
        ending = next((ending for ending in _ENDINGS if name.endswith(ending)), None)
        if ending is None:
            raise KeyError(name)
        return _ENDINGS[ending](self, value, digits)

    @grouped
    def count(self, n: float, digits: int = 0) -> str:
        """A number without a unit."""
        return f"{n:,.{digits}f}"

    def capacity(self, value_m2_per_s: float) -> str:
        """Acres or hectares per hour, with the unit."""
        return f"{self.area(value_m2_per_s * HOUR_S, 1)} {self.area_unit}/h"


def measures(name: str) -> bool:
    """Whether a value of that name is a quantity: a count, or in the unit of its ending.

    Examples
    --------
    >>> measures("width_m"), measures("n_rows"), measures("species")
    (True, True, False)
    """
    return name.startswith("n_") or name.endswith(tuple(_ENDINGS))


def _length(q: Quantities, value_m: float, digits: int | None) -> str:
    """Feet or meters, as fine as a reader can use; from 10 km on miles or kilometers."""
    if abs(value_m) >= FAR_M:
        return f"{value_m / MILE_M:,.0f} mi" if q.system == "us" else f"{value_m / 1000:,.0f} km"
    if digits is None:
        digits = 2 if abs(value_m) < 1 else 1 if abs(value_m) < 10 else 0
    return q.length(value_m, digits)


def _area(q: Quantities, value_m2: float, digits: int | None) -> str:
    """Acres or hectares, as fine as needed to see them."""
    if digits is None:
        digits = 2 if abs(value_m2) >= 0.1 * q.area_unit_m2 or value_m2 == 0 else 4
    return f"{q.area(value_m2, digits)} {q.area_unit}"


def _bytes(value: float) -> str:
    """The size of a file, rounded from a million bytes on."""
    size, unit = (1e9, "GB") if value >= 1e9 else (1e6, "MB") if value >= 1e6 else (1.0, "bytes")
    return f"{significant(value / size, 3)} {unit}" if size > 1 else f"{value:,.0f} {unit}"


_TYPED: dict[str, dict[str, tuple[str, float]]] = {
    "length": {"us": ("ft", FOOT_M), "metric": ("m", 1.0)},
    "spacing": {"us": ("in", INCH_M), "metric": ("cm", 0.01)},
    "small area": {"us": ("ft2", SQUARE_FOOT_M2), "metric": ("m2", 1.0)},
    "area": {"us": ("ac", ACRE_M2), "metric": ("ha", HECTARE_M2)},
    "mass": {"us": ("lb", POUND_KG), "metric": ("kg", 1.0)},
    "mass rate": {"us": ("lb/ac", POUND_KG / ACRE_M2), "metric": ("kg/ha", 1 / HECTARE_M2)},
    "speed": {"us": ("mph", MPH_M_PER_S), "metric": ("km/h", KMH_M_PER_S)},
}

_ENDINGS: dict[str, Callable[[Quantities, float, int | None], str]] = {
    "_typed_m": lambda q, value, _: q.typed(value, "length"),
    "_typed_small_m": lambda q, value, _: q.typed(value, "spacing"),
    "_typed_small_m2": lambda q, value, _: q.typed(value, "small area"),
    "_typed_m2": lambda q, value, _: q.typed(value, "area"),
    "_typed_kg_per_m2": lambda q, value, _: q.typed(value, "mass rate"),
    "_typed_kg": lambda q, value, _: q.typed(value, "mass"),
    "_typed_m_per_s": lambda q, value, _: q.typed(value, "speed"),
    "_typed_frac": lambda _q, value, _: f"{significant(value * 100, 4)} %",
    "_typed_seeds_per_m2": lambda q, value, _: (
        f"{significant(value * q.small_area_m2, 4)} seeds/{q.small_area_unit}"
    ),
    "_plain": lambda _q, value, digits: significant(value, digits or 3),
    "_catch_kg_per_m": lambda q, value, _: q.catch_g(value),
    "_catch_per_m": lambda q, value, _: f"{value * q.catch_m:.1f}",
    "_fuel_m3_per_m2": lambda q, value, _: q.fuel_rate(value),
    "_fuel_m3": lambda q, value, digits: q.fuel(value, digits or 0),
    "_seeds_per_m2": lambda q, value, digits: q.seeds(value, digits or 0),
    "_seeds_per_kg": lambda q, value, _: q.seed_size(value),
    "_box_m3_per_m": lambda q, value, _: q.box_by_width(value),
    "_box_m3": lambda q, value, _: q.box_volume(value),
    "_rain_mm": lambda q, value, _: q.rain(value),
    "_c": lambda q, value, digits: q.temperature(value, digits or 0),
    "_small_m": lambda q, value, _: q.spacing(value),
    "_kg_per_m2": lambda q, value, _: q.mass_rate(value),
    "_kg_per_m3": lambda q, value, _: q.density(value),
    "_m3_per_m2": lambda q, value, _: q.volume_rate(value),
    "_m_per_s": lambda q, value, _: q.speed(value),
    "_bytes": lambda _q, value, _: _bytes(value),
    "_small_m2": lambda q, value, digits: f"{value / q.small_area_m2:,.{digits or 0}f} {q.small_area_unit}",
    "_m2": _area,
    "_m3": lambda q, value, _: q.volume(value),
    "_m": _length,
    "scale_kg": lambda _q, value, _: f"{significant(value * 1000, 3)} g",
    "_kg": lambda q, value, digits: f"{q.mass(value, digits)} {q.mass_unit}",
    "_s": lambda _q, value, digits: hours(value) if digits is None else f"{value / HOUR_S:,.{digits}f} h",
    "_w": lambda q, value, digits: q.power(value, digits or 0),
    "_signed_frac": lambda _q, value, _: f"{value * 100:+g} %",
    "_frac": lambda _q, value, digits: percent(value, digits or 0),
    "_prob": lambda _q, value, digits: odds_text(value) if digits is None else percent(value, digits),
    "_billed": lambda _q, value, _: f"{value:.6g}",
    "_billed_ac": lambda _q, value, _: f"{value:.6g} ac",
    "_billed_day": lambda _q, value, _: counted(value, "day"),
    "_billed_hour": lambda _q, value, _: f"{value:.6g} h",
    "_billed_mile": lambda _q, value, _: f"{value:.6g} mi",
    "_deg": lambda _q, value, digits: f"{value:.{digits or 0}f}°",
    "_setting": lambda _q, value, _: significant(value, 3),
}
"""How a quantity is written, by the ending of its name; the first that fits counts.

Beside plain units there are ``_typed_…``, as a person would type it; ``_small_m2``, square feet or meters; ``_small_m``,
inches or centimeters; ``_catch_kg_per_m`` and ``_catch_per_m``, what falls and how often something turns over the
distance of a catch; ``_fuel_…``; ``_box_m3``; ``_seeds_…``; ``_billed_…``, as rate cards count; ``_plain``, a number
without a unit; ``_setting``, a number on the scale of a drill; ``scale_kg``, the step of a scale in grams, as catches are."""
