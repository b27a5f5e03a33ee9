"""A job that was made elsewhere: its job file among the files that arrived, those that it names, and its map."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath
from typing import Any

from fieldplan.errors import InputError
from fieldplan.jobfile.load import JOB_FILE
from fieldplan.jobfile.toml_faults import parsed
from fieldplan.web.arrived import LARGEST_DROP_BYTES, MAX_FILES, Arrived, label_of
from fieldplan.web.written import EXCLUSIONS


@dataclass(frozen=True, slots=True, kw_only=True)
class Brought:
    """What arrived together.

    Parameters
    ----------
    tables
        Of the job file, without the names of exclusion files, which go on the map; ``None`` if there is no job file.
    fields, exclusions
        Boundary files, and files of ground not planted that the job names.
    beside
        Other files that the job names, by the names that they have in it.
    """

    tables: Mapping[str, Any] | None = None
    fields: tuple[Arrived, ...] = ()
    exclusions: tuple[Arrived, ...] = ()
    beside: tuple[Arrived, ...] = ()


def brought(arrived: Sequence[Arrived]) -> Brought:
    """Files that arrived, by what they are to a job.

    A zip file that has a job file in it counts as the files that it holds.

    Raises
    ------
    JobFileError
        If a job file cannot be read.
    InputError
        If there are several, nothing arrived, or a zip file holds too much.
    """
    if not arrived:
        raise InputError.of("dropped-nothing")
    files = tuple(one for each in arrived for one in _loose(each))
    jobs = {one: _tables(one) for one in files if _is_toml(one)}
    if not jobs:
        return Brought(fields=tuple(arrived))
    named_by = {one: set(_names(tables)) for one, tables in jobs.items()}
    job = _the_job(tuple(jobs), named_by)
    tables, names = jobs[job], named_by[job]
    cuts = set(_exclusions_of(tables).values())
    elsewhere = (
        names | cuts | {EXCLUSIONS}
    )  # which the page writes without anything in it too, and does not name then
    others = [one for one in files if one is not job]
    return Brought(
        tables=_without_exclusions(tables, {label_of(one.name) for one in others}),
        fields=tuple(one for one in others if label_of(one.name) not in elsewhere and not _is_toml(one)),
        exclusions=tuple(one for one in others if label_of(one.name) in cuts),
        beside=tuple(
            replace(one, name=label_of(one.name)) for one in others if label_of(one.name) in names - cuts
        ),
    )


def _the_job(jobs: Sequence[Arrived], named_by: Mapping[Arrived, set[str]]) -> Arrived:
    """The job file that no other one names, such as one of a drill or of fees."""
    found = [
        one
        for one in jobs
        if not any(label_of(one.name) in named_by[other] for other in jobs if other is not one)
    ]
    if len(found) != 1:
        raise InputError.of("dropped-two-jobs", files=tuple(label_of(one.name) for one in found or jobs))
    return found[0]


def _loose(one: Arrived) -> Iterator[Arrived]:
    """The files of a zip file with a job file in it, else the file itself."""
    if not one.name.lower().endswith(".zip"):
        yield one
        return
    try:
        with zipfile.ZipFile(io.BytesIO(one.content)) as archive:
            members = [member for member in archive.infolist() if not member.is_dir()]
            if not any(member.filename.lower().endswith(".toml") for member in members):
                yield one
                return
            if len(members) > MAX_FILES:
                raise InputError.of("dropped-too-many", n_most=MAX_FILES)
            if sum(member.file_size for member in members) > LARGEST_DROP_BYTES:
                raise InputError.of("dropped-too-large", most_bytes=LARGEST_DROP_BYTES)
            for member in members:
                with archive.open(member) as stream:  # no more is read than the archive says that it holds
                    yield Arrived(name=member.filename, content=stream.read(member.file_size))
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError, ValueError):
        yield one  # what is wrong with it is said where it is read as a boundary file


def _is_toml(one: Arrived) -> bool:
    return PurePosixPath(label_of(one.name)).suffix.lower() == ".toml"


def _tables(one: Arrived) -> dict[str, Any]:
    return parsed(one.content, Path(label_of(one.name)), JOB_FILE)


def _names(value: Any) -> Iterator[str]:
    """Every text in tables that can be the name of a file beside the job file."""
    if isinstance(value, str):
        yield value.removeprefix("./")
    elif isinstance(value, Mapping):
        for one in value.values():
            yield from _names(one)
    elif isinstance(value, list):
        for one in value:
            yield from _names(one)


def _exclusions_of(tables: Mapping[str, Any]) -> dict[str, str]:
    """The exclusion files that a job names, by field."""
    fields = tables.get("field")
    return {
        field_id: terms["exclusions"].removeprefix("./")
        for field_id, terms in (fields.items() if isinstance(fields, Mapping) else ())
        if isinstance(terms, Mapping) and isinstance(terms.get("exclusions"), str)
    }


def _without_exclusions(tables: Mapping[str, Any], there: set[str]) -> dict[str, Any]:
    """Tables that do not name the exclusion files that are there: these go on the map, which names its own."""
    given = _exclusions_of(tables)
    if not set(given.values()) & there:
        return dict(tables)
    kept = {}
    for field_id, terms in tables["field"].items():
        if given.get(field_id) in there:
            terms = {key: value for key, value in terms.items() if key != "exclusions"}
        if terms:
            kept[field_id] = terms
    left = {key: table for key, table in tables.items() if key != "field"}
    return {**left, "field": kept} if kept else left
