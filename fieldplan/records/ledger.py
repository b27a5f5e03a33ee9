"""The store of a season: one SQLite file that entries are appended to. Nothing in the chain of entries is rewritten; a
correction is a new row. Renters' names stand beside the chain (`beside`).

It has a write-ahead log, and every entry is on the disk before it is confirmed. So a program killed at any
moment loses nothing that was confirmed. Each row has a seal, a hash of itself and the seal before, which
shows rows changed or removed by another program. Rows cut off at the end, and a chain that was made anew from a changed row
on, are noticed by a seal that a paper carries (`seal`).
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from fieldplan.errors import FieldplanError, InputError, OutputError, Problem, UsageError, disk_full
from fieldplan.files import Purpose, content_of, head_of, is_address, is_there
from fieldplan.model.records import Entry, Fresh
from fieldplan.model.standing import Carried, Person
from fieldplan.records.beside import TABLES, Beside, read_beside, write_beside
from fieldplan.records.kinds import fact_names, facts_of
from fieldplan.records.whose import Whose
from fieldplan.scratch import working_folder

APPLICATION_ID = 0x66706C67
WAIT_S = 10.0
_MARK = b"SQLite format 3\0"
_NO_ROOM = ("SQLITE_FULL", "SQLITE_IOERR")
_LOCKED = ("SQLITE_BUSY", "SQLITE_LOCKED")
_READ_ONLY = ("SQLITE_CANTOPEN", "SQLITE_READONLY")
_BESIDE = ("-wal", "-shm", "-journal")
LEDGER_FILE = Purpose(
    what="ledger", code="ledger", max_bytes=500_000_000, hint="fieldplan season record begins one"
)
_TABLES = (
    "CREATE TABLE about (season TEXT NOT NULL)",
    "CREATE TABLE entry (number INTEGER PRIMARY KEY, entered TEXT NOT NULL, kind TEXT NOT NULL, facts TEXT NOT NULL, corrects INTEGER,"
    " seal TEXT NOT NULL)",
    *(
        f"CREATE TRIGGER {table}_{what.lower()} BEFORE {what} ON {table} BEGIN SELECT RAISE(ABORT, 'nothing in a ledger is rewritten'); END"
        for table in ("about", "entry")
        for what in ("UPDATE", "DELETE")
    ),
    f"PRAGMA application_id = {APPLICATION_ID}",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Store:
    """A store as it was read: the season that it is marked with, its entries, and what stands beside them.

    Parameters
    ----------
    chain
        The seal of each entry, 64 hexadecimal digits.
    """

    season: str
    entries: tuple[Entry, ...]
    beside: Beside
    chain: tuple[str, ...] = ()


def read_store(path: Path, season: Whose) -> Store:
    """All of a season's store. It is read without waiting for writers, and where nothing may be written.

    Parameters
    ----------
    season
        The season that the store must belong to.

    Raises
    ------
    InputError
        If there is no such file, it is not a store of this season, or a row was changed.
    UsageError
        If the file cannot be opened, or another program keeps it locked for longer than ten seconds.
    """
    if not is_there(path, LEDGER_FILE):
        raise LEDGER_FILE.fault("not-found", path, hint=LEDGER_FILE.hint)
    with _opened(path, season, reading=True) as connection:
        connection.execute("BEGIN")  # all is read as of one moment
        entries, chain = _read(path, connection)
        return Store(
            season=_first_seal(connection), entries=entries, beside=read_beside(connection), chain=chain
        )


def entries_of(path: Path, season: Whose) -> tuple[Entry, ...]:
    """All entries of a season's store, in the order they were written; see `read_store`."""
    return read_store(path, season).entries


