"""Calendars of a season, read by a calendar of its own: what is imported again updates, moves and cancels.

RFC 5545, 3.8.7.4 (a higher SEQUENCE is the later revision), 3.8.7.2 (DTSTAMP), 3.8.1.11 (STATUS CANCELLED); RFC 5546, 2.1.5
(of two revisions the higher SEQUENCE holds, then the later DTSTAMP).
"""

from __future__ import annotations

import json
from datetime import date, timedelta
from itertools import permutations
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar
from living import Clerk, row

pytest.importorskip("ortools")


class Reader:
    """A calendar that somebody imports files into, as the standard says."""

    def __init__(self) -> None:
        self.events: dict[str, Any] = {}
        self._last: dict[str, bytes] = {}

    def read(self, content: bytes) -> None:
        """Import a file: of each event the later revision holds."""
        for event in Calendar.from_ical(content).walk("VEVENT"):
            uid, said = str(event["uid"]), event.to_ical()
            there = self.events.get(uid)
            if there is not None and _revision(event) == _revision(there):
                assert self._last[uid] == said, "a revision says two things"
            if there is None or _revision(event) >= _revision(there):
                self.events[uid] = event
                self._last[uid] = said

    @property
    def live(self) -> dict[str, tuple[str, date, date, str]]:
        """What is not cancelled: summary, first and last day, status."""
        return {
            uid: (
                str(event["summary"]),
                event.decoded("dtstart"),
                event.decoded("dtend") - timedelta(days=1),
                str(event["status"]),
            )
            for uid, event in self.events.items()
            if event["status"] != "CANCELLED"
        }


def _revision(event: Any) -> tuple[int, Any]:
    return int(event["sequence"]), event.decoded("dtstamp")


def _numbers_rise(before: dict[str, bytes], after: dict[str, bytes]) -> None:
    """In each file, an event that says something else than before has a higher number."""
    for name in before:
        old = {str(event["uid"]): event for event in Calendar.from_ical(before[name]).walk("VEVENT")}
        new = {str(event["uid"]): event for event in Calendar.from_ical(after[name]).walk("VEVENT")}
        assert set(old) <= set(new), name
        for uid, event in old.items():
            assert (new[uid]["sequence"] > event["sequence"]) == (new[uid].to_ical() != event.to_ical()), (
                name
            )


def _as_booked(bookings: dict[str, dict[str, Any]]) -> set[tuple[str, date, date, str]]:
    return {
        (
            f"{one['drill']}: {one['renter']}",
            date.fromisoformat(one["days"][0]),
            date.fromisoformat(one["days"][-1]),
            "CONFIRMED" if one["confirmed"] else "TENTATIVE",
        )
        for one in bookings.values()
    }


def _files(clerk: Clerk, line: str = "plan") -> tuple[dict[str, bytes], dict[str, dict[str, Any]]]:
    out = clerk.folder / "out"
    bookings = clerk.bookings(f"{line} --out {out} --force")
    return {path.name: path.read_bytes() for path in out.glob("*.ics")}, bookings


@pytest.fixture
def clerk(tmp_path: Path) -> Clerk:
    """Two drills, three requests; a name that is not in Latin script."""
    rows = [
        row("A", asked="2027-03-01", renter="Łąka Śródpolna"),
        row("B", asked="2027-03-02", renter="麦田 🌾"),
        row("C", asked="2027-03-03"),
    ]
    return Clerk(tmp_path / "spring").season(drills=("one", "zwei"), early_by_rules="true").list(*rows)


CHANGES = (
    "confirm request=A day=2027-04-01",
    "confirm request=B drill=zwei first=2027-05-10 day=2027-04-01",
    "withdraw request=C day=2027-04-02",
    "release request=A day=2027-04-03",
    "confirm request=A drill=zwei first=2027-05-17 day=2027-04-03",
    "release request=A day=2027-04-04",
    "confirm request=A drill=one first=2027-05-03 day=2027-04-04",
    "cancel request=B day=2027-04-05",
)
"""What happens between one import and the next."""


def test_imported_again_every_calendar_says_what_is_booked(clerk: Clerk) -> None:
    """One reader a file and one reader of all files, after each change, in every order of the files of drills."""
    files, bookings = _files(clerk)
    readers = {name: Reader() for name in files}
    everything = Reader()
    for n, change in enumerate(["", *CHANGES]):
        if change:
            clerk.record(change)
            before = files
            files, bookings = _files(clerk)
            _numbers_rise(before, files)
        for name in files:
            readers.setdefault(name, Reader()).read(files[name])
        names = sorted(files)
        for content in [files[name] for name in (names if n % 2 else reversed(names))]:
            everything.read(content)
        assert set(everything.live.values()) == _as_booked(bookings), change
        for drill in ("one", "zwei"):
            of_drill = {name: one for name, one in bookings.items() if one["drill"] == drill}
            assert set(readers[f"drill-{drill}.ics"].live.values()) == _as_booked(of_drill), change
        for name in ("A", "B", "C"):
            of_renter = {one: bookings[one] for one in bookings if one == name}
            assert set(readers[f"renter-{name.lower()}.ics"].live.values()) == _as_booked(of_renter), change
    assert {str(event["summary"]).partition(": ")[2] for event in everything.events.values()} == {
        "Łąka Śródpolna",
        "麦田 🌾",
        "C farm",
    }


