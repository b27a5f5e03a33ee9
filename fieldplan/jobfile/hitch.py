"""Read a hitch as people name it: its kind and the category of its pins."""

from __future__ import annotations

import difflib
import re

from fieldplan.errors import InputError
from fieldplan.jobfile.values import short
from fieldplan.model.machine import Hitch, HitchKind

FORMS = (
    "drawbar",
    "drawbar category 2",
    "three-point category 1",
    "three-point category 2",
    "three-point category 3",
    "ball",
)
_CATEGORY = re.compile(r"\bcat(?:egory|\.)?\s*(?P<number>[0-5]|iv|v|i{1,3})(?![\w/])")
_ROMAN = {"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5}
_SPELLINGS: dict[str, HitchKind] = {
    "drawbar": "drawbar",
    "drawbarpin": "drawbar",
    "pin": "drawbar",
    "clevis": "drawbar",
    "pinandclevis": "drawbar",
    "pulltype": "drawbar",
    "swingingdrawbar": "drawbar",
    "threepoint": "three-point",
    "threept": "three-point",
    "3point": "three-point",
    "3pt": "three-point",
    "3p": "three-point",
    "ball": "ball",
}
_IDLE = re.compile(r"\b(?:hitch|hitched|linkage|rear)\b|[^0-9a-z]")
_BALL = re.compile(r"[\d./\s-]*(?:in|inch|inches|mm|\")?\s*\bball\b")


def hitch(value: object) -> Hitch:
    """Return a hitch by any of its usual names; the category may be left out.

    Raises
    ------
    InputError
        If it is none of them.

    Examples
    --------
    >>> hitch("3-pt Cat II")
    Hitch(kind='three-point', category=2)
    """
    if not isinstance(value, str) or not value.strip():
        raise InputError.of("not-a-hitch", given=short(value), forms=FORMS)
    text = value.casefold().strip()
    category = _CATEGORY.search(text)
    rest = text if category is None else f"{text[: category.start()]} {text[category.end() :]}"
    word = _IDLE.sub("", _BALL.sub("ball", rest))
    if word not in _SPELLINGS:
        near = difflib.get_close_matches(word, _SPELLINGS, n=1)
        raise InputError.of(
            "not-a-hitch", given=short(value), near=_SPELLINGS[near[0]] if near else "", forms=FORMS
        )
    if category is None:
        return Hitch(kind=_SPELLINGS[word], category=None)
    number = category["number"]
    return Hitch(kind=_SPELLINGS[word], category=_ROMAN.get(number) or int(number))
