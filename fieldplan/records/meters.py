"""What cannot be true of drills and their meters: who had one when, what it counted, what was sown with it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fieldplan.errors import Problem
from fieldplan.model.records import Entry
from fieldplan.records.loans import loan_at, loans_of
from fieldplan.units import ACRE_M2, shown_acres

READING_M2 = 0.1 * ACRE_M2
"""Acre meters show tenths: each reading may be off by so much."""

Found = tuple[int, Problem]
"""The number of an entry and what is wrong with it."""


def one_renter_at_a_time(entries: Sequence[Entry]) -> Iterator[Found]:
    """Each drill is with one renter at a time, and its meter never runs backwards."""
    out: dict[str, Entry] = {}
    read: dict[str, Entry] = {}
    for entry in entries:
        if entry.kind not in ("out", "in", "meter"):
            continue
        drill = drill_of(entry, entries)
        if drill is None:
            yield found(entry, "in-without-out", f"no drill is out with {entry.request}.", "enter the day it went out first")
            continue
        before, holder = read.get(drill), out.get(drill)
        if before and entry.kind != "meter" and entry.facts["meter"] < before.facts["meter"]:
            yield found(
                entry, "meter-backwards",
                f"the meter of {drill} would run backwards, from {shown_acres(before.facts['meter'])} on {before.day} (row {before.number}) "
                f"to {shown_acres(entry.facts['meter'])}.",
                'a misread figure is put right with corrects=…; a new meter is an entry "meter"',
            )  # fmt: skip
        if entry.kind == "out" and holder:
            yield found(
                entry,
                "drill-out",
                f"{drill} is out with {holder.request} since {holder.day} (row {holder.number}).",
                "enter its return first",
            )
        if entry.kind == "in" and (holder is None or holder.request != entry.request):
            who = f"it is out with {holder.request} (row {holder.number})" if holder else "it is at home"
            yield found(
                entry,
                "in-without-out",
                f"{drill} did not go out to {entry.request} before {entry.day}: {who}.",
                "enter the day it went out first",
            )
        if entry.kind == "meter" and holder:
            yield found(
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


def sown_without_a_drill(entries: Sequence[Entry]) -> Iterator[Found]:
    """Ground is sown while a drill is there."""
    loans = loans_of(entries)
    for entry in entries:
        if entry.kind == "sown" and loan_at(entry, loans.get(entry.request, ())) is None:
            yield found(
                entry,
                "sown-without-drill",
                f"no drill was with {entry.request} on {entry.day}.",
                "enter the day it went out first",
            )


def sown_over_the_meter(entries: Sequence[Entry]) -> Iterator[Found]:
    """Fields do not add up to more than the meter counted while the drill was out."""
    loans = loans_of(entries)
    under: dict[int, list[Entry]] = {}
    for entry in entries:
        if entry.kind == "sown" and "acres" in entry.facts and (loan := loan_at(entry, loans.get(entry.request, ()))):
            under.setdefault(loan.out.number, []).append(entry)
    for loan in (loan for own in loans.values() for loan in own):
        sown, metered = under.get(loan.out.number, []), loan.drilled_m2
        total = sum(one.facts["acres"] for one in sown)
        if sown and loan.back and metered is not None and total > metered + READING_M2 * (len(sown) + 1):
            yield found(
                max(sown[-1], loan.back, key=lambda one: one.number), "sown-over-meter",
                f"the fields of {loan.request} add up to {shown_acres(total)}, and the meter counted {shown_acres(metered)} (rows {loan.out.number} "
                f"and {loan.back.number}).", "read both again",
            )  # fmt: skip


def sown_on_a_lost_day(entries: Sequence[Entry]) -> Iterator[Found]:
    """No ground is sown on a day that was lost to the drill."""
    loans = loans_of(entries)
    lost = {(str(entry.facts["drill"]), entry.day): entry for entry in entries if entry.kind == "rain"}
    for sown in (entry for entry in entries if entry.kind == "sown"):
        loan = loan_at(sown, loans.get(sown.request, ()))
        rain = lost.get((loan.drill, sown.day)) if loan else None
        if loan and rain:
            later, other = (rain, sown) if rain.number > sown.number else (sown, rain)
            yield found(
                later, "rain-and-sown", f"{loan.drill} sowed on {sown.day} and lost the day to weather (row {other.number}).",
                "a day is lost only if nothing was sown on it",
            )  # fmt: skip


def found(entry: Entry, code: str, text: str, hint: str) -> Found:
    """What is wrong with an entry."""
    return entry.number, Problem(code=code, text=text, hint=hint)