def test_in_whatever_order_files_come_the_event_that_moved_is_live(clerk: Clerk) -> None:
    """A moves from one drill to the other: both drills' files in every order, once and twice."""
    before, was = _files(clerk)
    old_drill, new_drill = sorted(("one", "zwei"), key=lambda drill: drill != was["A"]["drill"])
    clerk.record(*(f"confirm request={name} day=2027-04-03" for name in ("B", "C")))
    clerk.record(f"confirm request=A drill={new_drill} first=2027-05-17 day=2027-04-03")
    after, bookings = _files(clerk)
    assert bookings["A"]["drill"] == new_drill
    for old in permutations(sorted(before)):
        for new in permutations(("drill-one.ics", "drill-zwei.ics")):
            reader = Reader()
            for content in (*(before[name] for name in old), *(after[name] for name in (*new, *new))):
                reader.read(content)
            assert set(reader.live.values()) == _as_booked(bookings)
    cancelled = [
        event
        for event in Calendar.from_ical(after[f"drill-{old_drill}.ics"]).walk("VEVENT")
        if event["status"] == "CANCELLED"
    ]
    assert [str(event["summary"]) for event in cancelled] == [f"{old_drill}: Łąka Śródpolna"]


def test_what_did_not_change_keeps_its_number_and_its_moment(clerk: Clerk) -> None:
    """Planned and written again: the same bytes. After a change, only what changed has a higher number."""
    first, _ = _files(clerk)
    again, _ = _files(clerk)
    assert again == first
    clerk.record("confirm request=B day=2027-04-01")
    later, _ = _files(clerk)
    old, new = Reader(), Reader()
    for content in first.values():
        old.read(content)
    for content in later.values():
        new.read(content)
    risen = {
        str(event["summary"])
        for uid, event in new.events.items()
        if event["sequence"] != old.events[uid]["sequence"]
    }
    assert risen == {f"{new_drill}: 麦田 🌾" for new_drill in ("one", "zwei")} & risen
    assert len(risen) == 1
    assert all(
        (event["sequence"] > old.events[uid]["sequence"])
        == (event["dtstamp"].dt > old.events[uid]["dtstamp"].dt)
        or event["dtstamp"].dt == old.events[uid]["dtstamp"].dt
        for uid, event in new.events.items()
    )


def test_two_years_and_two_districts_never_meet(tmp_path: Path) -> None:
    """The same list, a year later and in another district: no event of the one updates an event of the other."""
    rows = [row("A"), row("B", asked="2027-03-02")]
    later = [one.replace("2027-", "2028-") for one in rows]
    seasons = [
        Clerk(tmp_path / "a").season().list(*rows),
        Clerk(tmp_path / "b").season(opens="2028-05-03", closes="2028-06-05").list(*later),
        Clerk(tmp_path / "c").season(name="Other hills").list(*rows),
        Clerk(tmp_path / "d").season(id='"hills 2027"').list(*rows),
    ]
    reader, expected = Reader(), set()
    for clerk in seasons:
        files, bookings = _files(clerk)
        for content in files.values():
            reader.read(content)
        expected |= {(clerk.folder.name, *one) for one in _as_booked(bookings)}
    assert len(reader.live) == len(expected) == 8
    for clerk in seasons[:2]:  # rain in the second year leaves the first alone
        clerk.record(
            "withdraw request=A day=2027-04-20"
            if clerk is seasons[0]
            else "confirm request=A day=2028-04-20"
        )
        files, bookings = _files(clerk)
        for content in files.values():
            reader.read(content)
    assert len(reader.live) == 7


def test_an_event_that_was_never_written_is_not_cancelled(clerk: Clerk) -> None:
    """Planned without files, withdrawn, then written: nobody ever saw it."""
    clerk.does("plan").record("withdraw request=C day=2027-04-02")
    files, _ = _files(clerk)
    assert not any(b"CANCELLED" in content for content in files.values())
    assert "renter-c.ics" not in files


def test_rain_writes_the_same_calendars(clerk: Clerk) -> None:
    """A pencilled booking that moves in rain is live on its new days in every calendar, once."""
    files, bookings = _files(clerk)
    reader = Reader()
    for content in files.values():
        reader.read(content)
    clerk.record("confirm request=A day=2027-04-01")
    lost = " ".join(bookings["B"]["days"][:2]).split()
    clerk.record(*(f"lost day={day} drill={bookings['B']['drill']} why=rain" for day in lost))
    clerk.does(f"rain --today 2027-05-03 --out {clerk.folder / 'out'} --force")
    for path in (clerk.folder / "out").glob("*.ics"):
        reader.read(path.read_bytes())
    written = json.loads((clerk.folder / "out" / "season.json").read_text(encoding="utf-8"))["bookings"]
    after = {one["request"]: one for one in written}
    assert after["B"]["days"] != bookings["B"]["days"]
    assert set(reader.live.values()) == _as_booked(after)
