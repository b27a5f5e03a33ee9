"""Bookings read back from the ``season.json`` that planning wrote."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from fieldplan.errors import InputError
from fieldplan.files import Purpose, text_of
from fieldplan.model.booked import Booked

_FROM_HERE = "season.json of fieldplan season plan --out DIR"
BOOKINGS_FILE = Purpose(
    what="file of bookings", code="bookings", max_bytes=50_000_000, hint=_FROM_HERE, of_text=_FROM_HERE
)


def read_bookings(path: Path) -> dict[str, Booked]:
    """The bookings of a season that was planned before.

    Returns
    -------
    dict
        Bookings by request id.

    Raises
    ------
    InputError
        If the file is not what ``fieldplan season plan --out`` writes.
    """
    try:
        document = json.loads(text_of(path, BOOKINGS_FILE))
        if document["schema"] != "fieldplan/season/1":
            raise KeyError("schema")
        order = [str(booking["request"]) for booking in document["bookings"]]
        return {str(booking["request"]): _booked(booking, order) for booking in document["bookings"]}
    except (ValueError, KeyError, TypeError, RecursionError):
        raise InputError.of("bookings-not-a-season", file=str(path)) from None


def _booked(booking: Mapping[str, Any], order: Sequence[str]) -> Booked:
    """One booking of the file; ``order`` is that of all its bookings, in which the drill goes round."""
    shares_with = tuple(map(str, booking.get("shares_with", ())))
    farthest_m = booking.get("farthest_m")
    before = order[: order.index(str(booking["request"]))]
    return Booked(
        drill=str(booking["drill"]),
        days=tuple(date.fromisoformat(day) for day in booking["days"]),
        shares_with=shares_with,
        confirmed=booking.get("confirmed") is True,
        farthest_m=None if farthest_m is None else float(farthest_m),
        position=sum(other in before for other in shares_with),
    )
