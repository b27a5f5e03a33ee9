"""Words that are offered while typing, from the tables of this installation."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from html import escape

from fieldplan.jobfile.hitch import FORMS
from fieldplan.tables import read as tables
from fieldplan.weather.rules import drainages, rule_names


@cache
def offered() -> Mapping[str, tuple[str, ...]]:
    """The words of each list, by its name."""
    return {
        "hitches": FORMS,
        "carriers": _column("carriers", "carrier"),
        "states": tuple(state for state in _column("test_ages", "state") if state != "federal"),
        "places": _column("fieldwork_days", "place"),
        "surveys": _column("survey_weeks", "state"),
        "rules": rule_names(),
        "drainages": tuple(drainages()),
        "sides of drill": ("left", "right"),
        "lands": ("in the furrow", "on the surface"),
    }


@cache
def words_offered() -> str:
    """All lists as HTML."""
    return "".join(
        f'<datalist id="w-{name}">{"".join(f"<option>{escape(word)}</option>" for word in words)}</datalist>'
        for name, words in offered().items()
    )


def _column(table: str, column: str) -> tuple[str, ...]:
    return tuple(sorted(dict.fromkeys(row[column] for row in tables.rows(table))))
