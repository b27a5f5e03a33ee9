"""SI values as text in the units a reader asked for."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

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
    MINUTE_S,
    MPH_M_PER_S,
    POUND_KG,
    SQUARE_FOOT_M2,
)

System = Literal["us", "metric"]
FAR_M = 10_000.0
"""Lengths from here on are miles or kilometres."""
_CATCH_M = {"us": 100 * FOOT_M, "metric": 30.0}
"""The way of a catch, a round one in the units of whoever weighs it."""


@dataclass(frozen=True, slots=True)
class Quantities:
    """Formats quantities in US or metric units."""

    system: System = "us"

    @property
    def _us(self) -> bool:
        return self.system == "us"

    @property
    def area_unit(self) -> str:
        """Unit of `area`."""
        return "ac" if self._us else "ha"

    @property
    def area_word(self) -> str:
        """Unit of `area` in full."""
        return "acres" if self._us else "hectares"

    @property
    def area_one(self) -> str:
        """One of `area` in full."""
        return "acre" if self._us else "hectare"

    @property
    def mass_unit(self) -> str:
        """Unit of `mass`."""
        return "lb" if self._us else "kg"

    @property
    def mass_unit_kg(self) -> float:
        """What one of `mass_unit` weighs."""
        return POUND_KG if self._us else 1.0

    @property
    def area_unit_m2(self) -> float:
        """One of `area_unit`."""
        return ACRE_M2 if self._us else HECTARE_M2

    @property
    def small_area_unit(self) -> str:
        """Unit of seeds by area."""
        return "ft2" if self._us else "m2"

    @property
    def small_area_m2(self) -> float:
        """One of `small_area_unit`."""
        return SQUARE_FOOT_M2 if self._us else 1.0

    @property
    def catch_m(self) -> float:
        """The way over which seed is caught and weighed: 100 ft or 30 m."""
        return _CATCH_M[self.system]

    def catch_g(self, value_kg_per_m: float) -> str:
        """What falls over the way of a catch, in grams: scales read no other unit so fine."""
        return f"{significant(value_kg_per_m * self.catch_m * 1000, 3)} g"

    def area(self, value_m2: float, digits: int = 2) -> str:
        """Acres or hectares, without the unit."""
        return f"{value_m2 / (ACRE_M2 if self._us else HECTARE_M2):,.{digits}f}"

    def mass(self, value_kg: float, digits: int | None = None) -> str:
        """Pounds or kilograms, without the unit; the more decimals the smaller."""
        value = value_kg / POUND_KG if self._us else value_kg
        if digits is None:
            digits = 2 if 0.005 <= value < 0.995 else 1 if value < 99.95 else 0
        return f"{value:,.{digits}f}"

    def length(self, value_m: float, digits: int = 0) -> str:
        """Feet or metres, with the unit."""
        return f"{value_m / FOOT_M:,.{digits}f} ft" if self._us else f"{value_m:,.{digits}f} m"

    def spacing(self, value_m: float) -> str:
        """Inches or centimetres, with the unit."""
        inches, cm = value_m / INCH_M, value_m * 100
        return f"{_as_typed(inches, cm, 4)} in" if self._us else f"{_as_typed(cm, inches, 4)} cm"

    def distance(self, value_m: float) -> str:
        """Miles or kilometres, with the unit."""
        return f"{value_m / 1609.344:,.1f} mi" if self._us else f"{value_m / 1000:,.1f} km"

    def speed(self, value_m_per_s: float) -> str:
        """Miles or kilometres an hour, with the unit."""
        if self._us:
            return f"{significant(value_m_per_s / MPH_M_PER_S, 3)} mph"
        return f"{value_m_per_s / KMH_M_PER_S:.1f} km/h"

    def mass_rate(self, value_kg_per_m2: float) -> str:
        """Pounds an acre or kilograms a hectare, with the unit; a decimal more under one."""
        value, unit = (
            (value_kg_per_m2 * ACRE_M2 / POUND_KG, "lb/ac")
            if self._us
            else (value_kg_per_m2 * HECTARE_M2, "kg/ha")
        )
        return f"{value:,.{1 if value >= 0.995 else 2}f} {unit}"

    def volume_rate(self, value_m3_per_m2: float) -> str:
        """Bushels an acre or litres a hectare, with the unit."""
        if self._us:
            return f"{significant(value_m3_per_m2 * ACRE_M2 / BUSHEL_M3, 3)} bu/ac"
        return f"{value_m3_per_m2 * HECTARE_M2 * 1000:,.0f} l/ha"

    def power(self, value_w: float, digits: int = 0) -> str:
        """Horsepower or kilowatts, with the unit."""
        return (
            f"{value_w / HORSEPOWER_W:,.{digits}f} hp" if self._us else f"{value_w / 1000:,.{digits}f} kW"
        )

    def density(self, value_kg_per_m3: float) -> str:
        """Pounds a bushel or kilograms a hectolitre, with the unit."""
        return (
            f"{significant(value_kg_per_m3 * BUSHEL_M3 / POUND_KG, 3)} lb/bu"
            if self._us
            else f"{significant(value_kg_per_m3 / 10, 3)} kg/hl"
        )

    def typed(self, value: float, kind: str) -> str:
        """A quantity as a person would type it, with no more digits than it has."""
        unit, size = _TYPED[kind][self.system]
        there = value / _TYPED[kind]["metric" if self._us else "us"][1]
        minimum = 3 if kind == "length" else 2  # what must fit through a gate is said to the centimetre
        return f"{_as_typed(value / size, there, 4 if self._us else 3, minimum)} {unit}"

    def box_volume(self, value_m3: float) -> str:
        """Cubic feet or litres, with the unit: how large boxes are said to be."""
        return (
            f"{significant(value_m3 / CUBIC_FOOT_M3, 3)} ft3"
            if self._us
            else f"{significant(value_m3 * 1000, 3)} l"
        )

    def box_by_width(self, value_m3_per_m: float) -> str:
        """Cubic feet or litres of box for each foot or metre of a drill's width, with the unit."""
        if self._us:
            return f"{significant(value_m3_per_m * FOOT_M / CUBIC_FOOT_M3, 2)} ft3 for each foot"
        return f"{significant(value_m3_per_m * 1000, 2)} l for each metre"

    def fuel(self, value_m3: float, digits: int = 0) -> str:
        """Gallons or litres, with the unit."""
        return f"{value_m3 / GALLON_M3:,.{digits}f} gal" if self._us else f"{value_m3 * 1000:,.{digits}f} l"

    def fuel_rate(self, value_m3_per_m2: float) -> str:
        """Gallons an acre or litres a hectare, with the unit."""
        if self._us:
            return f"{significant(value_m3_per_m2 * ACRE_M2 / GALLON_M3, 3)} gal/ac"
        return f"{significant(value_m3_per_m2 * HECTARE_M2 * 1000, 3)} l/ha"

    def seeds(self, value_per_m2: float, digits: int = 0) -> str:
        """Seeds a square foot or metre, with the unit."""
        return f"{value_per_m2 * self.small_area_m2:,.{digits}f} seeds/{self.small_area_unit}"

    def seed_size(self, value_per_kg: float) -> str:
        """Seeds in a pound or a kilogram, with the unit."""
        return f"{significant(value_per_kg * self.mass_unit_kg, 6)} seeds/{self.mass_unit}"

    def volume(self, value_m3: float) -> str:
        """Bushels or litres, with the unit."""
        return f"{value_m3 / BUSHEL_M3:,.1f} bu" if self._us else f"{value_m3 * 1000:,.0f} l"

    def measured(self, name: str, value: float, digits: int | None = None) -> str:
        """A quantity with its unit; what it measures is told by the ending of its name, such as ``_m`` or
        ``_kg_per_m2``.

        Names that begin with ``n_`` are counts and have none.

        Raises
        ------
        KeyError
            If the name ends in no unit that is known.
        """
        if name.startswith("n_"):
            return f"{value:,.{digits or 0}f}"
        ending = next((one for one in _ENDINGS if name.endswith(one)), None)
        if ending is None:
            raise KeyError(name)
        return _ENDINGS[ending](self, value, digits)

    def capacity(self, value_m2_per_s: float) -> str:
        """Acres or hectares an hour, with the unit."""
        return f"{self.area(value_m2_per_s * HOUR_S, 1)} {self.area_unit}/h"


