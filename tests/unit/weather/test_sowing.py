"""First and last days to sow by soil, air and frost of a record, and published windows of a state."""

from __future__ import annotations

from datetime import date
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from weather_records import record

from fieldplan.model.job import BookingTerms
from fieldplan.model.notes import Note
from fieldplan.model.weather import Record
from fieldplan.model.weather_odds import WeatherTerms
from fieldplan.weather.rules import rain_rules
from fieldplan.weather.sowing import frost_free_until, warm_from
from fieldplan.work.sowing_window import sowing_window_notes

FIRST, LAST = date(2001, 1, 1), date(2005, 12, 31)
N_DAYS = (LAST - FIRST).days + 1


def _record(warm_on: list[int], frost_on: list[int], *, soil: bool = True) -> Record:
    """Soil at 2 °C and from a day of each year on at 12 °C; a night of −6 °C in autumn, by year."""
    course, low = np.full(N_DAYS, 2.0), np.full(N_DAYS, 1.0)
    for k, (warm, frost) in enumerate(zip(warm_on, frost_on, strict=True)):
        at = (date(FIRST.year + k, 1, 1) - FIRST).days
        course[at + warm : at + 300] = 12.0
        low[at + warm : at + 300] = 8.0
        low[at + frost] = -6.0
    none = np.full(N_DAYS, np.nan)
    return record(np.zeros(N_DAYS), FIRST, tmax_c=low + 8, tmin_c=low, soil_c=course if soil else none)


WARM, FROST = [95, 100, 105, 110, 130], [270, 275, 280, 285, 290]
"""Days of the year, counted from 0."""


def test_soil_is_safe_on_the_third_warm_day_in_a_share_of_years() -> None:
    """Four of five years have warmed by day 110; the third warm day is 112, 23 April. By 15 April, day 104,
    two years have had three warm days.
    """
    found = warm_from(_record(WARM, FROST), 7.2, date(2027, 4, 15), 0.8)
    assert found is not None
    assert (found.safe, found.n_met, found.n_years) == (date(2027, 4, 23), 2, 5)


def test_air_stands_for_soil_by_its_mean_of_seven_days() -> None:
    """From 5 to 12 °C a mean of 7.2 is passed on the third day of the warm spell: 3 of 7 days at 12."""
    found = warm_from(_record(WARM, FROST, soil=False), 7.2, date(2027, 4, 15), 0.8)
    assert found is not None
    # day 111: (5 · 5 + 2 · 12) / 7 = 7 falls short, day 112 does not
    assert found.safe == date(2027, 4, 23)
    assert warm_from(_record(WARM, FROST), 40.0, date(2027, 4, 15), 0.8).safe is None  # type: ignore[union-attr]


def test_the_last_day_before_frost_in_a_share_of_years() -> None:
    """Eight weeks before a frost that comes on day 275 or later in four of five years: day 219, 8 August."""
    found = frost_free_until(_record(WARM, FROST), -4.44, 56, date(2027, 8, 20), 0.8)
    assert found is not None
    assert (found.safe, found.n_years) == (date(2027, 8, 8), 5)
    assert found.n_met == 1  # only the frost of day 290 leaves 56 days after 20 August, day 231


def _notes(species: str, start: date, *, state: str = "", made: Record | None = None) -> list[Note]:
    weather = None if made is None else WeatherTerms(record=made, rules=(rain_rules()["rain"],))
    terms = BookingTerms(
        day_s=28_800,
        fieldwork_day_prob=0.5,
        confidence_prob=0.8,
        start=start,
        state=state,
        weather=weather,
    )
    mix: Any = SimpleNamespace(components=[SimpleNamespace(species=species)])
    return list(sowing_window_notes(terms, [mix]))


@pytest.mark.parametrize(
    ("species", "state", "start", "case", "warns"),
    [
        # Mississippi State University: big bluestem March to May
        ("big bluestem", "Mississippi", date(2027, 4, 10), "inside", False),
        ("big bluestem, Kaw", "Mississippi", date(2027, 7, 10), "outside", True),
        # Ohio: warm-season natives dormant from 1 November to 14 March
        ("big bluestem", "Ohio", date(2027, 12, 20), "inside", False),
        ("big bluestem", "ohio", date(2027, 2, 20), "inside", False),
        ("big bluestem", "Ohio", date(2027, 3, 20), "outside", True),
        # University of Minnesota: dates of cover crops say nothing of other sowing
        ("oats", "Minnesota", date(2027, 4, 20), "outside", False),
    ],
)
def test_a_start_outside_the_windows_of_a_state_is_said(
    species: str, state: str, start: date, case: str, warns: bool
) -> None:
    """Windows that cross the new year too; a warning only where other than cover crops are dated."""
    (note,) = _notes(species, start, state=state)
    assert (note.case, note.warning) == (case, warns)


def test_without_a_start_a_place_or_a_figure_nothing_is_said() -> None:
    """There is nothing to judge by."""
    assert _notes("oats", date(2027, 4, 20)) == []
    assert _notes("oats", date(2027, 4, 20), state="Nevada") == []
    assert _notes("compass plant", date(2027, 4, 20), made=_record(WARM, FROST)) == []


def test_soil_that_is_too_cold_warns_and_air_does_not() -> None:
    """Oats need 41 to 45 °F by two sources: the higher one is taken."""
    (cold,) = _notes("oats", date(2027, 4, 10), made=_record(WARM, FROST))
    assert (cold.case, cold.warning, cold.values["n_met"]) == ("soil", True, 1)
    (warm,) = _notes("oats", date(2027, 6, 10), made=_record(WARM, FROST))
    assert not warm.warning
    (air,) = _notes("oats", date(2027, 4, 10), made=_record(WARM, FROST, soil=False))
    assert (air.case, air.warning) == ("air", False)


def test_alfalfa_too_late_before_frost_warns() -> None:
    """In late summer only."""
    (late,) = _notes("alfalfa", date(2027, 8, 20), made=_record(WARM, FROST))
    assert (late.case, late.warning) == ("frost", True)
    assert _notes("alfalfa", date(2027, 5, 20), made=_record(WARM, FROST)) == []
