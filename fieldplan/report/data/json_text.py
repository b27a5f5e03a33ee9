"""JSON as text: finite numbers only, and no characters that a terminal would obey."""

from __future__ import annotations

import json
import re

_COMMANDS = re.compile("[\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\u2028\u2029\ud800-\udfff]")


def json_text(value: object) -> str:
    """One JSON object as text, the same text for the same object.

    Control characters, direction marks and bytes of a name that are no text are written as escapes.

    Parameters
    ----------
    value
        Nested dicts, lists, texts and numbers.

    Raises
    ------
    ValueError
        If a number is not finite.

    Examples
    --------
    >>> print(json_text({"area_m2": 4046.9}), end="")
    {
     "area_m2": 4046.9
    }
    """
    text = json.dumps(value, ensure_ascii=False, indent=1, allow_nan=False)
    return _COMMANDS.sub(lambda found: f"\\u{ord(found.group()):04x}", text) + "\n"
