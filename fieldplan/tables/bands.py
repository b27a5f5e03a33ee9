"""The likely and the possible range of quantities, to tell slips of the pen."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from fieldplan.errors import TableError
from fieldplan.tables import read
from fieldplan.units import FACTORS, Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """The likely and the possible range of a quantity, to tell slips of the pen.

    Parameters
    ----------
    key
        The quantity, such as ``drill.row_spacing``.
    unit
        The unit of all figures here; empty for counts.
    likely, possible
        Low and high end. Outside ``likely`` a value is warned of, outside ``possible`` it is refused.
    likely_typed
        The likely range as the table has it.
    nothing
        Whether zero is accepted although it is below the likely range.
    example
        A usual value, as people write it.
    other_units
        Other units that people use for it, most usual first.
    means
        What a value outside the likely range would mean; ``{names}`` in it are filled in.
    """

    key: str
    unit: str
    likely: tuple[float, float]
    likely_typed: tuple[str, str]
    possible: tuple[float, float]
    nothing: bool
    example: str
    other_units: tuple[str, ...]
    means: str


@cache
def band_of(key: str, kind: Kind | None = None) -> Band | None:
    """Return the band of a quantity, such as ``drill.row_spacing``; ``None`` if the table has none.

    Raises
    ------
    TableError
        If the table gives it in a unit of another kind than ``kind``.
    """
    row = next((row for row in read.rows("plausible") if row["key"] == key), None)
    if row is None:
        return None
    if kind is not None and row["unit"] not in FACTORS[kind]:
        raise TableError.of(
            "table-unit", file="plausible.csv", row=", ".join(row.values()), unit=row["unit"], wanted=kind
        )
    low, high = float(row["low_likely"]), float(row["high_likely"])
    minimum, maximum = float(row["low_possible"] or -math.inf), float(row["high_possible"] or math.inf)
    return Band(
        key=key,
        unit=row["unit"],
        likely=(low, high),
        likely_typed=(row["low_likely"], row["high_likely"]),
        possible=(minimum, maximum),
        nothing=row["nothing"] == "yes",
        example=row["example"],
        other_units=tuple(row["other_units"].split()),
        means=row["means"],
    )


def needed_band(key: str, kind: Kind | None = None) -> Band:
    """Return the band of a quantity that must have one; see `band`.

    Raises
    ------
    TableError
        If the table has none, or gives it in a unit of another kind.
    """
    known = band_of(key, kind)
    if known is None:
        raise TableError.of("table-row-missing", file="plausible.csv", column="key", cell=key)
    return known


def likely(key: str, unit: str) -> tuple[float, float]:
    """Return the low and high end of the likely range of a quantity, in a unit.

    Counts and prices are not converted: ``unit`` must be the table's own.

    Raises
    ------
    TableError
        If the table has no such band, or not in a unit of that kind.
    """
    row = read.row_with("plausible", "key", key)
    if row["unit"] == unit:
        return float(row["low_likely"]), float(row["high_likely"])
    return read.in_unit(row, "low_likely", unit, "plausible"), read.in_unit(
        row, "high_likely", unit, "plausible"
    )
