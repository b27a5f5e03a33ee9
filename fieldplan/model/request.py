"""A request for a drill: one row of the clerk's list."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """One row of the clerk's list.

    Parameters
    ----------
    row
        Its row in the list; the header is row 1.
    ready, until
        First day the renter can begin; last day the work may be done.
    asked
        Day of asking, from which days of notice count.
    fields, ground_m2
        A boundary file, or the size of the ground: always one of the two.
    place_lonlat
        Longitude and latitude in degrees.
    boxes
        Kinds of boxes that the drill must have.
    facts
        Every column as typed, for the rules.
    renter_id
        Who rents, apart from the name; empty where nobody gave one.
    """

    row: int
    request_id: str
    renter: str
    ready: date
    until: date
    asked: date | None
    fields: Path | None
    ground_m2: float | None
    place_lonlat: tuple[float, float]
    mix: str | None
    pto_power_w: float | None
    boxes: frozenset[str] = frozenset()
    facts: Mapping[str, str] = field(default_factory=dict)
    renter_id: str = ""

    @property
    def who(self) -> str:
        """What tells the renter from others: the id, else the name."""
        return self.renter_id or self.renter

    @property
    def phone(self) -> str:
        """The renter's telephone number, or nothing. Only the clerk sees it, unless it is asked for."""
        return self.facts.get("phone", "")
