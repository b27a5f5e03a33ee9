"""What a store keeps beside the chain of entries: who the renters are, and what each calendar file has carried.

Unlike entries, these may be changed: a person can be taken out, and the entries about the person stay.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from fieldplan.model.standing import Carried, Person

TABLES = (
    "CREATE TABLE IF NOT EXISTS person (renter_id TEXT PRIMARY KEY, name TEXT NOT NULL, cells TEXT NOT NULL, taken_out INTEGER NOT NULL)",
    "CREATE TABLE IF NOT EXISTS carried (request TEXT NOT NULL, calendar TEXT NOT NULL, renter_id TEXT NOT NULL, sequence INTEGER NOT NULL,"
    " stamp TEXT NOT NULL, status TEXT NOT NULL, digest TEXT NOT NULL, event TEXT NOT NULL, PRIMARY KEY (request, calendar))",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What is kept beside the chain: renters by id, and events by request and calendar."""

    people: Mapping[str, Person] = field(default_factory=dict)
    carried: Mapping[tuple[str, str], Carried] = field(default_factory=dict)


def read_beside(connection: sqlite3.Connection) -> Beside:
    """What an open store keeps beside its chain; nothing if it is an older one without these tables."""
    if connection.execute("SELECT count(*) FROM sqlite_master WHERE name = 'person'").fetchone()[0] == 0:
        return Beside()
    people = {
        name: Person(renter_id=name, name=called, cells=json.loads(cells), taken_out=bool(taken_out))
        for name, called, cells, taken_out in connection.execute(
            "SELECT renter_id, name, cells, taken_out FROM person ORDER BY rowid"
        )
    }
    carried = {
        (row[0], row[1]): _carried(row)
        for row in connection.execute(
            "SELECT request, calendar, renter_id, sequence, stamp, status, digest, event FROM carried ORDER BY rowid"
        )
    }
    return Beside(people=people, carried=carried)


def write_beside(
    connection: sqlite3.Connection, people: Iterable[Person], carried: Iterable[Carried]
) -> None:
    """Put renters and events into an open store, within its transaction; what was there of them is wiped."""
    for table in TABLES:
        connection.execute(table)
    connection.executemany(
        "INSERT INTO person VALUES (?, ?, ?, ?) ON CONFLICT (renter_id) DO UPDATE SET name = excluded.name, cells = excluded.cells,"
        " taken_out = excluded.taken_out",
        [
            (one.renter_id, one.name, json.dumps(dict(one.cells), ensure_ascii=False), int(one.taken_out))
            for one in people
        ],
    )
    connection.executemany(
        "INSERT INTO carried VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (request, calendar) DO UPDATE SET renter_id = excluded.renter_id,"
        " sequence = excluded.sequence, stamp = excluded.stamp, status = excluded.status, digest = excluded.digest, event = excluded.event",
        [
            (
                one.request,
                one.calendar,
                one.renter_id,
                one.sequence,
                one.stamp,
                one.status,
                one.digest,
                _event(one),
            )
            for one in carried
        ],
    )


def _event(one: Carried) -> str:
    return json.dumps(
        [one.drill, one.first.isoformat(), one.last.isoformat(), *one.lonlat], ensure_ascii=False
    )


def _carried(row: tuple[str, str, str, int, str, str, str, str]) -> Carried:
    request, calendar, renter_id, sequence, stamp, status, digest, event = row
    drill, first, last, lon, lat = json.loads(event)
    return Carried(
        request=request,
        calendar=calendar,
        renter_id=renter_id,
        sequence=sequence,
        stamp=stamp,
        status=status,
        digest=digest,
        drill=drill,
        first=date.fromisoformat(first),
        last=date.fromisoformat(last),
        lonlat=(lon, lat),
    )
