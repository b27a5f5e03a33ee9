"""Bookings as they were made, read back from ``season.json``."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

from fieldplan.errors import InputError
from fieldplan.model.season import Booked


def read_bookings(path: Path) -> dict[str, Booked]:
    """The bookings of a season that was planned before, by request.

    Raises
    ------
    InputError
        If the file is not what ``fieldplan season plan --out`` writes.
    """
    try:
        document = json.loads(path.read_text(encoding="utf-8"))
        if document["schema"] != "fieldplan/season/1":
            raise KeyError("schema")
        order = [str(one["request"]) for one in document["bookings"]]
        return {
            str(one["request"]): Booked(
                drill=str(one["drill"]), days=tuple(date.fromisoformat(day) for day in one["days"]),
                shares_with=tuple(map(str, one.get("shares_with", ()))),
                confirmed=one.get("confirmed") is True,
                farthest_m=None if one.get("farthest_m") is None else float(one["farthest_m"]),
                turn=sum(str(other) in order[: order.index(str(one["request"]))] for other in one.get("shares_with", ())),
            )
            for one in document["bookings"]
        }  # fmt: skip
    except OSError as problem:
        raise InputError.of("bookings-unreadable", f"{path}: cannot be opened ({problem.strerror}).") from None
    except (ValueError, KeyError, TypeError, RecursionError):
        raise InputError.of(
            "bookings-not-a-season", f"{path}: is no season as it was planned.", "season.json of fieldplan season plan --out DIR"
        ) from None
