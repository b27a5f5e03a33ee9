"""How notes are said: each once, its quantities and places for all the fields that it is about."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from fieldplan.facts import TableSentence, Value
from fieldplan.model.notes import Note
from fieldplan.report.text.notes import note_lines
from fieldplan.report.words.hours import clock_in_parts, hours_in_parts
from fieldplan.report.words.notes import notes_as_data
from fieldplan.report.words.phrases.phrase import Phrase
from fieldplan.report.words.phrases.table import PHRASES
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence
from fieldplan.tables.read import with_values

US, METRIC = Quantities("us"), Quantities("metric")


def _said(*notes: Note, q: Quantities = US) -> str:
    return " ".join(" ".join(note_lines(notes, q)).split())


@pytest.fixture(autouse=True)
def _phrases(monkeypatch: pytest.MonkeyPatch) -> None:
    """Sentences of these tests' own."""
    own = {
        "missed": "{missed_frac:1} stays unsown. The largest piece lies at {piece}.",
        "shares": "Shares {shared_m2} with {other}.",
        "weighs": "Weighs {w_kg_per_m3}.",
        "counts": "{n_parts} parts",
    }
    for code, text in own.items():
        monkeypatch.setitem(PHRASES, f"test-{code}", Phrase(text))  # type: ignore[arg-type]


def _missed(field_id: str, share: float, lon: float) -> Note:
    return Note(
        code="test-missed", field_id=field_id, values={"missed_frac": share}, places={"piece": (lon, 44.5)}
    )


def _filled(text: str, values: Mapping[str, Value], q: Quantities) -> str:
    return sentence(TableSentence(text, values), q)


def test_a_place_is_never_a_range() -> None:
    """Two fields say one sentence: the share is a range, each place stands with its field."""
    shown = _said(_missed("a", 0.006, -95.5), _missed("b", 0.012, -95.25))
    assert (
        shown
        == "- a, b: 0.6 to 1.2 % stays unsown. The largest piece lies at 44.50000, -95.50000 (a); 44.50000, -95.25000 (b)."
    )


def test_many_places_are_cut_short() -> None:
    """Three are named, the rest counted."""
    shown = _said(*(_missed(str(n), 0.01, -95 - n) for n in range(6)))
    assert shown.endswith("-97.00000 (2); and so on for 3 more.")


def test_numbers_of_names_are_left_alone() -> None:
    """What differs in a number that is no quantity is two notes: a lot, a date, a field of a similar
    name.
    """
    shown = _said(
        *(
            Note(
                code="test-shares",
                field_id=f"f{n}",
                values={"shared_m2": 40468.564224, "other": f"field north {n}"},
            )
            for n in (1, 2)
        )
    )
    assert shown == "- f1: Shares 10.00 ac with field north 1. - f2: Shares 10.00 ac with field north 2."


def test_notes_of_no_field_are_one_only_if_they_say_the_same() -> None:
    """The same sentence with other numbers is said again, with its own."""
    two = [Note(code="test-weighs", values={"w_kg_per_m3": w}) for w in (100.0, 100.0, 200.0)]
    assert _said(*two, q=METRIC) == "- Weighs 10 kg/hL. - Weighs 20 kg/hL."


def test_a_range_has_its_unit_once() -> None:
    """``{low..high}`` is a range; so are counts, over fields."""
    assert _filled("{low_frac..high_frac}", {"low_frac": 0.65, "high_frac": 0.7}, US) == "65 to 70 %"
    notes = [Note(code="test-counts", field_id=str(n), values={"n_parts": n}) for n in (2, 4)]
    assert _said(*notes) == "- 2, 4: 2 to 4 parts"


def test_a_default_is_said_in_the_units_of_the_reader() -> None:
    """Quantities of a table's sentence become places; what has the same unit everywhere stays as typed."""
    text, values = with_values(
        "wider than {8.5 ft}, {0.25 in} deep, {100 ft2}, {20 mph}, {50 lb}, {15 min}"
    )
    assert _filled(text, values, US) == "wider than 8.5 ft, 0.25 in deep, 100 ft2, 20 mph, 50 lb, 15 min"
    assert (
        _filled(text, values, METRIC) == "wider than 2.59 m, 0.64 cm deep, 9.3 m2, 32 km/h, 23 kg, 15 min"
    )


def test_places_stand_in_the_json() -> None:
    """Longitude and latitude by name, and in the sentence."""
    (shown,) = notes_as_data([_missed("a", 0.006, -95.5)])
    assert shown["places"] == {"piece": {"lon": -95.5, "lat": 44.5}}
    assert shown["text"].endswith("lies at 44.50000, -95.50000.")


def test_parts_of_hours_add_up_as_printed() -> None:
    """Three parts of 1.04 h are 3.1 h, not 3 × 1.0 h; minutes of a short field add up too."""
    assert sorted(hours_in_parts([1.04 * 3600] * 3)) == ["1.0 h", "1.0 h", "1.1 h"]
    assert sorted(hours_in_parts([10.4 * 60] * 3)) == ["10 min", "10 min", "11 min"]
    assert clock_in_parts([3600.0, 66.851 * 3600, 5 * 60]) == (
        ["1 h", "66 h 51 min", "5 min"],
        "67 h 56 min",
    )


def test_large_quantities_have_no_exponent() -> None:
    """A catch of kilograms, a box of a thousand litres, seed as fine as dust: all digits before the
    point.
    """
    assert US.catch_g(0.091) == "2,774 g"
    assert METRIC.box_volume(1.0193) == "1\u00a0019 L"
    assert METRIC.seed_size(4_850_170.0) == "4\u00a0850\u00a0170 seeds/kg"
    assert US.catch_g(0.00031) == "9.45 g"


def test_short_parts_of_an_hour_and_more_are_minutes_that_add_up() -> None:
    """Six parts of a quarter of an hour or less that make 75.4 min: minutes, two of them rounded up."""
    shown = hours_in_parts([60 * minutes for minutes in (12.4, 12.4, 12.4, 12.4, 12.4, 13.4)])
    assert shown == ["13 min", "13 min", "12 min", "12 min", "12 min", "13 min"]
