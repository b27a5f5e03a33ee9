"""Conflicts of drills and their meters: who had a drill when, what its meter counted, what was sown with it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain
from typing import Any

from fieldplan.errors import Problem, problem
from fieldplan.facts import Fact, fact
from fieldplan.model.records import Entry
from fieldplan.records.downtime import days_lost, downtimes_of
from fieldplan.records.rentals import readings_of, rentals_of, rentals_sown
from fieldplan.units import ACRE_M2

READING_M2 = 0.1 * ACRE_M2
"""Acre meters show tenths: each reading may be off by this much."""

Found = tuple[int, Problem]
"""The number of an entry and what is wrong with it."""


def one_renter_at_a_time(entries: Sequence[Entry]) -> Iterator[Found]:
    """A drill goes out from its home and comes back from the renter who has it."""
    out: dict[str, Entry] = {}
    for entry in entries:
        drill = entry.facts.get("drill")
        holder = out.get(str(drill))
        in_the_field = entry.kind == "meter" and not {"old_meter", "turns_at"}.isdisjoint(entry.facts)
        if entry.kind in ("out", "meter") and holder and not in_the_field:
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
            drills = [
                name
                for name, going in out.items()
                if going.request == entry.request and drill in (None, name)
            ]
            if not drills:
                yield entry.number, _not_out(entry, holder)
            elif len(drills) > 1:
                yield (
                    entry.number,
                    problem("in-which", request=entry.request, drills=tuple(drills), first=drills[0]),
                )
            else:
                out.pop(drills[0])


def _not_out(entry: Entry, holder: Entry | None) -> Problem:
    """A return of a drill that is at its home, or with another renter."""
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
    """A meter never runs backwards, unless it turns over or a new one is fitted."""
    read: dict[str, Entry] = {}
    for drill, entry in readings_of(entries):
        before = read.get(drill)
        if "old_meter" in entry.facts and "turns_at" in entry.facts:
            yield entry.number, problem("meter-turned-and-new", drill=drill)
        turned = entry.facts.get("turns_at")
        top = max(entry.facts["meter"], before.facts["meter"] if before else 0.0)
        if turned is not None and turned < top:
            yield entry.number, problem("meter-turns-below", drill=drill, turns_at_m2=turned, read_m2=top)
        replaced = entry.facts.get("old_meter")
        if before and replaced is not None and replaced < before.facts["meter"]:
            yield entry.number, _backwards(drill, before, replaced)
        fresh = entry.facts.get("new_meter", 0.0) if replaced is not None else None
        if fresh is not None and entry.kind == "in" and entry.facts["meter"] < fresh:
            yield (
                entry.number,
                problem("meter-new-backwards", drill=drill, new_m2=fresh, now_m2=entry.facts["meter"]),
            )
        exempt = entry.kind == "meter" or turned is not None or replaced is not None
        if before and not exempt and entry.facts["meter"] < before.facts["meter"]:
            yield entry.number, _backwards(drill, before, entry.facts["meter"])
        read[drill] = entry


def _backwards(drill: str, before: Entry, now_m2: float) -> Problem:
    return problem(
        "meter-backwards",
        drill=drill,
        before_m2=before.facts["meter"],
        before_typed_day=before.day,
        row=row_of(before),
        now_m2=now_m2,
    )


def sown_without_a_drill(entries: Sequence[Entry]) -> Iterator[Found]:
    """Ground is sown only while the renter has a drill."""
    for sown, rental in rentals_sown(entries):
        if rental is None:
            yield sown.number, problem("sown-without-drill", request=sown.request, on_typed_day=sown.day)


def sown_over_the_meter(entries: Sequence[Entry]) -> Iterator[Found]:
    """Fields add up to no more than the meter counted while the drill was out.

    Each reading and each field may be off by `READING_M2`.
    """
    by_rental: dict[int, list[Entry]] = {}
    for sown, rental in rentals_sown(entries):
        if rental and "acres" in sown.facts:
            by_rental.setdefault(rental.out.number, []).append(sown)
    for rental in chain.from_iterable(rentals_of(entries).values()):
        fields, metered = by_rental.get(rental.out.number, []), rental.drilled_m2
        total = sum(sown.facts["acres"] for sown in fields)
        if (
            fields
            and rental.back
            and metered is not None
            and 0 <= metered < total - READING_M2 * (len(fields) + 1)
        ):
            yield (
                max(fields[-1].number, rental.back.number),
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
    """No ground is sown on a day that the drill lost, to weather or otherwise."""
    lost = {
        at: entry
        for entry in entries
        if entry.kind in ("rain", "lost")
        for at in days_lost(entry, [""])  # a name that no drill has stands for all of them
    }
    for down in downtimes_of(entries):  # on the day itself it may have sown before it broke
        lost |= {(down.drill, day): down.entry for day in down.days[1:]}
    for sown, rental in rentals_sown(entries):
        at = (rental.drill if rental else "", sown.day)
        rain = lost.get(at) or lost.get(("", sown.day)) if rental else None
        if rental and rain:
            later, other = (rain, sown) if rain.number > sown.number else (sown, rain)
            where: dict[str, Any] = {"drill": rental.drill, "on_typed_day": sown.day, "row": row_of(other)}
            yield (
                later.number,
                problem("rain-and-sown", **where)
                if rain.kind == "rain"
                else problem(
                    "rain-and-sown/otherwise",
                    why=str(rain.facts.get("why") or rain.facts.get("what")),
                    **where,
                ),
            )


def row_of(entry: Entry) -> Fact:
    """How messages name an entry: by its row of the ledger."""
    return fact("ledger-row", row=entry.number)
