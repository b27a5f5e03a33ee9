"""When each species of a job may be sown: by soil temperature, frost, and published windows of its state."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from fieldplan.facts import Value, case_of
from fieldplan.model.job import BookingTerms
from fieldplan.model.notes import Note
from fieldplan.model.seed import Mix
from fieldplan.model.weather import Record
from fieldplan.tables import read as tables
from fieldplan.tables.names import species_kind
from fieldplan.tables.species import word_of
from fieldplan.weather.sowing import frost_free_until, warm_from

_SPRING_ENDS, _AUTUMN_BEGINS = (7, 1), (7, 1)
_WARM_MONTHS = range(4, 9)
_NEEDS_COLD = (("yes", "usda-plants"),)
_A_YEAR = 2027
"""A year that days of any year are shown by; no leap year."""


def sowing_window_notes(booking: BookingTerms, mixes: Iterable[Mix]) -> Iterator[Note]:
    """What is published of when to sow the species of the mixes, where there is a start to compare.

    Without a record or a state there is no place to judge by, and nothing is said but which species are said to
    need cold.
    """
    start = booking.start
    if start is None:
        return
    species = dict.fromkeys(
        species_kind(component.species) for mix in mixes for component in mix.components
    )
    yield from _by_cold(species, start)
    for name in species:
        if booking.weather is not None:
            yield from _by_temperature(name, start, booking.weather.record, booking.confidence_prob)
        if booking.state:
            yield from _by_state(name, start, booking.state)


def _by_cold(species: Iterable[str], start: date) -> Iterator[Note]:
    """Species that are said to need cold before they germinate, and are sown when there is none."""
    if start.month not in _WARM_MONTHS:
        return
    cold = [name for name in species if word_of(name, "cold stratification") in _NEEDS_COLD]
    if cold:
        values: dict[str, Value] = {"species": tuple(cold), "start": start}
        yield Note(code="sowing-window", case="cold", values=values, sources=("usda-plants",))


def _by_temperature(species: str, start: date, record: Record, share: float) -> Iterator[Note]:
    """Soil warm enough in spring, and the last day before frost in autumn."""
    of_soil = [row for row in tables.rows("soil_temperatures") if row["species"] == species]
    if of_soil and (start.month, start.day) < _SPRING_ENDS and (record.has_soil or record.has_temperatures):
        low_c, high_c = _celsius(min(of_soil, key=_low)["low"]), _celsius(max(of_soil, key=_high)["high"])
        found = warm_from(record, high_c, start, share)
        if found is not None:
            values: dict[str, Value] = {
                "species": species,
                "low_c": low_c,
                "high_c": high_c,
                "n_met": found.n_met,
                "n_years": found.n_years,
                "start": start,
                "asked_prob": share,
            }
            if found.safe is not None:
                values["first"] = found.safe
            yield Note(
                code="sowing-window",
                case="soil" if record.has_soil else "air",
                warning=record.has_soil and found.n_met < share * found.n_years,
                values=values,
                sources=tuple(dict.fromkeys(row["source"] for row in of_soil)),
            )
    of_frost = next((row for row in tables.rows("frost_rules") if row["species"] == species), None)
    if of_frost is not None and (start.month, start.day) >= _AUTUMN_BEGINS and record.has_temperatures:
        frost_c, days = _celsius(of_frost["frost_f"]), int(of_frost["days_before"])
        last = frost_free_until(record, frost_c, days, start, share)
        if last is not None:
            values = {
                "species": species,
                "frost_c": frost_c,
                "n_before": days,
                "n_met": last.n_met,
                "n_years": last.n_years,
                "start": start,
                "asked_prob": share,
            }
            if last.safe is not None:
                values["last"] = last.safe
            yield Note(
                code="sowing-window",
                case="frost",
                warning=last.n_met < share * last.n_years,
                values=values,
                sources=(of_frost["source"],),
            )


def _by_state(species: str, start: date, state: str) -> Iterator[Note]:
    """The published windows of the state; a warning if the start lies outside all of them."""
    rows = [
        row
        for row in tables.rows("sowing_windows")
        if row["species"] == species and row["state"].casefold() == state.strip().casefold()
    ]
    if not rows:
        return
    inside = any(_holds(row, start) for row in rows)
    yield Note(
        code="sowing-window",
        case="inside" if inside else "outside",
        # dates of cover crops do not say when else a species may be sown
        warning=not inside and any(row["purpose"] != "cover-crop" for row in rows),
        values={
            "species": species,
            "state": state,
            "start": start,
            "windows": tuple(
                case_of(
                    "sowing-time",
                    row["purpose"],
                    first_month_day=date.fromisoformat(f"{_A_YEAR}-{row['first']}"),
                    last_month_day=date.fromisoformat(f"{_A_YEAR}-{row['last']}"),
                )
                for row in rows
            ),
        },
        sources=tuple(dict.fromkeys(row["source"] for row in rows)),
    )


def _holds(row: Mapping[str, str], day: date) -> bool:
    """Whether a window holds a day; it may run over the end of the year."""
    first, last, on = row["first"], row["last"], day.strftime("%m-%d")
    return first <= on <= last if first <= last else on >= first or on <= last


def _celsius(text: str) -> float:
    return (float(text) - 32) / 1.8


def _low(row: Mapping[str, str]) -> float:
    return float(row["low"])


def _high(row: Mapping[str, str]) -> float:
    return float(row["high"])
