"""What a weather record says of fieldwork days, as data."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from fieldplan.model.notes import Note
from fieldplan.model.record_study import METHOD_DAYS, METHOD_NEEDED, RecordStudy
from fieldplan.report.data.weather import record_object, rule_object, wait_object
from fieldplan.report.words.notes import notes_as_data


def study_object(study: RecordStudy, notes: tuple[Note, ...]) -> dict[str, Any]:
    """The study as nested dicts: months by rule, reliability, and odds made three ways."""
    return {
        "schema": "fieldplan/weather/1",
        "record": record_object(study.record),
        "n_missing_days": study.n_missing,
        "rules": [
            {
                **rule_object(one.rule),
                "fit_frac_by_month": list(one.by_month),
                "survey_waits": [wait_object(wait) for wait in one.waits],
                "survey_window_days": None if one.level_days is None else list(one.level_days),
            }
            for one in study.rules
        ],
        "reliability": [asdict(one) for one in study.reliability],
        "methods": [
            {
                **asdict(one),
                "start": f"{one.start:%m-%d}",
                "range_prob": list(one.range_prob),
                "days": METHOD_DAYS,
                "fit_days_needed": METHOD_NEEDED,
            }
            for one in study.methods
        ],
        "notes": notes_as_data(notes),
    }
