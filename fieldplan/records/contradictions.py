"""What cannot all be true: entries against each other, against the list of requests, the drills and the season."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from fieldplan.errors import InputError, Problem
from fieldplan.model.records import Entry
from fieldplan.records.standing import misdirected, standing
from fieldplan.units import ACRE_M2, shown_acres

AFTER_SEASON = timedelta(days=31)
"""A drill may come back so long after the season."""
READING_M2 = 0.1 * ACRE_M2
"""Acre meters show tenths: each reading may be off by so much."""
_SHARE_ROUNDING = 1e-9
_FIELD_KINDS = ("sown", "seed")
_SEASON_KINDS = ("out", "sown", "in", "rain")

Found = tuple[int, Problem]
"""The number of an entry and what is wrong with it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What entries are held against: requests by id, drills by name, the season, and the fields of each request where they are known."""

    requests: frozenset[str]
    drills: frozenset[str]
    opens: date
    closes: date
    fields: Mapping[str, frozenset[str]]


def refuse_contradictions(there: Sequence[Entry], new: Sequence[Entry], wheres: Sequence[str], known: Known) -> None:
    """Keep out entries that contradict what is there, each other, or what is known.

    Parameters
    ----------
    wheres
        Where each new entry was typed, for the message.

    Raises
    ------
    InputError
        With every contradiction that the new entries bring.
    """
    before = {problem for _, problem in contradictions(there, known)}
    names = {entry.number: where for entry, where in zip(new, wheres, strict=True)}
    problems = tuple(
        Problem(code=problem.code, text=f"{names.get(number, f'row {number} of the ledger')}: {problem.text}", hint=problem.hint)
        for number, problem in contradictions([*there, *new], known)
        if problem not in before
    )
    if problems:
        raise InputError(problems)


def contradictions(entries: Sequence[Entry], known: Known) -> list[Found]:
    """Everything that cannot be true."""
    holds = standing(entries)
    return [
        *misdirected(entries), *_strangers(holds, known), *_twice(holds), *_drills(holds), *_sown_elsewhere(holds), *_more_than_metered(holds),
        *_lots(holds), *_rain(holds), *_refused(holds),
    ]  # fmt: skip


def _strangers(entries: Sequence[Entry], known: Known) -> Iterator[Found]:
    """Requests, drills, fields and days that the season does not know."""
    for entry in entries:
        request, drill, field = entry.request, entry.facts.get("drill"), entry.facts.get("field")
        if request and request not in known.requests:
            yield _found(entry, "request-unknown", f'no request is called "{request}".', "its id in the list of requests")
        if drill and drill not in known.drills:
            yield _found(entry, "drill-unknown", f'no drill is called "{drill}".', f"one of: {', '.join(sorted(known.drills))}")
        fields = known.fields.get(request)
        if field and fields and field not in fields:
            yield _found(entry, "field-unknown", f'{request} has no field "{field}".', f"one of: {', '.join(sorted(fields))}")
        if entry.kind in _SEASON_KINDS and not known.opens <= entry.day <= known.closes + AFTER_SEASON:
            yield _found(
                entry,
                "day-outside",
                f"{entry.day} lies outside the season.",
                f"{known.opens} to {known.closes}, and a month for the return",
            )


def _twice(entries: Sequence[Entry]) -> Iterator[Found]:
    """The same entry again."""
    seen: dict[tuple[object, ...], Entry] = {}
    for entry in entries:
        key = (entry.kind, *sorted((name, str(value)) for name, value in entry.facts.items()))
        if key in seen:
            yield _found(
                entry,
                "entry-twice",
                f"says the same as row {seen[key].number}.",
                'if it happened twice, add a note, such as note="second time"',
            )
        seen.setdefault(key, entry)


def _drills(entries: Sequence[Entry]) -> Iterator[Found]:
    """Each drill is with one renter at a time, and its meter never runs backwards."""
    out: dict[str, Entry] = {}
    read: dict[str, Entry] = {}
    for entry in entries:
        if entry.kind not in ("out", "in", "meter"):
            continue
        drill = drill_of(entry, entries)
        if drill is None:
            yield _found(entry, "in-without-out", f"no drill is out with {entry.request}.", "enter the day it went out first")
            continue
        before, holder = read.get(drill), out.get(drill)
        if before and entry.kind != "meter" and entry.facts["meter"] < before.facts["meter"]:
            yield _found(
                entry, "meter-backwards",
                f"the meter of {drill} would run backwards, from {shown_acres(before.facts['meter'])} on {before.day} (row {before.number}) "
                f"to {shown_acres(entry.facts['meter'])}.",
                'a misread figure is put right with corrects=…; a new meter is an entry "meter"',
            )  # fmt: skip
        if entry.kind == "out" and holder:
            yield _found(
                entry,
                "drill-out",
                f"{drill} is out with {holder.request} since {holder.day} (row {holder.number}).",
                "enter its return first",
            )
        if entry.kind == "in" and (holder is None or holder.request != entry.request):
            who = f"it is out with {holder.request} (row {holder.number})" if holder else "it is at home"
            yield _found(
                entry,
                "in-without-out",
                f"{drill} did not go out to {entry.request} before {entry.day}: {who}.",
                "enter the day it went out first",
            )
        if entry.kind == "meter" and holder:
            yield _found(
                entry,
                "drill-out",
                f"{drill} is out with {holder.request} since {holder.day} (row {holder.number}).",
                "enter its return first",
            )
        read[drill] = entry
        if entry.kind == "out":
            out[drill] = entry
        elif entry.kind == "in":
            out.pop(drill, None)


def drill_of(entry: Entry, entries: Sequence[Entry]) -> str | None:
    """The drill that an entry is about: as said, else the last that went out to its request by then."""
    said = entry.facts.get("drill")
    if said:
        return str(said)
    went = [
        str(one.facts["drill"]) for one in entries if one.kind == "out" and one.request == entry.request and one.day <= entry.day
    ]
    return went[-1] if went else None


def _spans(entries: Sequence[Entry], request: str) -> Iterator[tuple[Entry, Entry | None]]:
    """The loans of a request: going out and coming back, ``None`` while out."""
    out = None
    for entry in entries:
        if entry.request == request and entry.kind == "out":
            out = entry
        elif entry.request == request and entry.kind == "in" and out:
            yield out, entry
            out = None
    if out:
        yield out, None


def _sown_elsewhere(entries: Sequence[Entry]) -> Iterator[Found]:
    """Ground is sown while a drill is there."""
    for entry in entries:
        if entry.kind == "sown" and not any(
            out.day <= entry.day and (back is None or entry.day <= back.day) for out, back in _spans(entries, entry.request)
        ):
            yield _found(
                entry,
                "sown-without-drill",
                f"no drill was with {entry.request} on {entry.day}.",
                "enter the day it went out first",
            )


def _more_than_metered(entries: Sequence[Entry]) -> Iterator[Found]:
    """Fields do not add up to more than the meter counted while the drill was out."""
    for request in dict.fromkeys(entry.request for entry in entries if entry.kind == "out"):
        for out, back in _spans(entries, request):
            if back is None:
                continue
            sown = [
                one
                for one in entries
                if one.kind == "sown" and one.request == request and out.day <= one.day <= back.day and "acres" in one.facts
            ]
            metered = back.facts["meter"] - out.facts["meter"]
            total = sum(one.facts["acres"] for one in sown)
            if sown and total > metered + READING_M2 * (len(sown) + 1):
                yield _found(
                    max(sown[-1], back, key=lambda one: one.number), "sown-over-meter",
                    f"the fields of {request} add up to {shown_acres(total)}, and the meter counted {shown_acres(metered)}.", "read both again",
                )  # fmt: skip


def _lots(entries: Sequence[Entry]) -> Iterator[Found]:
    """A lot has one tag: one species, one test, one purity and germination; and the shares of a tag fit into it."""
    first: dict[str, Entry] = {}
    for entry in entries:
        if entry.kind != "seed":
            continue
        live = entry.facts.get("germination", 0.0) + entry.facts.get("dormant", 0.0)
        if live > 1 + _SHARE_ROUNDING:
            yield _found(
                entry,
                "tag-over",
                "germination and dormant add up to more than 100 %.",
                "both as the tag shows them, each of the pure seed",
            )
        before = first.setdefault(str(entry.facts["lot"]).casefold(), entry)
        for name in ("species", "purity", "germination", "dormant", "tested", "origin"):
            one, other = before.facts.get(name), entry.facts.get(name)
            if one is not None and other is not None and str(one).casefold() != str(other).casefold():
                yield _found(
                    entry, "lot-differs", f"lot {entry.facts['lot']} has {name} {entry.typed[name]} here and {before.typed[name]} in row {before.number}.",
                    "a lot has one tag: put right the one that was misread",
                )  # fmt: skip


def _rain(entries: Sequence[Entry]) -> Iterator[Found]:
    """No ground is sown on a day that was lost to the drill."""
    for lost in (entry for entry in entries if entry.kind == "rain"):
        for sown in (entry for entry in entries if entry.kind == "sown" and entry.day == lost.day):
            for out, back in _spans(entries, sown.request):
                if out.facts["drill"] == lost.facts["drill"] and out.day <= lost.day and (back is None or lost.day <= back.day):
                    later, other = (lost, sown) if lost.number > sown.number else (sown, lost)
                    yield _found(
                        later, "rain-and-sown", f"{lost.facts['drill']} sowed on {lost.day} and lost the day to weather (row {other.number}).",
                        "a day is lost only if nothing was sown on it",
                    )  # fmt: skip


def _refused(entries: Sequence[Entry]) -> Iterator[Found]:
    """Nobody who was turned away had a drill."""
    for refused in (entry for entry in entries if entry.kind == "refused"):
        for other in entries:
            if other.request == refused.request and other.kind in ("out", "confirm"):
                later, before = (refused, other) if refused.number > other.number else (other, refused)
                yield _found(
                    later, "refused-and-served", f'{refused.request} is "{refused.kind}" and "{other.kind}" (row {before.number}).',
                    "strike the one that does not hold",
                )  # fmt: skip


def _found(entry: Entry, code: str, text: str, hint: str) -> Found:
    return entry.number, Problem(code=code, text=text, hint=hint)
