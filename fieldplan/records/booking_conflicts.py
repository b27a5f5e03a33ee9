"""Conflicts of requests and bookings: what cannot be entered as the season stands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fieldplan.errors import Problem, problem
from fieldplan.model.records import Entry
from fieldplan.records.meters import Found, row_of
from fieldplan.records.standing import Steps, in_order_of_writing

LONGEST_LOST_DAYS = 120


def booking_conflicts(entries: Sequence[Entry]) -> Iterator[Found]:
    """Entries about bookings that do not fit how the season stood when they were written.

    Parameters
    ----------
    entries
        All entries, as they were written.
    """
    steps = Steps()
    answered: dict[str, Entry] = {}
    for entry in in_order_of_writing(entries):
        for found in _before(steps, entry, answered):
            yield entry.number, found
        steps.take(entry)
        if entry.kind in ("confirm", "withdraw", "release", "cancel"):
            answered[entry.request] = entry


def _before(steps: Steps, entry: Entry, answered: dict[str, Entry]) -> Iterator[Problem]:
    """What keeps an entry from following those before it."""
    name, booked = entry.request, steps.bookings.get(entry.request)
    row = steps.rows.get(name)
    out = steps.out.get(name, [])
    if row is not None and row.withdrawn and entry.kind in ("withdraw", "confirm", "out", "decline"):
        where = {"row": row_of(answered[name])} if name in answered else {}
        yield problem("withdrawn-already", request=name, **where)
    if out and entry.kind in ("withdraw", "cancel", "release"):
        yield problem("drill-still-out", request=name, drill=out[0])
    if entry.kind == "confirm":
        yield from _confirmed(steps, entry)
    if entry.kind in ("planned", "moved") and booked is not None and booked.confirmed:
        grows = booked.drill == entry.facts["drill"] and set(booked.days) <= set(entry.facts["days"])
        if not grows:
            yield problem("held-moved", request=name, drill=booked.drill, first_typed_day=booked.days[0])
    if entry.kind == "release" and name not in steps.agreed and (booked is None or not booked.confirmed):
        yield problem("nothing-to/release", request=name)
    if entry.kind == "cancel" and booked is None and name not in steps.agreed:
        yield problem("nothing-to/cancel", request=name)
    if entry.kind == "shorten" and (
        booked is None or not booked.days[0] <= entry.facts["last"] < booked.days[-1]
    ):
        yield problem("nothing-to/shorten", request=name)
    if entry.kind == "done" and booked is None and not out and name not in steps.agreed:
        yield problem("nothing-to/done", request=name)
    if entry.kind == "lost":
        n_days = (entry.facts.get("until", entry.day) - entry.day).days
        if not 0 <= n_days < LONGEST_LOST_DAYS:
            yield problem("lost-span", n_most=LONGEST_LOST_DAYS)


def _confirmed(steps: Steps, entry: Entry) -> Iterator[Problem]:
    """A yes needs a booking or a place; one that was said to other days holds until it is released; days are nobody else's."""
    name, facts, booked = entry.request, entry.facts, steps.bookings.get(entry.request)
    if booked is None and ("drill" not in facts or "first" not in facts):
        yield problem("confirm-what", request=name)
        return
    drill = facts.get("drill", booked.drill if booked else "")
    first = facts.get("first", booked.days[0] if booked else None)
    same = booked is not None and (drill, first) == (booked.drill, booked.days[0])
    held = steps.agreed.get(name)
    elsewhere = (booked is not None and booked.confirmed and not same) or (
        held is not None and (held.drill, held.first) != (drill, first)
    )
    if elsewhere:
        there = (
            (booked.drill, booked.days[0]) if booked else (held.drill, held.first) if held else ("", first)
        )
        yield problem("confirmed-elsewhere", request=name, drill=there[0], first_typed_day=there[1])
    days = set(facts.get("days", booked.days if same and booked else ()))
    if same and booked is not None and not set(booked.days) <= days:
        yield problem("days-shrink", request=name)
    for other, there_booked in steps.bookings.items():
        sharing = other in facts.get("order", booked.shares_with if booked else ())
        if (
            other != name
            and there_booked.confirmed
            and there_booked.drill == drill
            and not sharing
            and (taken := sorted(days & set(there_booked.days)))
        ):
            yield problem(
                "days-taken",
                drill=drill,
                request=name,
                other=other,
                on_typed_day=taken[0],
                n_days=len(taken),
            )
