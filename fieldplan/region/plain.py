"""Attributes as JSON has them, whatever a file has them as."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date
from typing import Any

from fieldplan.boundary.attributes import text_of_bytes


def plain(value: Any) -> Any:
    """A value as JSON has it; a number that is none there is ``None``.

    Examples
    --------
    >>> plain({"sown": date(2027, 5, 1), "tags": (b"a", math.inf)})
    {'sown': '2027-05-01', 'tags': ['a', None]}
    """
    if value is None or isinstance(value, str | bool | int):
        return value
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, bytes):
        return text_of_bytes(value)
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [plain(one) for one in value]
    if isinstance(value, date):
        return value.isoformat()
    return plain(value.item()) if hasattr(value, "item") else str(value)
