"""From field boundaries to real acres, passes, seed, hours and days to book for a rented no-till drill."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

from fieldplan.facts import Part, spoken_by

if TYPE_CHECKING:
    from fieldplan.boundary.load import load_fields
    from fieldplan.errors import FieldplanError
    from fieldplan.jobfile.load import load_job
    from fieldplan.planner import plan_field, plan_job

__all__ = ["FieldplanError", "load_fields", "load_job", "plan_field", "plan_job"]

_HOMES = {
    "FieldplanError": "fieldplan.errors",
    "load_fields": "fieldplan.boundary.load",
    "load_job": "fieldplan.jobfile.load",
    "plan_field": "fieldplan.planner",
    "plan_job": "fieldplan.planner",
}


def _in_words(thing: object, part: Part) -> str:
    """Words are loaded when something is first put into them."""
    from fieldplan.report.words.sentences import in_words

    return in_words(thing, part)


spoken_by(_in_words)


def __getattr__(name: str) -> Any:
    """Load a public name when it is first asked for: help and complaints of the command line need none of
    them.
    """
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(_HOMES[name]), name)
