"""Words for where a drill is collected and with whom its days are shared."""

from __future__ import annotations

from itertools import pairwise

from fieldplan.model.booked import Placement
from fieldplan.model.season import Season

_PLACES = ("first", "second", "third", "fourth")


def collected_from(placement: Placement) -> str:
    """Where a drill is collected: from the renter before, or at its home."""
    return placement.collect_from or f"{placement.drill}'s home"


def shared_booking(season: Season, placement: Placement) -> list[Placement]:
    """A booking and those that share its days, in the order that they get the drill."""
    return [
        other
        for other in season.placements
        if other.drill == placement.drill and other.request.request_id in placement.shared_booking
    ]


def next_on_the_day(season: Season, placement: Placement) -> Placement | None:
    """The booking that gets the drill next on the same day, if there is one."""
    sharing = shared_booking(season, placement)
    return next((after for before, after in pairwise(sharing) if before is placement), None)


def sharing_text(season: Season, placement: Placement) -> str:
    """The order on a shared day, such as "first of 2 on the same day: Ash Bend, then Larkfold".

    Nothing for a booking alone.
    """
    sharing = shared_booking(season, placement)
    if len(sharing) < 2:
        return ""
    place = _PLACES[sharing.index(placement)]
    return f"{place} of {len(sharing)} on the same day: {', then '.join(other.request.renter for other in sharing)}"
