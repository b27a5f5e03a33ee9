"""From whom a drill is collected, and with whom its days are shared, in words."""

from __future__ import annotations

from itertools import pairwise

from fieldplan.model.season import Placement, Season

_PLACES = ("first", "second", "third", "fourth")


def collected_from(one: Placement) -> str:
    """Where a drill is collected: with the renter before, or at its home."""
    return one.collect_from or f"{one.drill}'s home"


def shared_booking(season: Season, one: Placement) -> list[Placement]:
    """A booking and those that share its days, in the order that the drill goes to them."""
    return [
        other
        for other in season.placements
        if other.drill == one.drill and other.request.request_id in one.shared_booking
    ]


def next_on_the_day(season: Season, one: Placement) -> Placement | None:
    """Who has the drill after a booking on the same day."""
    own = shared_booking(season, one)
    return next((after for before, after in pairwise(own) if before is one), None)


def sharing_text(season: Season, one: Placement) -> str:
    """Whose turn is when on the day, such as "first of 2 on the same day: Ash Bend, then Larkfold"; nothing
    for a booking alone.
    """
    own = shared_booking(season, one)
    if len(own) < 2:
        return ""
    priority = _PLACES[own.index(one)]
    return (
        f"{priority} of {len(own)} on the same day: {', then '.join(other.request.renter for other in own)}"
    )
