"""A dropped source → what it was read as, by `fieldplan.boundary`, and that as ground of a draft."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal, TypeVar

from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.acreage import geodesic_area_m2
from fieldplan.boundary.exclusions import ExclusionFile, load_exclusions
from fieldplan.boundary.guide_lines import guide_lines
from fieldplan.boundary.load import examine
from fieldplan.boundary.read import read_layers
from fieldplan.boundary.reference import settle
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError, FieldplanError, Problem
from fieldplan.facts import Fact, Value, fact
from fieldplan.model.field import Field
from fieldplan.model.notes import Note
from fieldplan.units import FOOT_M
from fieldplan.web.arrived import Source
from fieldplan.web.draft import Draft
from fieldplan.web.ground import with_feature, with_field

Thing = TypeVar("Thing", Problem, Note)
MAX_FIELDS = 1_000
"""Of one source: a page is for the fields of one job."""
Holds = Literal["fields", "exclusions", "guides"]
"""What a dropped file holds."""


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
            if len(examined.fields) > MAX_FIELDS:
                raise BoundaryError.of(
                    "dropped-many-fields", n_fields=len(examined.fields), n_most=MAX_FIELDS
                )
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
