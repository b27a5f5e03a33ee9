"""Values that cannot be true, or hardly: what is unlikely makes a warning, what is next to impossible a refusal, unless it is said to be meant."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass

from fieldplan.errors import Problem
from fieldplan.jobfile.days import fit_day_chance
from fieldplan.jobfile.hints import slips_in_all, slips_meant
from fieldplan.jobfile.values import Pair, Parser, Quantity, WordOr, number, whole
from fieldplan.model.notes import Note
from fieldplan.tables import read as tables
from fieldplan.units import FACTORS, Kind, shown_distance

MEANT = "meant"
"""The key of a table that lists those of its keys that are meant as they stand, however unlikely."""
_ENDINGS: dict[Kind, str] = {
    "length": "_m", "area": "_small_m2", "speed": "_m_per_s", "time": "_s", "mass": "_kg", "volume": "_box_m3", "power": "_w", "angle": "_deg",
    "share": "_frac", "density": "_kg_per_m3", "volume rate": "_m3_per_m2", "mass rate": "_kg_per_m2", "count rate": "_seeds_per_m2",
}  # fmt: skip
_HEADERS = {
    "drill.box": "[[drill.box]]", "drill.chart": "[[drill.chart]]", "mix": "[[mix]]", "mix.component": "[[mix.component]]",
    "season_drill": "[[drill]]",
}  # fmt: skip
_NO_KIND = (whole, number)
_BASIS = re.compile(r"(?:PLS|bulk|of stand)\s*$", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A table of the job file: its name in the schema, what people know it by, the file, and the keys said to be meant in it."""

    table: str
    label: str
    where: str
    meant: frozenset[str] = frozenset()

    def line(self, key: str) -> str:
        """The line that says that a key is meant, and where it goes."""
        keys = ", ".join(f'"{one}"' for one in sorted({*self.meant, key}))
        named = self.label if self.table not in _HEADERS else f"{_HEADERS[self.table]} ({self.label})"
        return f"with the line  {MEANT} = [{keys}]  below {named if named.startswith('[') else f'[{named}]'}"


def doubts(
    spot: Spot, schema: Mapping[str, Parser], given: Mapping[str, object], values: Mapping[str, object]
) -> list[tuple[str, Problem | Note]]:
    """What is to be said of the values of one table, with the key of each."""
    facts = _facts(values)
    found = []
    for key, raw in given.items():
        if key not in values or key not in schema:
            continue
        for name, amount, kind in _amounts(f"{spot.table}.{key}", schema[key], values[key]):
            said = doubt(spot, key, name, amount, kind, given=raw, facts=facts)
            if said is not None:
                found.append((key, said))
                break
    return found


def doubt(
    spot: Spot, key: str, band_key: str, amount: float, kind: Kind | None, *, given: object, facts: Mapping[str, float | str] | None = None,
    about: str = "",
) -> Problem | Note | None:  # fmt: skip
    """A refusal if the amount is outside what is possible, a warning outside what is likely, nothing if it is inside or meant.

    Parameters
    ----------
    amount
        In SI; for bands of no kind in the unit of the band.
    about
        What the key makes with others, if the amount is not its own value; ``{made}`` stands for the amount, where that has a kind.
    facts
        What stands in the places of the band's meaning.
    """
    band = tables.band(band_key)
    if band is None or key in spot.meant:
        return None
    value = amount / (FACTORS[kind][band.unit] if kind else 1.0)
    beyond = (value <= 0 and band.possible[0] > 0) or value < 0 or (kind == "share" and value > 100)
    if (
        beyond or (band.nothing and value == 0) or _inside(value, band.likely)
    ):  # what can be no such quantity at all is refused as out of range
        return None
    in_all = about or band.unit.startswith("$")
    slips = slips_in_all(given, value, band.likely) if in_all else slips_meant(band, kind, given)
    if not about and isinstance(given, str) and (basis := _BASIS.search(given)):
        slips = [f'"{one.strip(chr(34))} {basis[0]}"' for one in slips]
    meant = f"Did you mean {' or '.join(slips)}? " if slips else ""
    shown = f"{key} = {json.dumps(given, ensure_ascii=False, default=str)}"
    means, numbers = _meaning(band, facts or {})
    if not _inside(value, band.possible):
        told, makes = means, about.replace("{made}", f"{_number(value)} {band.unit}".rstrip())
        for name, number_si in numbers.items():
            told = told.replace(f"{{{name}}}", shown_distance(number_si))
        return Problem(code="hardly-possible", told=f"{spot.where} {shown}{makes and f' {makes}; that'} can hardly be right: {_usual(band)} is likely.{told}",
                       told_hint=f"{meant}If it is right, say so {spot.line(key)}")  # fmt: skip
    low_name, high_name, values = _limits(band, kind)
    made = f"made{_ending(band, kind)}"
    if "{made}" in about:
        values, about = {**values, made: amount}, about.replace("{made}", f"{{{made}}}")
    usual = f"{low_name} to {high_name}" if band.likely[0] > 0 else f"up to {high_name}"
    return Note(
        code="unlikely", warning=True, values={**values, **numbers},
        told=f"{spot.label}: {shown}{about and f' {about}'}; {usual} is likely.{means} {meant}If it is right, say so {spot.line(key)}.",
    )  # fmt: skip


