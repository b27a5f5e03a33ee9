"""The folder of jobs: each is a folder of files that the command line reads too."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from fieldplan.errors import FieldplanError, InputError, Problem, UsageError, problem, unwritable
from fieldplan.facts import fact
from fieldplan.files import Purpose, is_there, text_of
from fieldplan.jobfile.load import JOB_FILE
from fieldplan.report.files import WORK, Writer, refuse_early, write_files
from fieldplan.report.words.quantities import System
from fieldplan.scratch import hold, release
from fieldplan.version import VERSION
from fieldplan.web.draft import Draft
from fieldplan.web.steps import STEPS, Steps, steps_in, steps_text, units_listed, units_read
from fieldplan.web.written import (
    EXCLUSIONS,
    FIELDS,
    JOB,
    ground_in,
    ground_writers,
    job_text,
    tables_in,
    with_exclusion_keys,
)

DESK = "desk.json"
SCHEMA, SCHEMA_VERSION = "fieldplan/desk", 1
LOCK = ".fieldplan-desk"
LONGEST_NAME = 80
_WAIT_S = 10.0
_NAME = re.compile(r"\w(?:[\w .,'()&+-]*[\w)'])?")
_TAKEN_BY_A_SYSTEM = re.compile(r"(?i)(con|prn|aux|nul|com\d|lpt\d)(\..*)?")
DESK_FILE = Purpose(what=fact("called/desk"), code="file", max_bytes=4_000_000, through_links=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A job as its folder has it.

    Parameters
    ----------
    name
        The name of the folder.
    revision
        Rises by one each time that the job is saved.
    variants
        What the person keeps side by side.
    read_only
        Why it can be looked at and not changed; ``None`` if it can.
    steps
        What undo and redo go to.
    """

    name: str
    folder: Path
    draft: Draft
    units: System = "us"
    variants: tuple[Mapping[str, Any], ...] = ()
    revision: int = 0
    read_only: Problem | None = None
    steps: Steps = field(default_factory=Steps)


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """A job in the list: its name, and when it was saved last (seconds since 1970)."""

    name: str
    saved_s: float


class OvertakenError(FieldplanError):
    """The job has been saved by another page since it was opened here."""

    exit_code = 3


