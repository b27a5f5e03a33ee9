"""Whether the rig may back up in turns, as a job file says it."""

from __future__ import annotations

from fieldplan.jobfile.values import choice
from fieldplan.model.machine import Reverse

_WORDS = choice("where needed", "never", "free")


def reverse(value: object) -> Reverse:
    """One of the three words; true or false, as under the older key ``reverse_turns``, mean free and never."""
    if isinstance(value, bool):
        return "free" if value else "never"
    word: Reverse = _WORDS(value)  # type: ignore[assignment]  # a choice of these words gives one of them
    return word
