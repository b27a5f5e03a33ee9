"""Offers to a refused request: changes that would get it days. Each was planned again, with everybody else
kept where they are.

That is enough for the offer to work when the whole season is planned again. With the change, a season
exists that serves everyone served now and this request too. A season without this request serves no more
than now at any priority. So the best season serves it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations, islice

from pyproj import Geod
from shapely import MultiPolygon
from shapely.affinity import scale

from fieldplan.errors import FieldplanError
from fieldplan.facts import Fact, Value, fact
from fieldplan.model.booked import BookingDuration
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.field import Field
from fieldplan.model.notes import Note
from fieldplan.model.request import Request
from fieldplan.season.as_booked import Book
from fieldplan.season.durations import booking_terms, boundary_of, duration_of, ground_that_fits
from fieldplan.season.tried import Changed, served_with
from fieldplan.units import ACRE_M2

_WGS84 = Geod(ellps="WGS84")
MIN_ACRES = 0.5
"""Nobody is offered fewer acres than this."""
STEP_ACRES = 0.1
"""Acres are offered in steps that a clerk would write."""
MAX_TRIED = 8
"""How often one request is planned again with one drill."""
MAX_FIELDS = 10
"""Up to so many fields every choice is tried; with more, only those next to each other in the file."""
Cut = tuple[float, Fact | None, BookingDuration]
"""Ground (m²) that fits, how it was made less (``None`` where acres were cut), and what it takes."""
Offered = tuple[Note, Changed]
"""An offer, and the request as it would be with it."""


def offers(book: Book, i: int) -> Iterator[Note]:
    """Offers that would get a refused request its days: later days, less ground, another drill.

    The season is planned again with each, by the same rules, and only what serves the request is offered.

    Parameters
    ----------
    book
        The season as it was scheduled.
    i
        Index of the request in the docket.
    """
    for note, changed in (*_later(book, i), *_less_ground(book, i), *_other_drill(book, i)):
        if served_with(book, i, changed):
            yield note


def _later(book: Book, i: int) -> Iterator[Offered]:
    """The fewest days by which the request would have to finish later."""
    terms = book.docket.program.terms
    earliest, last = book.docket.windows[i]
    ends = [
        (run[duration.days - 1], d)
        for d in book.docket.able(i)
        if (duration := book.docket.duration(i, d)).days <= terms.longest_days
        for run in book.free(d, earliest, terms.closes)
        if len(run) >= duration.days
    ]
    if ends and min(ends)[0] > last:
        day, d = min(ends)
        values: dict[str, Value] = {
            "n_days": (day - last).days,
            "drill": book.docket.program.drills[d].name,
            "done_typed_day": day,
        }
        yield Note(code="offer-later", values=values), Changed(until=day)


def _less_ground(book: Book, i: int) -> Iterator[Offered]:
    """The most ground that fits into a drill's longest free run of days."""
    earliest, last = book.docket.windows[i]
    guesses = []
    for d in book.docket.able(i):
        duration = book.docket.duration(i, d)
        days = min(
            book.docket.program.terms.longest_days,
            max((len(run) for run in book.free(d, earliest, last)), default=0),
        )
        if 0 < days < duration.days:
            guesses.append((_guess_m2(book, duration, days, d), days, d))
    for guess_m2, days, d in sorted(guesses, key=lambda guess: -guess[0]):
        cut = (
            _fewer_acres(book, i, d, days, guess_m2)
            if book.docket.requests[i].fields is None
            else _parts(book, i, d, days, guess_m2)
        )
        if cut:
            kept_m2, how, duration = cut
            less_m2 = book.docket.duration(i, d).ground_m2 - kept_m2
            note = Note(
                code="offer-less-ground",
                values={
                    "less_m2": less_m2,
                    "ground_m2": kept_m2,
                    "drill": book.docket.program.drills[d].name,
                    "n_days": days,
                    **({"how": how} if how else {}),
                },
            )
            yield note, Changed(durations={d: duration}, acres=kept_m2 / ACRE_M2)
            return


def _guess_m2(book: Book, duration: BookingDuration, days: int, d: int) -> float:
    drill = book.docket.program.drills[d]
    return ground_that_fits(duration, days, booking_terms(drill, book.docket.program))


def _fewer_acres(book: Book, i: int, d: int, days: int, guess_m2: float) -> Cut | None:
    """Acres that fit: the guess, made smaller until its plan fits."""
    tenths = int(guess_m2 / (STEP_ACRES * ACRE_M2) + 1e-9)
    for _ in range(MAX_TRIED):
        acres = round(tenths * STEP_ACRES, 1)
        if acres < MIN_ACRES:
            return None
        request = replace(book.docket.requests[i], ground_m2=acres * ACRE_M2)
        duration = _again(book, i, d, request, boundary_of(request))
        if duration.cannot is not None:
            return None
        if duration.days <= days:
            return acres * ACRE_M2, None, duration
        tenths = min(tenths - 1, int(_guess_m2(book, duration, days, d) / (STEP_ACRES * ACRE_M2)))
    return None