class Jobs:
    """Jobs in one folder; nothing outside of it is read or written.

    Parameters
    ----------
    folder
        The folder of all jobs; it is made when the first is saved.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def listed(self) -> tuple[Listed, ...]:
        """All jobs, those saved last first."""
        found = []
        try:
            places = sorted(self.folder.iterdir())
        except OSError:
            return ()
        for place in places:
            if _fit(place.name) and place.is_dir() and not place.is_symlink():
                saved = [(place / name) for name in (DESK, JOB) if (place / name).is_file()]
                if saved:
                    found.append(Listed(name=place.name, saved_s=max(one.stat().st_mtime for one in saved)))
        return tuple(sorted(found, key=lambda one: (-one.saved_s, one.name)))

    def folder_of(self, name: str) -> Path:
        """The folder of a job.

        Raises
        ------
        UsageError
            If no job can have that name, or what has it is a link.
        """
        if not _fit(name):
            raise UsageError.of("desk-name", given=name, n_most=LONGEST_NAME)
        place = self.folder / name
        if place.is_symlink() or (place.exists() and not place.is_dir()):
            raise UsageError.of("desk-name/no-folder", given=name)
        return place

    def is_there(self, name: str) -> bool:
        """Whether there is a job of that name."""
        place = self.folder_of(name)
        return any((place / file).is_file() for file in (DESK, JOB))

    def free_name(self, wanted: str) -> str:
        """A name that no job has, as near to the wanted one as can be."""
        plain = re.sub(r"[^\w .,'()&+-]", " ", wanted)[: LONGEST_NAME - 6].strip(" .,-&+") or "job"
        names = (plain, *(f"{plain} ({n})" for n in range(2, 1000)))
        return next(name for name in names if not (self.folder / name).exists())

    def take_up(self, name: str) -> Kept:
        """A job as it was saved last.

        Raises
        ------
        UsageError, InputError
            If there is none of that name, or its files cannot be read.
        """
        place = self.folder_of(name)
        if not self.is_there(name):
            raise UsageError.of("desk-no-job", given=name)
        with _alone_in(place):
            return self._opened(name, place)

    def _opened(self, name: str, place: Path) -> Kept:
        if (place / WORK).exists():
            refuse_early(place, (), force=True)  # puts back what a killed program left half moved
        said = _said(place)
        newer = _newer(said)
        try:
            draft = Draft(
                ground=ground_in(place), tables=tables_in(place), units=units_read(said.get("chosen"))
            )
        except FieldplanError as error:
            if newer is not None:
                raise UsageError((newer, *error.problems)) from None
            raise
        variants = said.get("variants")
        return Kept(
            name=name,
            folder=place,
            draft=draft,
            units="metric" if said.get("units") == "metric" else "us",
            variants=tuple(one for one in variants if isinstance(one, dict))
            if isinstance(variants, list)
            else (),
            revision=_revision(said),
            read_only=newer,
            steps=Steps() if newer else steps_in(place, _revision(said)),
        )

    def save(
        self,
        name: str,
        draft: Draft,
        *,
        revision: int,
        before: Draft | None = None,
        units: System = "us",
        variants: tuple[Mapping[str, Any], ...] = (),
    ) -> int:
        """Write a job: all of its files, or none.

        Parameters
        ----------
        revision
            That of the job as the page knows it; 0 for a new one.
        before
            The draft of that revision, if it is known: files of what has not changed since stay.

        Returns
        -------
        int
            The revision that it has now.

        Raises
        ------
        OvertakenError
            If the job has another revision: somebody else saved it.
        UsageError, OutputError
            If it cannot be written.
        """
        place = self.folder_of(name)
        try:
            place.mkdir(parents=True, exist_ok=True)
        except OSError as refused:
            raise unwritable(refused, str(place)) from None
        with _alone_in(place):
            now = _revision(_said(place)) if (place / DESK).exists() else 0
            if now != revision:
                raise OvertakenError(problem("desk-overtaken", name=name))
            writers = _writers(place, draft, before)
            writers[DESK] = _text(_desk_json(revision + 1, units, variants, draft))
            write_files(place, writers, force=True)
        return revision + 1

    def keep_steps(self, name: str, steps: Steps, *, revision: int) -> None:
        """Write what undo and redo go to; nothing if the job has another revision by now.

        Raises
        ------
        UsageError, OutputError
            If it cannot be written.
        """
        place = self.folder_of(name)
        if not (place / DESK).exists():
            return
        with _alone_in(place):
            if _revision(_said(place)) == revision:
                write_files(place, {STEPS: _text(steps_text(steps, revision))}, force=True)

    def duplicate(self, name: str, wanted: str) -> str:
        """A copy of a job, with the files that it names, under a name of its own; that name."""
        there, new = self.folder_of(name), self.free_name(wanted)
        if not self.is_there(name):
            raise UsageError.of("desk-no-job", given=name)
        with _alone_in(there):
            files = [
                one
                for one in there.iterdir()
                if one.is_file() and not one.is_symlink() and one.name != LOCK
            ]
            write_files(self.folder_of(new), {one.name: _copy(one) for one in files}, force=False)
        return new

    def put_beside(self, name: str, files: Mapping[str, Path]) -> None:
        """Copy files that a job names, such as a rate card, into its folder.

        Parameters
        ----------
        files
            By the names that they have there: plain names, no folders.

        Raises
        ------
        UsageError
            If a name is not a plain one, or is one of the job's own files.
        """
        own = (DESK, STEPS, FIELDS, EXCLUSIONS, JOB)
        for file in files:
            if Path(file).name != file or file in own or file.startswith(".") or not _fit(Path(file).stem):
                raise UsageError.of("desk-name/file", given=file)
        write_files(self.folder_of(name), {file: _copy(path) for file, path in files.items()}, force=True)


@contextmanager
def _alone_in(place: Path) -> Iterator[None]:
    """Nobody else reads or writes the job meanwhile; where no lock can be made, nobody can write.

    Raises
    ------
    UsageError
        If somebody does so for too long.
    """
    try:
        lock = hold(place / LOCK, _WAIT_S)
    except OSError:
        yield
        return
    if lock is None:
        raise UsageError.of("folder-busy", file=str(place))
    try:
        yield
    finally:
        release(lock)


def _fit(name: str) -> bool:
    """Whether a job can have a name: letters, digits, spaces and a few signs, on any system."""
    return (
        len(name) <= LONGEST_NAME
        and _NAME.fullmatch(name) is not None
        and not _TAKEN_BY_A_SYSTEM.fullmatch(name)
    )


def _said(place: Path) -> dict[str, Any]:
    """What ``desk.json`` says; nothing if there is none.

    Raises
    ------
    InputError
        If it makes no sense.
    """
    if not is_there(place / DESK, DESK_FILE):
        return {}
    try:
        said = json.loads(text_of(place / DESK, DESK_FILE))
    except (ValueError, RecursionError):
        raise InputError.of("desk-unreadable", file=str(place / DESK)) from None
    if not isinstance(said, dict):
        raise InputError.of("desk-unreadable", file=str(place / DESK))
    return said


def _revision(said: Mapping[str, Any]) -> int:
    revision = said.get("revision")
    return revision if isinstance(revision, int) and not isinstance(revision, bool) and revision >= 0 else 0


def _newer(said: Mapping[str, Any]) -> Problem | None:
    """That a job was made by a newer version, whose files this one may not understand."""
    schema, _, number = str(said.get("schema", f"{SCHEMA}/{SCHEMA_VERSION}")).rpartition("/")
    known = schema == SCHEMA and number.isdigit() and int(number) <= SCHEMA_VERSION
    made_by = str(said.get("version", VERSION))
    if known and _parts(made_by) <= _parts(VERSION):
        return None
    return problem("desk-newer", made_by=made_by, version=VERSION)


def _parts(version: str) -> tuple[int, ...]:
    return tuple(int(part) for part in re.findall(r"\d+", version)[:4])


def _desk_json(revision: int, units: System, variants: tuple[Mapping[str, Any], ...], draft: Draft) -> str:
    said = {
        "schema": f"{SCHEMA}/{SCHEMA_VERSION}",
        "version": VERSION,
        "units": units,
        "variants": [dict(one) for one in variants],
        "chosen": units_listed(draft.units),
        "revision": revision,
    }
    return json.dumps(said, indent=1, ensure_ascii=False) + "\n"


def _writers(place: Path, draft: Draft, before: Draft | None) -> dict[str, Writer]:
    """Writers of what has changed; of all if it is not known what the files hold."""
    writers: dict[str, Writer] = {}
    for file, layers, write in ground_writers(draft):
        same = before is not None and all(before.of_layer(one) == draft.of_layer(one) for one in layers)
        if not same or not (place / file).exists():
            writers[file] = write
    there = text_of(place / JOB, JOB_FILE) if is_there(place / JOB, JOB_FILE) else ""
    tables = with_exclusion_keys(draft)
    if before is None or not there or with_exclusion_keys(before) != tables:
        writers[JOB] = _text(job_text(tables, there))
    return writers


def _text(text: str) -> Writer:
    return lambda path: _write_text(path, text)


def _write_text(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8")


def _copy(source: Path) -> Writer:
    return lambda path: _copied(source, path)


def _copied(source: Path, path: Path) -> None:
    shutil.copyfile(source, path)
    path.chmod(0o644)  # a file that was read-only may be changed here
