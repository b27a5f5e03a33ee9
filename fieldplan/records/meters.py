"""What cannot be true of drills and their meters: who had one when, what it counted, what was sown with
it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fieldplan.errors import Problem, problem
from fieldplan.facts import Fact, fact
from fieldplan.model.records import Entry
from fieldplan.records.rentals import readings_of, rentals_of, rentals_sown
from fieldplan.units import ACRE_M2

READING_M2 = 0.1 * ACRE_M2
"""Acre meters show tenths: each reading may be off by so much."""

Found = tuple[int, Problem]
"""The number of an entry and what is wrong with it."""


def one_renter_at_a_time(entries: Sequence[Entry]) -> Iterator[Found]:
    """A drill goes out from home and comes back from whoever has it."""
    out: dict[str, Entry] = {}
    for entry in entries:
        drill = entry.facts.get("drill")
        holder = out.get(str(drill))
        if entry.kind in ("out", "meter") and holder:
            yield (
                entry.number,
                problem(
                    "drill-out",
                    drill=str(drill),
                    request=holder.request,
                    since_typed_day=holder.day,
                    row=row_of(holder),
                ),
            )
        if entry.kind == "out":
            out[str(drill)] = entry
        if entry.kind == "in":
            theirs = [
                name for name, one in out.items() if one.request == entry.request and drill in (None, name)
            ]
            if not theirs:
                yield entry.number, _not_out(entry, holder)
            elif len(theirs) > 1:
                yield (
                    entry.number,
                    problem("in-which", request=entry.request, drills=tuple(theirs), first=theirs[0]),
                )
            else:
                out.pop(theirs[0])


def _not_out(entry: Entry, holder: Entry | None) -> Problem:
    """A return of a drill that is at home, or with somebody else."""
    drill = entry.facts.get("drill")
    if drill is None:
        return problem("in-without-out", request=entry.request, on_typed_day=entry.day)
    if holder is None:
        return problem("in-without-out/drill", drill=drill, request=entry.request, on_typed_day=entry.day)
    return problem(
        "in-without-out/elsewhere",
        drill=drill,
        request=entry.request,
        on_typed_day=entry.day,
        holder=holder.request,
        row=row_of(holder),
    )


def meter_backwards(entries: Sequence[Entry]) -> Iterator[Found]:
    """A meter never runs backwards, unless the district fits a new one."""
    read: dict[str, Entry] = {}
    for drill, entry in readings_of(entries):
        before = read.get(drill)
        if before and entry.kind != "meter" and entry.facts["meter"] < before.facts["meter"]:
            yield (
                entry.number,
                problem(
                    "meter-backwards",
                    drill=drill,
                    before_m2=before.facts["meter"],
                    before_typed_day=before.day,
                    row=row_of(before),
                    now_m2=entry.facts["meter"],
                ),
            )
        read[drill] = entry


def sown_without_a_drill(entries: Sequence[Entry]) -> Iterator[Found]:
    """Ground is sown while a drill is there."""
    for sown, rental in rentals_sown(entries):
        if rental is None:
            yield sown.number, problem("sown-without-drill", request=sown.request, on_typed_day=sown.day)


def sown_over_the_meter(entries: Sequence[Entry]) -> Iterator[Found]:
    """Fields do not add up to more than the meter counted while the drill was out."""
    under: dict[int, list[Entry]] = {}
    for sown, rental in rentals_sown(entries):
        if rental and "acres" in sown.facts:
            under.setdefault(rental.out.number, []).append(sown)
    for rental in (rental for own in rentals_of(entries).values() for rental in own):
        own, metered = under.get(rental.out.number, []), rental.drilled_m2
        total = sum(one.facts["acres"] for one in own)
        if (
            own
            and rental.back
            and metered is not None
            and 0 <= metered < total - READING_M2 * (len(own) + 1)
        ):
            yield (
                max(own[-1].number, rental.back.number),
                problem(
                    "sown-over-meter",
                    request=rental.request,
                    sown_m2=total,
                    metered_m2=metered,
                    row_out=row_of(rental.out),
                    row_back=row_of(rental.back),
                ),
            )


def sown_on_a_lost_day(entries: Sequence[Entry]) -> Iterator[Found]:
    """No ground is sown on a day that was lost to the drill."""
    lost = {(str(entry.facts["drill"]), entry.day): entry for entry in entries if entry.kind == "rain"}
    for sown, rental in rentals_sown(entries):
        rain = lost.get((rental.drill, sown.day)) if rental else None
        if rental and rain:
            later, other = (rain, sown) if rain.number > sown.number else (sown, rain)
            yield (
                later.number,
                problem("rain-and-sown", drill=rental.drill, on_typed_day=sown.day, row=row_of(other)),
            )


def row_of(entry: Entry) -> Fact:
    """An entry as others name it: by its row of the ledger."""
    return fact("ledger-row", row=entry.number)