def _parts(book: Book, i: int, d: int, days: int, guess_m2: float) -> Cut | None:
    """Whole fields of a boundary file that fit; a single field gets a smaller outline."""
    boundary = book.docket.boundaries[i]
    if len(boundary.fields) == 1:
        return _smaller_outline(book, i, d, days, guess_m2)
    limit_m2 = max(guess_m2 * 1.15, MIN_ACRES * ACRE_M2)
    likely = [kept for kept in _choices(boundary.fields) if _ground_m2(kept) <= limit_m2]
    for kept in islice(sorted(likely, key=_ground_m2, reverse=True), MAX_TRIED):
        if _ground_m2(kept) < MIN_ACRES * ACRE_M2:
            return None
        duration = _again(book, i, d, book.docket.requests[i], replace(boundary, fields=kept))
        if duration.cannot is None and duration.days <= days:
            gone = tuple(field.field_id for field in boundary.fields if field not in kept)
            return duration.ground_m2, fact("without-fields", gone=gone), duration
    return None


def _choices(fields: Sequence[Field]) -> Iterator[tuple[Field, ...]]:
    """Choices of fields to keep while others are dropped."""
    n = len(fields)
    if n <= MAX_FIELDS:
        for size in range(1, n):
            yield from combinations(fields, size)
        return
    for first in range(n):
        for end in range(first + 1, n + 1 if first else n):
            yield tuple(fields[first:end])


def _ground_m2(fields: Sequence[Field]) -> float:
    return sum(field.plantable_m2 for field in fields)


def _smaller_outline(book: Book, i: int, d: int, days: int, guess_m2: float) -> Cut | None:
    boundary = book.docket.boundaries[i]
    (whole,) = boundary.fields
    share = min(1.0, guess_m2 / whole.plantable_m2)
    for _ in range(MAX_TRIED):
        if whole.plantable_m2 * share < MIN_ACRES * ACRE_M2:
            return None
        duration = _again(
            book, i, d, book.docket.requests[i], replace(boundary, fields=(_shrunk(whole, share),))
        )
        if duration.cannot is not None:
            return None
        if duration.days <= days:
            return duration.ground_m2, fact("smaller-outline"), duration
        share = min(share * 0.98, _guess_m2(book, duration, days, d) / whole.plantable_m2)
    return None


def _shrunk(field: Field, share: float) -> Field:
    """The field with a share of its ground: the same shape, scaled about its center by √share."""
    center, factor = field.ground.centroid, share**0.5

    def scaled(ground: MultiPolygon) -> MultiPolygon:
        return scale(ground, factor, factor, origin=center)

    ground = scaled(field.ground)
    excluded = tuple(
        replace(area, ground=scaled(area.ground), area_m2=area.area_m2 * share) for area in field.excluded
    )
    return replace(
        field,
        ground=ground,
        plantable=scaled(field.plantable),
        excluded=excluded,
        gate_lonlat=None,
        mapped_m2=abs(_WGS84.geometry_area_perimeter(ground)[0]),
    )


def _other_drill(book: Book, i: int) -> Iterator[Offered]:
    """Drills with free days that lack only a box or tractor power for the request."""
    request = book.docket.requests[i]
    earliest, last = book.docket.windows[i]
    for d, drill in enumerate(book.docket.program.drills):
        now = book.docket.duration(i, d)
        if now.cannot is None:
            continue
        duration = _again(
            book, i, d, replace(request, boxes=frozenset(), pto_power_w=None), book.docket.boundaries[i]
        )
        if duration.cannot is not None or duration.days > book.docket.program.terms.longest_days:
            continue
        if any(len(run) >= duration.days for run in book.free(d, earliest, last)):
            note = Note(
                code="offer-other-drill",
                values={"drill": drill.name, "n_days": duration.days, "why": now.cannot},
            )
            yield note, Changed(durations={d: duration})


def _again(book: Book, i: int, d: int, request: Request, boundary: BoundaryFile) -> BookingDuration:
    """What a changed request takes with a drill, planned like all others."""
    drill = book.docket.program.drills[d]
    try:
        return duration_of(
            request, boundary, drill, book.docket.program, book.docket.farthest_m[i][drill.name]
        )
    except FieldplanError as error:
        return BookingDuration(cannot=error.problems[0])
