"""Values that cannot be true, or hardly: what is unlikely makes a warning, what is next to impossible a
refusal, unless it is said to be meant.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from fieldplan.errors import Problem, Where
from fieldplan.facts import Fact, Measure, Money, TableSentence, Value, fact
from fieldplan.jobfile.days import fieldwork_day_chance
from fieldplan.jobfile.hints import slips_in_all, slips_meant
from fieldplan.jobfile.rates import basis_behind
from fieldplan.jobfile.values import Pair, Parser, Quantity, WordOr, number, whole
from fieldplan.model.notes import Note
from fieldplan.tables import read as tables
from fieldplan.units import CUBIC_FOOT_M3, FACTORS, FOOT_M, POUND_KG, Kind

MEANT = "meant"
"""The key of a table that lists those of its keys that are meant as they stand, however unlikely."""
_ENDINGS: dict[Kind, str] = {
    "length": "_m",
    "area": "_small_m2",
    "speed": "_m_per_s",
    "time": "_s",
    "mass": "_kg",
    "volume": "_box_m3",
    "power": "_w",
    "angle": "_deg",
    "share": "_typed_frac",
    "density": "_kg_per_m3",
    "volume rate": "_m3_per_m2",
    "mass rate": "_kg_per_m2",
    "count rate": "_typed_seeds_per_m2",
}
_OF_NO_KIND = {"ft3 a foot": (CUBIC_FOOT_M3 / FOOT_M, "_box_m3_per_m")}
"""Units of bands that measure nothing of a kind that people write: what one is in SI, and the ending of its name."""
_HEADERS = {
    "drill.box": "[[drill.box]]",
    "drill.chart": "[[drill.chart]]",
    "mix": "[[mix]]",
    "mix.component": "[[mix.component]]",
    "season_drill": "[[drill]]",
}
_NO_KIND = (whole, number)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A table of a job file: its name in the schema, what people know it by, the file, and the keys said to
    be meant in it.
    """

    table: str
    label: str
    path: Path
    meant: frozenset[str] = frozenset()

    @property
    def where(self) -> Where:
        """The file and the table, as problems name them."""
        return {"file": str(self.path), "about": f"[{self.label}]"}

    def line(self, key: str) -> Fact:
        """The line that says that a key is meant, and where it goes."""
        below = f"{_HEADERS[self.table]} ({self.label})" if self.table in _HEADERS else f"[{self.label}]"
        return fact("meant-line", keys=tuple(sorted({*self.meant, key})), below=below)


def warnings(
    spot: Spot, schema: Mapping[str, Parser], given: Mapping[str, object], values: Mapping[str, object]
) -> list[tuple[str, Problem | Note]]:
    """What is to be said of the values of one table, with the key of each."""
    known = _known(values)
    found = []
    for key, raw in given.items():
        if key not in values or key not in schema:
            continue
        for name, amount, kind in _amounts(f"{spot.table}.{key}", schema[key], values[key]):
            finding = warning(spot, key, name, amount, kind, given=raw, known=known)
            if finding is not None:
                found.append((key, finding))
                break
    return found


def warning(
    spot: Spot,
    key: str,
    band_key: str,
    amount: float,
    kind: Kind | None,
    *,
    given: object,
    known: Mapping[str, float] | None = None,
    makes: Fact | None = None,
) -> Problem | Note | None:
    """A refusal if the amount is outside what is possible, a warning outside what is likely, nothing if it
    is inside or meant.

    Parameters
    ----------
    amount
        In SI; for bands of no quantity in the unit of the band.
    makes
        What the key makes with others, if the amount is not its own value.
    known
        What stands in the places of the band's meaning.
    """
    band = tables.band(band_key, kind)
    if band is None or key in spot.meant:
        return None
    value = amount / _scale(band, kind)[0]
    beyond = (
        (value <= 0 and band.possible[0] > 0)
        or value < 0
        or (kind == "share" and value > 100 >= band.possible[1])
    )
    if (
        beyond or (band.nothing and value == 0) or _inside(value, band.likely)
    ):  # what can be no such quantity at all is refused as out of range
        return None
    means = _meaning(band, known or {})
    values: dict[str, Value] = {
        "given": json.dumps(given, ensure_ascii=False, default=str),
        "makes": makes or "",
        "likely": _likely(band, kind),
        "means": means or "",
        "slips": _slips(band, kind, given, value, in_all=makes is not None),
        "line": spot.line(key),
    }
    if not _inside(value, band.possible):
        return Problem(code="hardly-possible", key=key, values=values, **spot.where)
    return Note(
        code="unlikely", case="value", warning=True, values={"table": spot.label, "key": key, **values}
    )