def _amounts(name: str, parser: Parser, value: object) -> list[tuple[str, float, Kind | None]]:
    """The amounts in a value, each with the key of its band and its kind."""
    kind = parser.kind if isinstance(parser, Quantity | Pair) else None
    if isinstance(parser, WordOr):
        return [] if value is None else _amounts(name, parser.parser, value)
    if isinstance(value, int | float) and (kind or parser in _NO_KIND):
        return [(name, float(value), kind)]
    if isinstance(parser, Pair) and isinstance(value, tuple):
        return [(name, one, kind) for one in value]
    if parser is fit_day_chance and isinstance(value, tuple) and not value[1]:
        return [(name, value[0], "share")]
    return []


def _facts(values: Mapping[str, object]) -> dict[str, float | str]:
    facts: dict[str, float | str] = {}
    rows, spacing = values.get("rows"), values.get("row_spacing")
    if isinstance(rows, int) and isinstance(spacing, float):
        facts["width_m"] = rows * spacing
    purity, *live = (values.get(name) for name in ("purity", "germination", "hard", "dormant"))
    shares = [one for one in live if isinstance(one, float)]
    if isinstance(purity, float) and shares and purity * sum(shares) > 0:
        facts["times"] = _number(1 / (purity * sum(shares)))
    return facts


def _meaning(band: tables.Band, facts: Mapping[str, float | str]) -> tuple[str, dict[str, float]]:
    """What a value outside the band means, and the quantities in it."""
    text, numbers = band.means, {}
    for name, fact in facts.items():
        if isinstance(fact, str):
            text = text.replace(f"{{{name}}}", fact)
        elif f"{{{name}}}" in text:
            numbers[name] = fact
    return (f" As it stands, {text}." if text and (numbers or "{" not in text) else ""), numbers


def _limits(band: tables.Band, kind: Kind | None) -> tuple[str, str, dict[str, float]]:
    """How the likely range is said: places with their SI values, or plain numbers of what has no kind."""
    low, high = band.likely
    if band.unit.startswith("$"):
        return _money(low, band.unit), _money(high, band.unit), {}
    if kind is None:
        return _number(low), f"{_number(high)} {band.unit}".rstrip(), {}
    ending = _ending(band, kind)
    factor = FACTORS[kind][band.unit]
    low_digits, high_digits = (
        "" if kind not in ("share", "count rate") or one == round(one) else ":1" if one * 10 == round(one * 10) else ":2"
        for one in band.likely
    )
    return (
        f"{{low{ending}{low_digits}}}",
        f"{{high{ending}{high_digits}}}",
        {f"low{ending}": low * factor, f"high{ending}": high * factor},
    )


def _ending(band: tables.Band, kind: Kind | None) -> str:
    """The ending of the name of a quantity of the band, by which it is shown."""
    if kind is None:
        return ""
    return "_small_m" if band.unit == "in" else _ENDINGS[kind]


def _money(amount: float, unit: str) -> str:
    return f"{unit[0]}{_number(amount)}{unit[1:]}"


def _usual(band: tables.Band) -> str:
    low, high = band.likely
    if band.unit.startswith("$"):
        return f"{_money(low, band.unit)} to {_money(high, band.unit)}"
    return f"{f'{_number(low)} to' if low > 0 else 'up to'} {_number(high)} {band.unit}".rstrip()


def _number(value: float) -> str:
    return f"{value:,.3g}" if abs(value) < 999.5 else f"{value:,.0f}"


def _inside(value: float, band: tuple[float, float]) -> bool:
    slack = 1e-9 * max(1.0, abs(value))  # so that 15 mph is not over 15 mph by a rounding
    return band[0] - slack <= value <= band[1] + slack
