"""What cannot be true of drills and their meters: who had one when, what it counted, what was sown with it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fieldplan.errors import Problem
from fieldplan.model.records import Entry
from fieldplan.records.loans import loans_of, loans_sown, readings_of
from fieldplan.units import ACRE_M2, shown_acres

READING_M2 = 0.1 * ACRE_M2
"""Acre meters show tenths: each reading may be off by so much."""

_RETURN = "enter its return first, or both at once with --from; a new meter: bring it in and out on the same day"
_GOING = "enter the day it went out first, or both at once with --from"

Found = tuple[int, Problem]
"""The number of an entry and what is wrong with it."""


def one_renter_at_a_time(entries: Sequence[Entry]) -> Iterator[Found]:
    """A drill goes out from home and comes back from whoever has it."""
    out: dict[str, Entry] = {}
    for entry in entries:
        drill = entry.facts.get("drill")
        holder = out.get(str(drill))
        if entry.kind in ("out", "meter") and holder:
            yield found(
                entry, "drill-out", f"{drill} is out with {holder.request} since {holder.day} (row {holder.number}).", _RETURN
            )
        if entry.kind == "out":
            out[str(drill)] = entry
        if entry.kind == "in":
            theirs = [name for name, one in out.items() if one.request == entry.request and drill in (None, name)]
            if not theirs:
                who = f": it is with {holder.request} (row {holder.number})" if holder else ""
                yield found(
                    entry,
                    "in-without-out",
                    f"{drill or 'no drill'} is {'not ' if drill else ''}out with {entry.request} on {entry.day}{who}.",
                    _GOING,
                )
            elif len(theirs) > 1:
                yield found(
                    entry, "in-which", f"{entry.request} has {' and '.join(theirs)}.", f'say which came back: drill="{theirs[0]}"'
                )
            else:
                out.pop(theirs[0])


def meter_backwards(entries: Sequence[Entry]) -> Iterator[Found]:
    """A meter never runs backwards, unless the district fits a new one."""
    read: dict[str, Entry] = {}
    for drill, entry in readings_of(entries):
        before = read.get(drill)
        if before and entry.kind != "meter" and entry.facts["meter"] < before.facts["meter"]:
            yield found(
                entry, "meter-backwards",
                f"the meter of {drill} would run backwards, from {shown_acres(before.facts['meter'])} on {before.day} (row {before.number}) "
                f"to {shown_acres(entry.facts['meter'])}.",
                'a misread figure is put right with corrects=…; a new meter is an entry "meter"',
            )  # fmt: skip
        read[drill] = entry


def sown_without_a_drill(entries: Sequence[Entry]) -> Iterator[Found]:
    """Ground is sown while a drill is there."""
    for sown, loan in loans_sown(entries):
        if loan is None:
            yield found(sown, "sown-without-drill", f"no drill was with {sown.request} on {sown.day}.", _GOING)


def sown_over_the_meter(entries: Sequence[Entry]) -> Iterator[Found]:
    """Fields do not add up to more than the meter counted while the drill was out."""
    under: dict[int, list[Entry]] = {}
    for sown, loan in loans_sown(entries):
        if loan and "acres" in sown.facts:
            under.setdefault(loan.out.number, []).append(sown)
    for loan in (loan for own in loans_of(entries).values() for loan in own):
        own, metered = under.get(loan.out.number, []), loan.drilled_m2
        total = sum(one.facts["acres"] for one in own)
        if own and loan.back and metered is not None and 0 <= metered < total - READING_M2 * (len(own) + 1):
            yield found(
                max(own[-1], loan.back, key=lambda one: one.number), "sown-over-meter",
                f"the fields of {loan.request} add up to {shown_acres(total)}, and the meter counted {shown_acres(metered)} (row {loan.out.number} "
                f"and row {loan.back.number}).", "read both again",
            )  # fmt: skip


def sown_on_a_lost_day(entries: Sequence[Entry]) -> Iterator[Found]:
    """No ground is sown on a day that was lost to the drill."""
    lost = {(str(entry.facts["drill"]), entry.day): entry for entry in entries if entry.kind == "rain"}
    for sown, loan in loans_sown(entries):
        rain = lost.get((loan.drill, sown.day)) if loan else None
        if loan and rain:
            later, other = (rain, sown) if rain.number > sown.number else (sown, rain)
            yield found(
                later, "rain-and-sown", f"{loan.drill} sowed on {sown.day} and lost the day to weather (row {other.number}).",
                "a day is lost only if nothing was sown on it",
            )  # fmt: skip


def found(entry: Entry, code: str, text: str, hint: str) -> Found:
    """What is wrong with an entry."""
    return entry.number, Problem(code=code, told=text, told_hint=hint)