def _slips(
    band: tables.Band, kind: Kind | None, given: object, value: float, *, in_all: bool
) -> tuple[str, ...]:
    """What was most likely meant, as one would write it."""
    if in_all or band.unit.startswith("$"):
        return tuple(slips_in_all(given, value, band.likely))
    slips, basis = slips_meant(band, kind, given), basis_behind(given)
    return tuple(f'"{slip.strip(chr(34))} {basis}"' if basis else slip for slip in slips)


def _amounts(name: str, parser: Parser, value: object) -> list[tuple[str, float, Kind | None]]:
    """The amounts in a value, each with the key of its band and its kind."""
    kind = parser.kind if isinstance(parser, Quantity | Pair) else None
    if isinstance(parser, WordOr):
        return [] if value is None else _amounts(name, parser.parser, value)
    if isinstance(value, int | float) and (kind or parser in _NO_KIND):
        return [(name, float(value), kind)]
    if isinstance(parser, Pair) and isinstance(value, tuple):
        return [(name, one, kind) for one in value]
    if parser is fieldwork_day_chance and isinstance(value, tuple) and not value[1]:
        return [(name, value[0], "share")]
    return []


def _known(values: Mapping[str, object]) -> dict[str, float]:
    """What follows from several values of a table."""
    known = {}
    rows, spacing = values.get("rows"), values.get("row_spacing")
    if isinstance(rows, int) and isinstance(spacing, float):
        known["width_m"] = rows * spacing
    purity, *live = (values.get(name) for name in ("purity", "germination", "hard", "dormant"))
    shares = [one for one in live if isinstance(one, float)]
    if isinstance(purity, float) and shares and purity * sum(shares) > 0:
        known["times_plain"] = 1 / (purity * sum(shares))
    return known


def _meaning(band: tables.Band, known: Mapping[str, float]) -> TableSentence | None:
    """What a value outside the band means; ``None`` if nothing is said of that, or a quantity in it is not
    known.
    """
    places = re.findall(r"\{(\w+)\}", band.means)
    if not band.means or not known.keys() >= set(places):
        return None
    return TableSentence(band.means, {name: known[name] for name in places})


def _likely(band: tables.Band, kind: Kind | None) -> Fact:
    """The likely range."""
    scale, ending = _scale(band, kind)
    low, high = (Measure(one * scale, ending) for one in band.likely)
    if band.unit == "$/lb":
        per_lb, per_kg = (
            [Money(float(one) / size, "$") for one in band.likely_typed] for size in (1.0, POUND_KG)
        )
        return fact(
            "likely/price",
            low_per_lb=per_lb[0],
            high_per_lb=per_lb[1],
            low_per_kg=per_kg[0],
            high_per_kg=per_kg[1],
        )
    if band.unit.startswith("$"):
        minimum, maximum = (f"{band.unit[0]}{one}{band.unit[1:]}" for one in band.likely_typed)
        return fact("likely", low=minimum, high=maximum, unit="")
    if ending == "_box_m3_per_m":
        return fact("likely/by-width", low=low, high=high)
    unit = "" if ending != "_plain" else band.unit
    return (
        fact("likely", low=low, high=high, unit=unit)
        if band.likely[0] > 0
        else fact("likely/up-to", high=high, unit=unit)
    )


def _scale(band: tables.Band, kind: Kind | None) -> tuple[float, str]:
    """What one of the band's unit is in SI, and the ending by which its quantities are shown."""
    if kind is None:
        return _OF_NO_KIND.get(band.unit, (1.0, "_plain"))
    return FACTORS[kind][band.unit], "_small_m" if band.unit == "in" else _ENDINGS[kind]


def _inside(value: float, band: tuple[float, float]) -> bool:
    slack = 1e-9 * max(1.0, abs(value))  # so that 15 mph is not over 15 mph by a rounding
    return band[0] - slack <= value <= band[1] + slack
