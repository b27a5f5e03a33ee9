"""A region planned into a folder, part by part: what is done there stays, and the same run goes on with the rest."""

from __future__ import annotations

import json
import os
import re
import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from fieldplan.errors import InputError, UsageError, unwritable
from fieldplan.facts import fact
from fieldplan.files import Purpose, is_address, is_there, text_of
from fieldplan.region.columns import FIELDS, PASSES, SCHEMA, Row, geoparquet, with_arrow
from fieldplan.region.dataset import Dataset, Rows, identity_of, repeated_rows
from fieldplan.region.draw import Draw
from fieldplan.region.fingerprint import digest_of
from fieldplan.region.parcel import Planned, Setup
from fieldplan.region.parts import Part, cuts_of, parts_of
from fieldplan.scratch import hold, release
from fieldplan.version import VERSION

FIELDS_FOLDER, PASSES_FOLDER, STATE, LOCK = "fields", "passes", "region.json", ".fieldplan-region"
_PART = re.compile(r"part-\d{7,}\.parquet")
_STATE = Purpose(what=fact("called/region-state"), code="file", max_bytes=1_000_000)
Engine = Callable[[Iterable[Part], Setup], Iterator[tuple[int, list[Planned]]]]
"""Plans parts, and gives number and rows of each, in any order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A region that is to be planned.

    Parameters
    ----------
    dataset, setup
        The parcels, and how they are planned.
    draw, is_sample
        The rows that are planned, and whether there are others.
    folder
        Where the result is written.
    """

    dataset: Dataset
    setup: Setup
    draw: Draw
    is_sample: bool
    folder: Path

    @property
    def cuts(self) -> list[Rows]:
        """The rows of each part."""
        return cuts_of(self.dataset.groups, self.draw.rows if self.is_sample else None)

    @property
    def n_drawn(self) -> int | None:
        """Rows of a sample; ``None`` for all."""
        return len(self.draw.rows) if self.is_sample else None

    @property
    def n_rows(self) -> int:
        """Rows of the file."""
        return sum(self.dataset.groups)

    def done(self) -> set[int]:
        """Numbers of the parts that are in the folder."""
        names = {path.name for path in parts_in(self.folder)}
        return {number for number in range(len(self.cuts)) if part_name(number) in names}


def part_name(number: int) -> str:
    """The file name of a part, by which parts sort in the order of their rows."""
    return f"part-{number:07}.parquet"


def parts_in(folder: Path) -> list[Path]:
    """The files of the parts that a folder holds, in the order of their rows; copies that lie beside them are none."""
    files = (folder / FIELDS_FOLDER).glob("*.parquet")
    return sorted(path for path in files if _PART.fullmatch(path.name))


@contextmanager
def begun(run: Run, *, force: bool) -> Iterator[None]:
    """The folder, made ready for a run, and kept from others while the block lasts.

    Parameters
    ----------
    force
        Clear away what another run has left there.

    Raises
    ------
    UsageError
        If the folder holds another run or other files, or another run is going on there.
    """
    folder = run.folder
    if is_address(folder):
        raise UsageError.of("folder-remote", file=str(folder))
    try:
        folder.mkdir(parents=True, exist_ok=True)
        lock = hold(folder / LOCK)
        if lock is None:
            raise UsageError.of("folder-busy", file=str(folder))
        try:
            _settle(run, force=force)
            yield
        finally:
            with suppress(OSError):
                (folder / LOCK).unlink()
            release(lock)
    except OSError as problem:
        raise unwritable(problem, str(folder)) from None


def _settle(run: Run, *, force: bool) -> None:
    """Go on with what is there, or begin anew."""
    folder, asked = run.folder, _state(run)
    if is_there(folder / STATE, _STATE) and not force:
        found = _read_state(folder / STATE)
        other = [key for key in asked if found.get(key) != asked[key]]
        if other:
            raise UsageError.of("region-another", file=str(folder), what=tuple(other))
    else:
        taken = [name for name in (FIELDS_FOLDER, PASSES_FOLDER) if os.path.lexists(folder / name)]
        if taken and not force:
            raise UsageError.of("file-exists", file=str(folder), names=tuple(taken))
        for name in taken:
            shutil.rmtree(folder / name)
        write_whole(folder / STATE, json.dumps(asked, indent=1, sort_keys=True).encode())
    for name in (FIELDS_FOLDER, *([PASSES_FOLDER] if run.setup.with_passes else [])):
        (folder / name).mkdir(exist_ok=True)
        for left in (folder / name).glob("*.new"):
            left.unlink()


def _state(run: Run) -> dict[str, Any]:
    """What must be the same for a run to go on."""
    setup = run.setup
    return {
        "schema": SCHEMA,
        "version": VERSION,
        "fields": asdict(identity_of(setup.source)),
        "job": digest_of((setup.jobs, setup.job_field)),
        "reading": digest_of((setup.terms, setup.exclusions, setup.aside.guides.lines)),
        "sample": None if run.n_drawn is None else {"rows": run.n_drawn, "drawn": "by size"},
        "passes": setup.with_passes,
    }


def _read_state(path: Path) -> Mapping[str, Any]:
    try:
        found = json.loads(text_of(path, _STATE))
    except ValueError:
        found = None
    if not isinstance(found, dict):
        raise InputError.of("region-state-unreadable", file=str(path))
    return found


def plan_rest(run: Run, engine: Engine) -> Iterator[int]:
    """Plan the parts that are not in the folder yet; the number of rows of each, once it is written."""
    cuts, done = run.cuts, run.done()
    left = [number for number in range(len(cuts)) if number not in done]
    if not left:
        return
    repeated = repeated_rows(run.dataset, run.setup.terms)
    for number, planned in engine(parts_of(run.dataset, cuts, left, repeated), run.setup):
        if run.setup.with_passes:
            passes = [one for parcel in planned for one in parcel.passes]
            write_whole(run.folder / PASSES_FOLDER / part_name(number), geoparquet(passes, PASSES))
        rows = [parcel.row for parcel in planned]
        write_whole(run.folder / FIELDS_FOLDER / part_name(number), geoparquet(rows, FIELDS))
        yield len(rows)


def rows_of_part(path: Path, columns: Sequence[str] | None = None) -> list[Row]:
    """The rows of a part, with some of its columns or with all.

    Raises
    ------
    InputError
        If the file is damaged.
    """
    arrow, parquet = with_arrow()
    content = path.read_bytes()
    try:
        # its threads take longer to start than a part to read
        with parquet.ParquetFile(arrow.BufferReader(content), pre_buffer=False) as file:
            table = file.read(columns=None if columns is None else list(columns), use_threads=False)
        rows: list[Row] = table.to_pylist()
    except (OSError, ValueError):  # the library's errors are of these
        raise InputError.of("region-part-unreadable", file=str(path)) from None
    return rows


def write_whole(path: Path, content: bytes) -> None:
    """Write a file under another name and then give it its own: it is there whole, or not at all."""
    new = path.with_name(f"{path.name}.new")
    with new.open("wb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())
    new.replace(path)