class BothUnits(Quantities):
    """Quantities in US units with metric ones behind them, for readers whose units are not known."""

    def measured(self, name: str, value: float, digits: int | None = None) -> str:
        """A quantity in US and, where that reads otherwise, in metric units."""
        us, metric = (Quantities(system).measured(name, value, digits) for system in ("us", "metric"))
        return us if us == metric else f"{us} ({metric})"


def measures(name: str) -> bool:
    """Whether what has that name is a quantity: a count, or in a unit that its ending tells."""
    return name.startswith("n_") or name.endswith(tuple(_ENDINGS))


def significant(value: float, digits: int) -> str:
    """So many digits that count, or all before the point if those are more; never with an exponent."""
    short = f"{value:,.{digits}g}"
    return f"{value:,.0f}" if "e+" in short else f"{Decimal(short):f}" if "e-" in short else short


def published(value: float, digits: int = 2) -> str:
    """What was published in other units, to so many digits."""
    return significant(float(f"{value:.{digits}g}"), 6)


def _as_typed(value: float, there: float, digits: int, minimum: int = 2) -> str:
    """A number that is rounder in the other units, ``there``, with no more digits than it has in those, but
    ``minimum``; else with so many.
    """
    n_there = _n_digits(there)
    return (
        published(value, max(minimum, n_there))
        if n_there < _n_digits(value)
        else significant(value, digits)
    )