def append(
    path: Path,
    season: Whose,
    fresh: Sequence[Fresh],
    entered: datetime,
    judge: Callable[[Sequence[Entry], Sequence[Entry]], None],
    people: Iterable[Person] = (),
    carried: Iterable[Carried] = (),
) -> tuple[Entry, ...]:
    """Write entries to a store, all or none; a missing store is begun.

    Parameters
    ----------
    season
        The season that the store belongs to.
    entered
        Time of writing, with its time zone.
    judge
        Called with the entries in the store and those to be written, while nobody else can write.
        Whatever it raises keeps them out.
    people, carried
        Renters and events that go in beside the entries.

    Returns
    -------
    tuple
        The entries with their numbers. They are on the disk by then.

    Raises
    ------
    InputError
        If an entry cannot be read or the file is not a store of this season; also whatever ``judge``
        raises.
    OutputError
        If the disk is full.
    UsageError
        If the file cannot be written to, or another program keeps it locked for longer than ten seconds.
    """
    people, carried = list(people), list(carried)
    if not is_there(path, LEDGER_FILE):
        _judged((), fresh, entered, judge)
        _begin(path, season)
    with _opened(path, season) as connection:
        connection.execute("PRAGMA secure_delete = ON")
        connection.execute("BEGIN IMMEDIATE")
        there, _ = _read(path, connection)
        written = _judged(there, fresh, entered, judge)
        seal = _last_seal(connection)
        for entry in written:
            row = _row(entry)
            seal = _seal(seal, row)
            connection.execute("INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?)", (*row, seal))
        write_beside(connection, people, carried)
        connection.execute("COMMIT")
        if any(one.taken_out for one in people):  # or the names would stand on in the log
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return written


def _judged(
    there: Sequence[Entry],
    fresh: Sequence[Fresh],
    entered: datetime,
    judge: Callable[[Sequence[Entry], Sequence[Entry]], None],
) -> tuple[Entry, ...]:
    """The entries read and numbered. All that cannot be read or does not fit is named at once.

    What follows from an entry that cannot be read is not named: conflicts of the same request are left for the next time.
    """
    problems: list[Problem] = []
    found: list[Entry] = []
    unread: set[str] = set()
    for number, entry in enumerate(fresh, start=len(there) + 1):
        try:
            found.append(_numbered(number, entry, entered))
        except InputError as error:
            problems += error.problems
            unread.add(entry.typed.get("request", ""))
    if not problems:
        judge(there, found)
        return tuple(found)
    try:
        judge(there, [entry for entry in found if not entry.request or entry.request not in unread])
    except InputError as error:
        problems += error.problems
    raise InputError(tuple(problems))


def _numbered(number: int, fresh: Fresh, entered: datetime) -> Entry:
    return Entry(
        number=number,
        entered=entered.isoformat(timespec="microseconds"),
        kind=fresh.kind,
        facts=facts_of(fresh),
        corrects=fresh.corrects,
        typed={name: fresh.typed[name] for name in fact_names(fresh.kind) if name in fresh.typed},
    )


def _begin(path: Path, season: Whose) -> None:
    """Make an empty ledger under another name, then put it in place whole, unless somebody was quicker."""
    if is_address(path):
        raise UsageError.of("ledger-remote/written", file=str(path))
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with working_folder(path.parent) as place:
            made = place / "ledger"
            with closing(sqlite3.connect(made, isolation_level=None)) as connection:
                connection.execute("PRAGMA journal_mode = WAL")
                for statement in (*_TABLES, *TABLES):
                    connection.execute(statement)
                connection.execute("INSERT INTO about VALUES (?)", (season.id,))
            with suppress(FileExistsError):
                path.hardlink_to(made)
    except (OSError, sqlite3.Error) as problem:
        raise _unusable(path, problem, new=True) from None


