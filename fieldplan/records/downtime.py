"""Days that drills lose: to weather, to breakdowns until they are repaired, or otherwise."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import timedelta

from fieldplan.errors import Problem, problem
from fieldplan.facts import fact
from fieldplan.model.downtime import Downtime
from fieldplan.model.records import Entry
from fieldplan.model.standing import DrillDay

BROKEN = ("breakdown", "repair")
"""Words of an entry "lost" that say that it was not the weather."""
LONGEST_DOWN_DAYS = 120


def days_lost(entry: Entry, drills: Sequence[str]) -> Iterator[DrillDay]:
    """The drills and days that an entry "rain" or "lost" is about."""
    until = entry.facts.get("until", entry.day)
    for drill in [str(entry.facts["drill"])] if "drill" in entry.facts else drills:
        for k in range((until - entry.day).days + 1):
            yield drill, entry.day + timedelta(days=k)


def downtimes_of(entries: Sequence[Entry]) -> tuple[Downtime, ...]:
    """The breakdowns of all drills, each with its repairs, in the order of their days.

    A repair belongs to the breakdown that it names by its day, ``broke``; else to the latest one of its drill that began
    by its own day and had not ended before that.

    Parameters
    ----------
    entries
        Current entries.
    """
    found = [
        Downtime(entry=entry)
        for entry in sorted(entries, key=lambda entry: (entry.day, entry.number))
        if entry.kind == "down"
    ]
    for entry in entries:
        k = _belongs(entry, found) if entry.kind == "repair" else None
        if k is not None:
            works = entry.facts.get("works", found[k].works)
            found[k] = replace(found[k], works=works, repairs=(*found[k].repairs, entry))
    return tuple(found)


def _belongs(repair: Entry, found: Sequence[Downtime]) -> int | None:
    """The index of the breakdown that a repair belongs to; ``None`` if it is of a drill that worked."""
    of_drill = [k for k, down in enumerate(found) if down.drill == repair.facts["drill"]]
    if "broke" in repair.facts:
        return next((k for k in of_drill if found[k].entry.day == repair.facts["broke"]), None)
    by_then = [
        k
        for k in of_drill
        if found[k].entry.day <= repair.day and repair.day <= (found[k].works or repair.day)
    ]
    return by_then[-1] if by_then else None


def downtime_conflicts(entries: Sequence[Entry]) -> Iterator[tuple[int, Problem]]:
    """Breakdowns and repairs that do not fit together.

    Yields
    ------
    tuple
        The number of the entry and the problem.
    """
    found = downtimes_of(entries)
    for entry in entries:
        if entry.kind == "down":
            if not 0 <= (entry.facts["until"] - entry.day).days < LONGEST_DOWN_DAYS:
                yield entry.number, problem("lost-span", n_most=LONGEST_DOWN_DAYS)
            for other in found:
                before = (other.entry.day, other.entry.number) < (entry.day, entry.number)
                if other.drill == entry.facts["drill"] and before and entry.day in other.days:
                    yield (
                        entry.number,
                        problem(
                            "down-already",
                            drill=other.drill,
                            since_typed_day=other.entry.day,
                            last_typed_day=other.last,
                            row=fact("ledger-row", row=other.entry.number),
                        ),
                    )
        if entry.kind == "repair" and not {"works", "broke"}.isdisjoint(entry.facts):
            own = next((down for down in found if entry in down.repairs), None)
            if own is None:
                yield entry.number, problem("repair-of-nothing", drill=str(entry.facts["drill"]))
            elif entry.facts.get("works", own.entry.day) < own.entry.day:
                yield (
                    entry.number,
                    problem("works-before", drill=own.drill, since_typed_day=own.entry.day),
                )


def lost_of(entries: Sequence[Entry], drills: Sequence[str]) -> dict[DrillDay, str]:
    """Every day that a drill lost, with why.

    Parameters
    ----------
    entries
        Current entries.
    drills
        Names of the season's drills: days lost with no drill named are lost with all of them.
    """
    lost: dict[DrillDay, str] = {}
    for entry in entries:
        if entry.kind in ("rain", "lost"):
            lost |= dict.fromkeys(days_lost(entry, drills), str(entry.facts.get("why", "rain")))
    for down in downtimes_of(entries):
        lost |= {(down.drill, day): f"breakdown: {down.what}" for day in down.days}
    return lost


def is_weather(why: str) -> bool:
    """Whether a day was lost to weather, by why it was lost.

    >>> is_weather("rain"), is_weather("Breakdown: hose")
    (True, False)
    """
    return not any(word in why.casefold() for word in BROKEN)
