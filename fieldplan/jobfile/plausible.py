"""Unlikely values make a warning, hardly possible ones a refusal, unless the file confirms them."""

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
from fieldplan.jobfile.schema import LISTED
from fieldplan.jobfile.values import Pair, Parser, Quantity, WordOr, number, whole
from fieldplan.model.notes import Note
from fieldplan.tables.bands import Band, band_of
from fieldplan.units import CUBIC_FOOT_M3, FACTORS, FOOT_M, POUND_KG, Kind

MEANT = "meant"
"""The key that lists the keys of a table that are meant as written, however unlikely."""
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
"""Units of bands for ratios that nobody writes: what one is in SI, and the ending of the value's name."""
_NO_KIND = (whole, number)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A table of a job file.

    Parameters
    ----------
    table
        Its name in the schema, such as ``"drill.box"``.
    label
        What messages call it, such as ``"drill.box grain"``.
    path
        The file.
    meant
        Keys that the file confirms as meant.
    """

    table: str
    label: str
    path: Path
    meant: frozenset[str] = frozenset()

    @property
    def where(self) -> Where:
        """File and table, as problems name them."""
        return {"file": str(self.path), "about": f"[{self.label}]"}

    def line(self, key: str) -> Fact:
        """Return the line that confirms a key as meant, and where to write it."""
        below = f"{LISTED[self.table]} ({self.label})" if self.table in LISTED else f"[{self.label}]"
        return fact("meant-line", keys=tuple(sorted({*self.meant, key})), below=below)


def warnings(
    spot: Spot, schema: Mapping[str, Parser], given: Mapping[str, object], values: Mapping[str, object]
) -> list[tuple[str, Problem | Note]]:
    """Return the warnings and refusals of the values of a table, at most one per key.

    Parameters
    ----------
    spot
        The table.
    schema
        What reads each key.
    given
        The values as the file has them.
    values
        The values that could be read, in SI.

    Returns
    -------
    list of (str, Problem or Note)
        Each with its key: a problem for a refusal, a note for a warning.
    """
    known = _known(values)
    findings: list[tuple[str, Problem | Note]] = []
    for key, raw in given.items():
        if key not in values or key not in schema:
            continue
        for name, amount, kind in _amounts(f"{spot.table}.{key}", schema[key], values[key]):
            finding = warning(spot, key, name, amount, kind, given=raw, known=known)
            if finding is not None:
                findings.append((key, finding))
                break
    return findings


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
    """Return a refusal if an amount is hardly possible, a warning if it is unlikely; ``None`` otherwise.

    Parameters
    ----------
    spot
        The table of the key.
    key
        The key to name; if the file confirms it, nothing is returned.
    band_key
        Key of the band in ``plausible.csv``.
    amount
        In SI; in the unit of the band if ``kind`` is ``None``.
    kind
        What the amount measures.
    given
        The key's value as the file has it.
    known
        Values for the ``{names}`` in the band's meaning.
    makes
        What the value comes to, if the amount is not the value itself.
    """
    band = band_of(band_key, kind)
    if band is None or key in spot.meant:
        return None
    value = amount / _scale(band, kind)[0]
    # what can be no such quantity at all, such as a negative length, is refused elsewhere as out of range
    below = value < 0 or (value <= 0 and band.possible[0] > 0)
    above = kind == "share" and value > 100 >= band.possible[1]
    if below or above or (band.nothing and value == 0) or _inside(value, band.likely):
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


def _slips(band: Band, kind: Kind | None, given: object, value: float, *, in_all: bool) -> tuple[str, ...]:
    """Return what was probably meant, as one would write it."""
    if in_all or band.unit.startswith("$"):
        return tuple(slips_in_all(given, value, band.likely))
    slips, basis = slips_meant(band, kind, given), basis_behind(given)
    return tuple(f'"{slip.strip(chr(34))} {basis}"' if basis else slip for slip in slips)


def _amounts(name: str, parser: Parser, value: object) -> list[tuple[str, float, Kind | None]]:
    """Return the amounts in a value, each with the key of its band and its kind."""
    kind = parser.kind if isinstance(parser, Quantity | Pair) else None
    if isinstance(parser, WordOr):
        return [] if value is None else _amounts(name, parser.parser, value)
    if isinstance(value, int | float) and (kind or parser in _NO_KIND):
        return [(name, float(value), kind)]
    if isinstance(parser, Pair) and isinstance(value, tuple):
        return [(name, bound, kind) for bound in value]
    if parser is fieldwork_day_chance and isinstance(value, tuple) and not value[1]:
        return [(name, value[0], "share")]
    return []


def _known(values: Mapping[str, object]) -> dict[str, float]:
    """Return what follows from several values of a table, for the meaning of a band."""
    known = {}
    rows, spacing = values.get("rows"), values.get("row_spacing")
    if isinstance(rows, int) and isinstance(spacing, float):
        known["width_m"] = rows * spacing
    purity, *live = (values.get(name) for name in ("purity", "germination", "hard", "dormant"))
    shares = [share for share in live if isinstance(share, float)]
    if isinstance(purity, float) and shares and purity * sum(shares) > 0:
        known["times_plain"] = 1 / (purity * sum(shares))
    return known


def _meaning(band: Band, known: Mapping[str, float]) -> TableSentence | None:
    """Return what a value outside the band would mean; ``None`` if that is not known."""
    places = re.findall(r"\{(\w+)\}", band.means)
    if not band.means or not known.keys() >= set(places):
        return None
    return TableSentence(band.means, {name: known[name] for name in places})


def _likely(band: Band, kind: Kind | None) -> Fact:
    """Return the likely range, to be named in a sentence."""
    scale, ending = _scale(band, kind)
    low, high = (Measure(bound * scale, ending) for bound in band.likely)
    if band.unit == "$/lb":
        low_price, high_price = (float(typed) for typed in band.likely_typed)
        return fact(
            "likely/price",
            low_per_lb=Money(low_price, "$"),
            high_per_lb=Money(high_price, "$"),
            low_per_kg=Money(low_price / POUND_KG, "$"),
            high_per_kg=Money(high_price / POUND_KG, "$"),
        )
    if band.unit.startswith("$"):
        minimum, maximum = (f"{band.unit[0]}{typed}{band.unit[1:]}" for typed in band.likely_typed)
        return fact("likely", low=minimum, high=maximum, unit="")
    if ending == "_box_m3_per_m":
        return fact("likely/by-width", low=low, high=high)
    unit = band.unit if ending == "_plain" else ""
    if band.likely[0] > 0:
        return fact("likely", low=low, high=high, unit=unit)
    return fact("likely/up-to", high=high, unit=unit)


def _scale(band: Band, kind: Kind | None) -> tuple[float, str]:
    """Return what one of the band's unit is in SI, and the ending that its values are shown by."""
    if kind is None:
        return _OF_NO_KIND.get(band.unit, (1.0, "_plain"))
    return FACTORS[kind][band.unit], "_small_m" if band.unit == "in" else _ENDINGS[kind]


def _inside(value: float, limits: tuple[float, float]) -> bool:
    slack = 1e-9 * max(1.0, abs(value))  # conversion to SI and back may put 15 mph just over 15 mph
    return limits[0] - slack <= value <= limits[1] + slack