def _n_digits(value: float) -> int:
    """How many digits it takes to write a number; one that was calculated takes many."""
    return next((n for n in range(1, 7) if math.isclose(float(f"{value:.{n}g}"), value, rel_tol=1e-9)), 7)


def hours(value_s: float) -> str:
    """Hours with one decimal, minutes under an hour."""
    return f"{value_s / HOUR_S:,.1f} h" if value_s >= HOUR_S else f"{value_s / MINUTE_S:.0f} min"


def hours_in_parts(parts_s: Sequence[float]) -> list[str]:
    """Hours of each part as `hours` shows them, so that what is shown adds up to what is shown of the
    whole.

    Parts of an hour and more are rounded by the largest remainder, to tenths; those shorter are minutes as
    they are.
    """
    whole_s = sum(parts_s)
    if max(parts_s, default=0.0) < HOUR_S:
        return [
            f"{n} min" for n in _adding_up([part / MINUTE_S for part in parts_s], round(whole_s / MINUTE_S))
        ]
    long = [part for part in parts_s if part >= HOUR_S]
    short_min = sum(round(part / MINUTE_S) for part in parts_s if part < HOUR_S)
    tenths = iter(
        _adding_up(
            [part / HOUR_S * 10 for part in long], round(round(whole_s / HOUR_S, 1) * 10 - short_min / 6)
        )
    )
    return [f"{next(tenths) / 10:,.1f} h" if part >= HOUR_S else hours(part) for part in parts_s]


def clock_in_parts(parts_s: Sequence[float]) -> tuple[list[str], str]:
    """Hours and minutes of each part, and of the whole that they add up to."""
    whole = round(sum(parts_s) / MINUTE_S)
    return [_clock(n) for n in _adding_up([part / MINUTE_S for part in parts_s], whole)], _clock(whole)


def _clock(minutes: int) -> str:
    parts = [f"{minutes // 60:,} h"] * (minutes >= 60) + [f"{minutes % 60} min"] * (
        minutes % 60 > 0 or minutes < 60
    )
    return " ".join(parts)


def _adding_up(values: Sequence[float], whole: int) -> list[int]:
    """Whole numbers beside the values that add up to ``whole``, by the largest remainder: first those that
    lose most by rounding.
    """
    made = [math.floor(value) for value in values]
    order = sorted(range(len(values)), key=lambda i: made[i] - values[i])
    for k in range(max(0, whole - sum(made))):
        made[order[k % len(order)]] += 1
    for k in range(max(0, sum(made) - whole)):
        made[order[-1 - k % len(order)]] -= 1
    return made


def counted(n: float, one: str, many: str = "") -> str:
    """So many of something, such as "1 day" or "2 days"."""
    return f"{n:,.6g} {one if n == 1 else many or f'{one}s'}"


def percent(value_frac: float, digits: int = 0) -> str:
    """A fraction as percent."""
    return f"{value_frac * 100:.{digits}f} %"


def share(part: float, whole: float, digits: int = 0) -> str:
    """A part of a whole as percent; of nothing there is no share."""
    return percent(part / whole, digits) if whole > 0 else "–"


def odds_text(prob: float, asked_prob: float = 0.0) -> str:
    """A chance as whole percent that never reads as certain unless it is, nor as the one asked for where it
    is just under that.
    """
    if prob < asked_prob and percent(prob) == percent(asked_prob):
        return f"{math.floor(prob * 1000) / 10:.1f} %"
    return "over 99 %" if 0.995 <= prob < 1 else percent(prob)


def _length(q: Quantities, value_m: float, digits: int | None) -> str:
    """Feet or metres, as fine as a reader can use; from 10 km on miles or kilometres."""
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
    """How large a file is, rounded from a million bytes on."""
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
"""How a quantity is shown, by the ending of its name; the first that fits counts. Beside plain units there are: ``_small_m2``, ground in
square feet or metres; ``_small_m``, inches or centimetres; ``_typed_…``, as a person would type it; ``_catch_kg_per_m`` and
``_catch_per_m``, what falls, and how often something turns, over the way of a catch; ``_fuel_…``; ``_box_m3``; ``_seeds_…``; ``_billed_…``,
as rate cards count; ``_plain``, a number of no unit; ``_setting``, a number on the scale of a drill."""
