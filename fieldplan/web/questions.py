"""What a dropped source is asked about: each answer that takes it further, tried and ready to be shown on the map."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np
import shapely
from pyproj import CRS
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.acreage import geodesic_area_m2
from fieldplan.boundary.exclusions import Exclusion, ExclusionFile
from fieldplan.boundary.outlines import point_in
from fieldplan.boundary.slips import SLIPS, Slip
from fieldplan.boundary.terms import Axes, ReadingTerms
from fieldplan.errors import Problem
from fieldplan.facts import Fact, Value, fact
from fieldplan.model.coverage import Array
from fieldplan.model.field import Field
from fieldplan.web.drawing import Place
from fieldplan.web.ground import shared_ground
from fieldplan.web.intake import Found, Holds, read

View = tuple[float, float, float, float]
"""West, south, east and north of the map that is seen, in degrees."""
MAX_TRIED_BYTES = 4_000_000
"""Of a larger source the answers are named without trying where they would put it."""
MAX_ANSWERS = 12
_NEEDS_PLACE = ("looks-like/utm", "looks-like/projection", "offer/many")
_PLACES = ("place_lonlat", "at_lonlat", "start_lonlat", "end_lonlat")
"""Values of problems that are places; of readings, the places stand with their answers."""
_UTM_NORTH, _UTM_SOUTH = 32600, 32700


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One answer to a question about a source.

    Parameters
    ----------
    what
        What it says.
    terms
        How the source is read then.
    place
        Where it puts the source, if it was found out.
    drawn
        What lies there, to be shown.
    area_m2
        The area of that.
    moved
        A field that is moved, and how.
    holds
        What the source holds then; ``None`` for what the person said.
    not_planted
        The id of a field that is ground not planted within another.
    """

    what: Fact
    terms: ReadingTerms
    place: Place | None = None
    drawn: tuple[BaseGeometry, ...] = ()
    area_m2: float = 0.0
    moved: tuple[str, Slip] | None = None
    holds: Holds | None = None
    not_planted: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What a source is asked about.

    Parameters
    ----------
    answers
        Each would take the source further; there may be none.
    asks_place
        A place near the fields would tell which of many answers is right.
    """

    found: Found
    answers: tuple[Answer, ...]
    asks_place: bool = False

    @property
    def doubtful(self) -> tuple[Place, ...]:
        """Places that the problems name, to be shown."""
        facts = (one for problem in self.problems for one in _facts_in(problem))
        named = (one.values.get(name) for one in facts for name in _PLACES)
        places = (_place_in(value) for value in named)
        return tuple(dict.fromkeys(place for place in places if place is not None))

    @property
    def shared(self) -> tuple[BaseGeometry, ...]:
        """Ground of two fields, where that is asked about."""
        if not any(problem.code == "fields-overlap" for problem in self.problems):
            return ()
        return tuple(shared_ground([one.ground for one in self.found.fields]))

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What stands in the way."""
        return self.found.problems


def question_about(found: Found, view: View) -> Question:
    """What a source that has problems is asked about, with each answer that takes it further.

    Parameters
    ----------
    view
        West, south, east and north of the map that the person sees, in degrees: numbers that fit many zones are
        shown where they would lie on it.
    """
    facts = [one for problem in found.problems for one in _facts_in(problem)]
    asks_place = found.terms.near is None and any(one.code in _NEEDS_PLACE for one in facts)
    offers = list(_offers(found, facts))
    is_small = found.source.n_bytes <= MAX_TRIED_BYTES
    if asks_place and is_small:
        offers += _zones(found.terms, view)
    answers: list[Answer] = []
    for offer in offers:
        known = [(one.terms, one.holds) for one in answers if not (one.moved or one.not_planted)]
        if len(answers) < MAX_ANSWERS and (offer.terms, offer.holds) not in known:
            tried = _tried(found, offer, view) if is_small else offer
            if tried is not None:
                answers.append(tried)
    answers.sort(key=lambda one: one.place[0] if asks_place and one.place else -180.0)
    return Question(found=found, answers=tuple(answers), asks_place=asks_place)


