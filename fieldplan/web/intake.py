"""Files that somebody dropped → ground of a draft, or a question with its answers on the map.

Files are copied into a private folder under names chosen here; a name from outside is shown and never a path.
Everything is read and checked by `fieldplan.boundary`.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath
from typing import Literal, TypeVar

import numpy as np
import shapely
from pyproj import CRS
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.acreage import geodesic_area_m2
from fieldplan.boundary.exclusions import ExclusionFile, load_exclusions
from fieldplan.boundary.guide_lines import guide_lines
from fieldplan.boundary.load import examine
from fieldplan.boundary.outlines import point_in
from fieldplan.boundary.read import read_layers
from fieldplan.boundary.reference import settle
from fieldplan.boundary.slips import SLIPS, Slip
from fieldplan.boundary.terms import Axes, ReadingTerms
from fieldplan.errors import BoundaryError, FieldplanError, InputError, Problem
from fieldplan.facts import Fact, Value, fact
from fieldplan.model.coverage import Array
from fieldplan.model.field import Field
from fieldplan.model.notes import Note
from fieldplan.units import FOOT_M
from fieldplan.web.draft import Draft
from fieldplan.web.drawing import Place
from fieldplan.web.ground import with_feature, with_field

View = tuple[float, float, float, float]
"""West, south, east and north of the map that is seen, in degrees."""
Thing = TypeVar("Thing", Problem, Note)
Holds = Literal["fields", "exclusions", "guides"]
"""What a dropped file holds."""
MAX_FILES = 64
LARGEST_DROP_BYTES = 64_000_000
"""Of all files of one drop together; a county's parcels are planned from the command line."""
MAX_TRIED_VERTICES = 100_000
"""Of a larger file the answers are named without their outlines."""
MAX_ANSWERS = 12
_LONGEST_LABEL = 80
_ENDINGS = (
    ".shp", ".shx", ".dbf", ".prj", ".cpg", ".geojson", ".json", ".gpkg", ".kml", ".kmz", ".gml", ".gpx",
    ".dxf", ".fgb", ".csv", ".parquet", ".geoparquet", ".zip", ".txt",
)  # fmt: skip
_SHAPEFILE = (".shp", ".shx", ".dbf", ".prj", ".cpg")
_DATABASE = (".gdbtable", ".gdbtablx", ".gdbindexes", ".atx", ".spx", ".freelist", ".horizon", ".cdf")
_IN_DATABASE = ("gdb", "timestamps")
_NEEDS_PLACE = ("looks-like/utm", "looks-like/projection", "offer/many")
_UTM_NORTH, _UTM_SOUTH = 32600, 32700


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrived:
    """A file as it came: the name it had, which is only shown, and what is in it."""

    name: str
    content: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A boundary in the private folder: its file or File Geodatabase, and what the person calls it."""

    label: str
    path: Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What a source was read as.

    Parameters
    ----------
    terms
        How it was read.
    fields
        Fields that can be used.
    exclusions
        Ground not planted, of a source that holds that.
    guides
        Lines that passes follow, of a source that holds them.
    problems
        What stands in the way; each names the source as the person does.
    """

    source: Source
    holds: Holds
    terms: ReadingTerms
    fields: tuple[Field, ...] = ()
    exclusions: ExclusionFile | None = None
    guides: tuple[BaseGeometry, ...] = ()
    problems: tuple[Problem, ...] = ()
    notes: tuple[Note, ...] = ()

    @property
    def drawn(self) -> tuple[BaseGeometry, ...]:
        """Everything in it that lies somewhere."""
        ground = tuple(field.ground for field in self.fields)
        excluded = tuple(one.drawn for one in self.exclusions.exclusions) if self.exclusions else ()
        return (*ground, *excluded, *self.guides)

    @property
    def area_m2(self) -> float:
        """Area of its polygons."""
        return sum(geodesic_area_m2(drawn) for drawn in self.drawn)


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
    """

    what: Fact
    terms: ReadingTerms
    place: Place | None = None
    drawn: tuple[BaseGeometry, ...] = ()
    area_m2: float = 0.0
    moved: tuple[str, Slip] | None = None


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
    def problems(self) -> tuple[Problem, ...]:
        """What stands in the way."""
        return self.found.problems


def sources_in(files: Sequence[Arrived], folder: Path) -> tuple[Source, ...]:
    """Copy dropped files into an empty private folder, those of one boundary together.

    The parts of a Shapefile are one source, and so are the tables of a File Geodatabase; every other file is its own.

    Raises
    ------
    InputError
        If there is none, or too much, or part of a Shapefile came without its ``.shp``.
    """
    if not files:
        raise InputError.of("dropped-nothing")
    if len(files) > MAX_FILES:
        raise InputError.of("dropped-too-many", n_most=MAX_FILES)
    if sum(len(one.content) for one in files) > LARGEST_DROP_BYTES:
        raise InputError.of("dropped-too-large", most_bytes=LARGEST_DROP_BYTES)
    sources: list[Source] = []
    left = list(files)
    database = [one for one in left if _in_database(one.name)]
    if any(_ending(one.name) == ".gdbtable" for one in database):
        left = [one for one in left if not _in_database(one.name)]
        left = [one for one in left if not _lock_of_database(one.name)]
        sources.append(_database(database, folder / "database"))
    shapes = [one for one in left if _ending(one.name) == ".shp"]
    parts = [one for one in left if _ending(one.name) in _SHAPEFILE]
    for number, shape in enumerate(shapes):
        place = folder / f"shape{number}"
        place.mkdir()
        own = [one for one in parts if _stem(one.name) == _stem(shape.name)]
        for part in reversed(own):  # of two of one name the first counts
            (place / f"boundary{_ending(part.name)}").write_bytes(part.content)
        parts = [part for part in parts if part not in own]
        sources.append(Source(label=label_of(shape.name), path=place / "boundary.shp"))
    if parts:
        raise InputError.of("dropped-shp-missing", file=label_of(parts[0].name))
    others = [one for one in left if _ending(one.name) not in (*_SHAPEFILE, *_BESIDE_SHAPEFILE)]
    for number, one in enumerate(others):
        place = folder / f"file{number}"
        place.mkdir()
        path = place / f"boundary{_ending(one.name)}"
        path.write_bytes(one.content)
        sources.append(Source(label=label_of(one.name), path=path))
    if not sources:
        raise InputError.of("dropped-shp-missing", file=label_of(files[0].name))
    return tuple(sources)


_BESIDE_SHAPEFILE = (".sbn", ".sbx", ".qpj", ".qix", ".qmd")
"""What lies beside a Shapefile and is not read."""


def label_of(name: str) -> str:
    """A name from outside as it is shown: its last part, on one line, of a limited length.

    Examples
    --------
    >>> label_of("../../etc/passwd"), label_of("C:\\\\farm\\\\north.shp"), label_of("a\\x00b\\nc.kml")
    ('passwd', 'north.shp', 'abc.kml')
    """
    last = PurePosixPath(name.replace("\\", "/")).name
    shown = "".join(sign for sign in last if sign.isprintable()).strip()
    return shown[:_LONGEST_LABEL] or "file"


def _ending(name: str) -> str:
    """The ending of a name if it is a known one, in small letters; else nothing."""
    ending = PurePosixPath(label_of(name)).suffix.lower()
    return ending if ending in (*_ENDINGS, *_BESIDE_SHAPEFILE, *_DATABASE) else ""


def _stem(name: str) -> str:
    return PurePosixPath(label_of(name)).stem.casefold()


def _in_database(name: str) -> bool:
    return _ending(name) in _DATABASE or label_of(name).lower() in _IN_DATABASE


def _lock_of_database(name: str) -> bool:
    return label_of(name).lower().endswith(".lock")


def _database(files: Sequence[Arrived], place: Path) -> Source:
    """The tables of a File Geodatabase under the fixed names that they have in one."""
    from fieldplan.boundary.guard import GEODATABASE_MEMBER

    folder = place / "boundary.gdb"
    folder.mkdir(parents=True)
    for one in files:
        name = label_of(one.name).lower()
        if GEODATABASE_MEMBER.fullmatch(name) and (name in _IN_DATABASE or name.startswith("a")):
            (folder / name).write_bytes(one.content)
    return Source(label="File Geodatabase", path=folder)


def read(source: Source, holds: Holds, terms: ReadingTerms | None = None) -> Found:
    """Read a source as a boundary file is read.

    Parameters
    ----------
    holds
        What the person says that it holds.
    """
    terms = terms or ReadingTerms()
    found = Found(source=source, holds=holds, terms=terms)
    try:
        if holds == "exclusions":
            file = load_exclusions(source.path, terms)
            found = replace(found, exclusions=file, notes=file.notes)
        elif holds == "guides":
            found = replace(found, guides=_guides(source, terms))
        else:
            examined = examine(source.path, terms)
            found = replace(found, fields=examined.fields, problems=examined.problems, notes=examined.notes)
    except FieldplanError as error:
        found = replace(found, problems=error.problems)
    return replace(
        found,
        problems=tuple(_named(problem, source) for problem in found.problems),
        notes=tuple(_named(note, source) for note in found.notes),
    )


def _guides(source: Source, terms: ReadingTerms) -> tuple[BaseGeometry, ...]:
    _, layers = read_layers(source.path, terms.encoding)
    placed = []
    for layer in layers:
        reference = settle(layer, terms, str(source.path))
        placed += [
            (feature, reference.to_lonlat(feature.geometry, str(source.path)))
            for feature in layer.features
            if feature.geometry is not None and not feature.geometry.is_empty
        ]
    lines = guide_lines(placed)
    if not lines:
        raise BoundaryError.of("no-fields", file=str(source.path), found=fact("left-out/nothing"))
    return tuple(lines)


def _in_words_of(value: Value, source: Source) -> Value:
    """A value with the source called as the person calls it, not by its place in the private folder."""
    match value:
        case str():
            return value.replace(str(source.path), source.label).replace(source.path.name, source.label)
        case Problem():
            return _named(value, source)
        case Note():
            return _named(value, source)
        case Fact():
            return fact(value.code, **{k: _in_words_of(v, source) for k, v in value.values.items()})
        case tuple():
            return tuple(_in_words_of(member, source) for member in value)
    return value


def _named(thing: Thing, source: Source) -> Thing:
    """A problem or note, likewise."""
    values = {name: _in_words_of(value, source) for name, value in thing.values.items()}
    if isinstance(thing, Note):
        return replace(thing, values=values)
    cure = None if thing.cure is None else _in_words_of(thing.cure, source)
    file = str(_in_words_of(thing.file, source))
    return replace(thing, values=values, file=file, cure=cure if isinstance(cure, Fact) else None)


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
    if asks_place:
        offers += _zones(found.terms, view)
    answers: list[Answer] = []
    n_vertices = sum(shapely.get_num_coordinates(drawn) for drawn in found.drawn)
    for offer in offers:
        if len(answers) < MAX_ANSWERS and offer.terms not in [
            one.terms for one in answers if not one.moved
        ]:
            tried = _tried(found, offer, view) if n_vertices <= MAX_TRIED_VERTICES else offer
            if tried is not None:
                answers.append(tried)
    answers.sort(key=lambda one: one.place[0] if asks_place and one.place else -180.0)
    return Question(found=found, answers=tuple(answers), asks_place=asks_place)


def answered(question: Question, answer: Answer) -> Found:
    """The source read anew as an answer says."""
    found = read(question.found.source, question.found.holds, answer.terms)
    if answer.moved is None:
        return found
    field_id, slip = answer.moved
    return replace(
        found, fields=tuple(_moved(one, slip) if one.field_id == field_id else one for one in found.fields)
    )


def near(question: Question, place: Place) -> Found:
    """The source read anew, knowing a place near its fields."""
    return read(question.found.source, question.found.holds, replace(question.found.terms, near=place))


def put_into(draft: Draft, found: Found) -> tuple[Draft, tuple[str, ...]]:
    """The draft with everything of a source that was read, and the keys of its fields or other features."""
    keys: list[str] = []
    for field in found.fields:
        draft, key = with_field(draft, field.ground, _attributes(field))
        keys.append(key)
    lines = {line.wkb: line for field in found.fields for line in field.guides}
    for line in (*lines.values(), *found.guides):
        draft, key = with_feature(draft, "guides", line, {})
        keys += [key] if found.holds == "guides" else []
    for field in found.fields:
        for edge, drawn in (("open", field.open_edges), ("fenced", field.fenced_edges)):
            for line in drawn.geoms:
                draft, _ = with_feature(draft, "edges", line, {"edge": edge})
    for one in found.exclusions.exclusions if found.exclusions else ():
        attributes: dict[str, str | int | float] = {"reason": one.reason}
        if one.set_back_m:
            attributes["set_back"] = _length(one.set_back_m)
        attributes |= {"cross": one.cross} if one.cross else {}
        attributes |= {"headland": one.headland} if one.headland else {}
        draft, key = with_feature(draft, "exclusions", one.drawn, attributes)
        keys.append(key)
    return draft, tuple(keys)


def _attributes(field: Field) -> dict[str, str | int | float]:
    given = {
        "id": field.field_id,
        "name": field.name,
        "mix": field.mix,
        "priority": field.priority,
        "edge": field.edge,
        "pattern": field.pattern,
        "exclusions": None
        if field.exclusion_reasons is None
        else ", ".join(field.exclusion_reasons or ("none",)),
        "gate_lat": None if field.gate_lonlat is None else field.gate_lonlat[1],
        "gate_lon": None if field.gate_lonlat is None else field.gate_lonlat[0],
    }
    return {name: value for name, value in given.items() if value is not None}


def _length(length_m: float) -> str:
    """A length as it is typed: in whole feet if it is that, else in meters."""
    feet = length_m / FOOT_M
    return f"{round(feet)} ft" if abs(feet - round(feet)) < 1e-6 else f"{length_m!r} m"


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
    yield Answer(what=fact("answer/repair"), terms=replace(terms, repair=True))
    yield Answer(what=fact("answer/skip-bad"), terms=replace(terms, skip_bad=True))


def _reading(terms: ReadingTerms, name: Value, option: str, ground: Value) -> Answer:
    """The answer that a reading of the numbers gives, from the options that it would be asked for with."""
    words = shlex.split(option)
    given = dict(zip(words[::2], words[1::2], strict=False))
    axes: Axes | None = "lat-lon" if given.get("--axes") == "lat-lon" else terms.axes
    place = ground.values.get("at_lonlat") if isinstance(ground, Fact) else None
    return Answer(
        what=fact("answer/reading", name=name, ground=ground),
        terms=replace(terms, crs=given.get("--crs", terms.crs), axes=axes),
        place=place if isinstance(place, tuple) else None,  # type: ignore[arg-type]
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
