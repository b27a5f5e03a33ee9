"""Bookings as they were made, read back from ``season.json``."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

from fieldplan.errors import InputError
from fieldplan.files import Purpose, text_of
from fieldplan.model.season import Booked

_FROM_HERE = "season.json of fieldplan season plan --out DIR"
BOOKINGS_FILE = Purpose(
    what="file of bookings", code="bookings", max_bytes=50_000_000, hint=_FROM_HERE, of_text=_FROM_HERE
)


def read_bookings(path: Path) -> dict[str, Booked]:
    """The bookings of a season that was planned before, by request.

    Raises
    ------
    InputError
        If the file is not what ``fieldplan season plan --out`` writes.
    """
    try:
        document = json.loads(text_of(path, BOOKINGS_FILE))
        if document["schema"] != "fieldplan/season/1":
            raise KeyError("schema")
        order = [str(one["request"]) for one in document["bookings"]]
        return {
            str(one["request"]): Booked(
                drill=str(one["drill"]),
                days=tuple(date.fromisoformat(day) for day in one["days"]),
                shares_with=tuple(map(str, one.get("shares_with", ()))),
                confirmed=one.get("confirmed") is True,
                farthest_m=None if one.get("farthest_m") is None else float(one["farthest_m"]),
                priority=sum(
                    str(other) in order[: order.index(str(one["request"]))]
                    for other in one.get("shares_with", ())
                ),
            )
            for one in document["bookings"]
        }
    except (ValueError, KeyError, TypeError, RecursionError):
        raise InputError.of("bookings-not-a-season", file=str(path)) from None
