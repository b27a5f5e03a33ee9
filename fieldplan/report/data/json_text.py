"""JSON for people and programs: SI numbers that are all finite, text as it is but for characters that
command a terminal or are none.
"""

from __future__ import annotations

import json
import re

_COMMANDS = re.compile("[\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\u2028\u2029\ud800-\udfff]")


def json_text(value: object) -> str:
    """One JSON object as text, the same for the same object; control and direction marks, and bytes of a
    name that are no text, are written as escapes.
    """
    text = json.dumps(value, ensure_ascii=False, indent=1, allow_nan=False)
    return _COMMANDS.sub(lambda found: f"\\u{ord(found.group()):04x}", text) + "\n"