@contextmanager
def _opened(path: Path, season: Whose, *, reading: bool = False) -> Iterator[sqlite3.Connection]:
    """A connection to a checked store; errors of the database become errors with words."""
    # checked before connecting: on some files of the system the library would wait for ever
    if head_of(path, LEDGER_FILE, len(_MARK)) not in (_MARK, b""):
        raise InputError.of("ledger-foreign", file=str(path))
    for beside in _BESIDE:
        is_there(path.with_name(path.name + beside), LEDGER_FILE)
    try:
        with _connected(path, reading=reading) as connection:
            connection.execute("PRAGMA synchronous = FULL")
            if connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
                raise InputError.of("ledger-foreign", file=str(path))
            there = connection.execute("SELECT season FROM about").fetchone()[0]
            if not season.holds(str(there)):
                raise InputError.of("ledger-of-another", file=str(path), there=str(there), season=season.id)
            yield connection
    except sqlite3.OperationalError as problem:
        if problem.sqlite_errorname.startswith(_LOCKED):
            raise UsageError.of("ledger-busy", file=str(path)) from None
        raise _unusable(path, problem) from None
    except sqlite3.DatabaseError as problem:
        raise InputError.of("ledger-damaged", file=str(path), reason=str(problem)) from None
    except OSError as problem:
        raise _unusable(path, problem) from None


@contextmanager
def _connected(path: Path, *, reading: bool) -> Iterator[sqlite3.Connection]:
    """A connection to a file; to a copy of it if it may be read but nothing may be written beside it."""
    with ExitStack() as stack:
        connection = stack.enter_context(
            closing(sqlite3.connect(path, timeout=WAIT_S, isolation_level=None))
        )
        if reading:
            try:
                connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
            except sqlite3.OperationalError as problem:
                if not problem.sqlite_errorname.startswith(_READ_ONLY):
                    raise
                place = stack.enter_context(working_folder())
                for end in ("", "-wal"):
                    if is_there(path.with_name(path.name + end), LEDGER_FILE):
                        content = content_of(path.with_name(path.name + end), LEDGER_FILE)
                        (place / f"ledger{end}").write_bytes(content)
                copy = sqlite3.connect(place / "ledger", isolation_level=None)
                connection = stack.enter_context(closing(copy))
        yield connection


def _unusable(path: Path, problem: Exception, *, new: bool = False) -> FieldplanError:
    """The error for a ledger that cannot be written to: its place is unusable, or the disk is full."""
    full = (
        disk_full(problem)
        if isinstance(problem, OSError)
        else getattr(problem, "sqlite_errorname", "").startswith(_NO_ROOM)
    )
    if full:
        return OutputError.of("disk-full/ledger", file=str(path), reason=str(problem))
    return UsageError.of(
        "ledger-unusable/new" if new else "ledger-unusable", file=str(path), reason=str(problem)
    )


def _read(path: Path, connection: sqlite3.Connection) -> tuple[tuple[Entry, ...], tuple[str, ...]]:
    """The entries and their seals."""
    found: list[Entry] = []
    chain: list[str] = []
    seal = _first_seal(connection)
    for *row, sealed in connection.execute(
        "SELECT number, entered, kind, facts, corrects, seal FROM entry ORDER BY number"
    ):
        seal = _seal(seal, tuple(row))
        number, entered, kind, typed, corrects = row
        if seal != sealed or number != len(found) + 1:
            raise InputError.of("ledger-rewritten", file=str(path), about=f"row {number}")
        words: Mapping[str, str] = json.loads(typed)
        facts = facts_of(Fresh(kind=kind, typed=words, corrects=corrects, where=f"{path}: row {number}"))
        found.append(
            Entry(number=number, entered=entered, kind=kind, typed=words, facts=facts, corrects=corrects)
        )
        chain.append(seal)
    return tuple(found), tuple(chain)


def _row(entry: Entry) -> tuple[object, ...]:
    return (
        entry.number,
        entry.entered,
        entry.kind,
        json.dumps(dict(entry.typed), ensure_ascii=False),
        entry.corrects,
    )


def _seal(before: str, row: tuple[object, ...]) -> str:
    return hashlib.sha256(json.dumps([before, *row], ensure_ascii=False).encode()).hexdigest()


def _first_seal(connection: sqlite3.Connection) -> str:
    return str(connection.execute("SELECT season FROM about").fetchone()[0])


def _last_seal(connection: sqlite3.Connection) -> str:
    last = connection.execute("SELECT seal FROM entry ORDER BY number DESC LIMIT 1").fetchone()
    return _first_seal(connection) if last is None else str(last[0])
