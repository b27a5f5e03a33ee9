"""Words for paper: names of keys in the job file are no words for a person in a cab."""

from __future__ import annotations

import re
from functools import lru_cache

from fieldplan.report.words.phrases.table import PHRASES
from fieldplan.report.words.plain import plain

_KEY = r"[a-z]+(?:_[a-z0-9]+)+"
_PLACE = re.compile(r"\{[^{}]*\}")


def on_paper(text: str) -> str:
    """Text on one line, with the keys that sentences name said as words: "seed at" for ``seed_at``.

    What a person has named, such as a field, stays as it is, unless it is such a key.

    Examples
    --------
    >>> on_paper("give smallest_obstacle a larger area in field a_b")
    'give smallest obstacle a larger area in field a_b'
    """
    return _keys().sub(lambda found: found[0].replace("_", " "), plain(text))


@lru_cache(maxsize=1)
def _keys() -> re.Pattern[str]:
    """The keys that stand in phrases, as a pattern."""
    texts = (text for one in PHRASES.values() for text in (one.text, one.hint, one.metric, one.metric_hint))
    named = sorted({key for text in texts for key in re.findall(rf"\b{_KEY}\b", _PLACE.sub("", text))})
    return re.compile(rf"\b(?:{'|'.join(named)})\b")