def answered(question: Question, answer: Answer) -> Found:
    """The source read anew as an answer says."""
    found = read(question.found.source, answer.holds or question.found.holds, answer.terms)
    if answer.not_planted:
        return _with_inner(found, answer.not_planted)
    if answer.moved is None:
        return found
    field_id, slip = answer.moved
    return replace(
        found, fields=tuple(_moved(one, slip) if one.field_id == field_id else one for one in found.fields)
    )


def near(question: Question, place: Place) -> Found:
    """The source read anew, knowing a place near its fields."""
    return read(question.found.source, question.found.holds, replace(question.found.terms, near=place))


def _place_in(value: Value | None) -> Place | None:
    match value:
        case (int() | float() as lon, int() | float() as lat):
            return float(lon), float(lat)
    return None


def _facts_in(value: Value | None) -> Iterator[Fact]:
    """A fact and all facts in it."""
    if isinstance(value, tuple):
        for member in value:
            yield from _facts_in(member)
    elif isinstance(value, Fact):
        yield value
        for inner in value.values.values():
            yield from _facts_in(inner)
        yield from _facts_in(getattr(value, "cure", None))


def _offers(found: Found, facts: Iterable[Fact]) -> Iterator[Answer]:
    """Every answer that the problems of a source suggest, not tried yet."""
    terms = found.terms
    for one in facts:
        if one.code == "reading":
            yield _reading(terms, one.values["name"], str(one.values["option"]), one.values["ground"])
        elif one.code == "looks-like/degrees":
            option = str(one.values["option"])
            swapped = "lat-lon" in option
            name = fact("read-as/lat-lon" if swapped else "read-as/lon-lat")
            yield _reading(terms, name, option, one.values["ground"])
    codes = {problem.code for problem in found.problems}
    if "axes-in-doubt" in codes:
        yield Answer(what=fact("answer/axes-lat-lon"), terms=replace(terms, axes="lat-lon"))
        yield Answer(what=fact("answer/axes-lon-lat"), terms=replace(terms, axes="lon-lat"))
    yield from _slips(found)
    if codes & {"axes-in-doubt", "field-far", "far-from-home", "crs-elsewhere"}:
        yield Answer(what=fact("answer/place-is-right"), terms=replace(terms, place_is_right=True))
    if codes & {"no-fields", "outline-open", "outline-no-area"}:
        yield Answer(what=fact("answer/holds-guides"), terms=terms, holds="guides")
        yield Answer(what=fact("answer/holds-exclusions"), terms=terms, holds="exclusions")
    yield from _inner(found)
    both = codes >= {"fields-overlap", "outline-invalid"}
    mends = (
        "answer/repair-and-cut" if both else "answer/cut" if "fields-overlap" in codes else "answer/repair"
    )
    yield Answer(what=fact(mends), terms=replace(terms, repair=True))
    yield Answer(what=fact("answer/skip-bad"), terms=replace(terms, skip_bad=True))


def _reading(terms: ReadingTerms, name: Value, option: str, ground: Value) -> Answer:
    """The answer that a reading of the numbers gives, from the options that it would be asked for with."""
    words = shlex.split(option)
    given = dict(zip(words[::2], words[1::2], strict=False))
    axes: Axes | None = "lat-lon" if given.get("--axes") == "lat-lon" else terms.axes
    place = _place_in(ground.values.get("at_lonlat")) if isinstance(ground, Fact) else None
    return Answer(
        what=fact("answer/reading", name=name, ground=ground),
        terms=replace(terms, crs=given.get("--crs", terms.crs), axes=axes),
        place=place,
    )


def _slips(found: Found) -> Iterator[Answer]:
    """For a field in a doubtful place: the slip that would explain it, undone."""
    asked = [one for one in found.problems if isinstance(one.values.get("slip"), Fact)]
    if len(asked) != 1:
        return
    problem, why = asked[0], asked[0].values["slip"]
    slip = next(
        (slip for slip in SLIPS if isinstance(why, Fact) and slip.what == why.values.get("slip")), None
    )
    field_id = str(problem.values.get("field", ""))
    if slip is None or not isinstance(why, Fact):
        return
    place: Value = why.values["place_lonlat"]
    yield Answer(
        what=fact("answer/slip", field=field_id, place_lonlat=place, slip=slip.what),
        terms=replace(found.terms, place_is_right=True),
        moved=(field_id, slip),
    )


def _inner(found: Found) -> Iterator[Answer]:
    """For one field drawn inside another: it may be ground that is not planted."""
    if [(one.code, one.case) for one in found.problems] != [("fields-overlap", "inside")]:
        return
    place = found.problems[0].values["place_lonlat"]
    at = shapely.points(np.array(place, dtype=float))
    around = [one for one in found.fields if one.ground.covers(at)]
    inner = min(around, key=lambda one: one.mapped_m2)
    what = fact("answer/not-planted", field=inner.field_id)
    yield Answer(what=what, terms=found.terms, not_planted=inner.field_id)


def _with_inner(found: Found, field_id: str) -> Found:
    """What was read, with one field as ground not planted."""
    inner = next(one for one in found.fields if one.field_id == field_id)
    excluded = Exclusion(reason=inner.name, drawn=inner.ground, set_back_m=0.0)
    return replace(
        found,
        fields=tuple(one for one in found.fields if one is not inner),
        exclusions=ExclusionFile(path=found.source.path, exclusions=(excluded,), notes=()),
        problems=(),
    )


def _moved(field: Field, slip: Slip) -> Field:
    """A field with the slip undone that put it in the wrong place."""

    def turn(xy: Array) -> Array:
        return np.column_stack(slip.undone(xy[:, 0], xy[:, 1]))

    ground = shapely.orient_polygons(shapely.transform(field.ground, turn))
    area_m2 = geodesic_area_m2(ground)
    return replace(field, ground=ground, plantable=ground, mapped_m2=area_m2)


def _zones(terms: ReadingTerms, view: View) -> list[Answer]:
    """The zones of the universal transverse Mercator grid that the map shows, on WGS 84.

    Notes
    -----
    Zones are 6° wide and counted from longitude -180 eastward: NGA.SIG.0012_2.0.0_UTMUPS, 2014, section 7.
    """
    west, south, east, north = view
    base = _UTM_NORTH if south + north >= 0 else _UTM_SOUTH
    first, last = (max(1, min(60, int((lon + 180.0) // 6.0) + 1)) for lon in (west, east))
    return [
        Answer(
            what=fact("answer/reading", name=CRS.from_epsg(base + zone).name, ground=""),
            terms=replace(terms, crs=f"EPSG:{base + zone}"),
        )
        for zone in range(first, min(last, first + MAX_ANSWERS - 1) + 1)
    ]


def _tried(found: Found, offer: Answer, view: View) -> Answer | None:
    """An answer with what it comes to; ``None`` if it takes the source no further."""
    then = answered(Question(found=found, answers=()), offer)
    if not then.drawn:
        return None
    before, after = ({(one.code, one.about) for one in f.problems} for f in (found, then))
    if not (after < before or (not after & before and offer.terms.crs != found.terms.crs)):
        return None
    place = point_in(then.fields[0].ground) if then.fields else offer.place
    zone = isinstance(offer.what.values.get("ground"), str)
    if (
        zone
        and place is not None
        and not (view[1] <= place[1] <= view[3] and view[0] <= place[0] <= view[2])
    ):
        return None
    what = offer.what
    if offer.what.code == "answer/reading" and place is not None:
        ground = fact("ground/acres", at_lonlat=place, ground_m2=then.area_m2)
        what = fact("answer/reading", name=offer.what.values["name"], ground=ground)
    return replace(offer, what=what, place=place, drawn=then.drawn, area_m2=then.area_m2)
