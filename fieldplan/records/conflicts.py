"""Conflicts: entries that cannot all be true, or that do not fit the list of requests, the drills and the season."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import Decimal

from fieldplan.errors import InputError, Problem, problem
from fieldplan.facts import Fact, Value, fact
from fieldplan.model.records import Entry
from fieldplan.records.booking_conflicts import booking_conflicts
from fieldplan.records.current_entries import current_entries, misdirected
from fieldplan.records.downtime import downtime_conflicts
from fieldplan.records.meters import (
    Found,
    meter_backwards,
    one_renter_at_a_time,
    row_of,
    sown_on_a_lost_day,
    sown_over_the_meter,
    sown_without_a_drill,
)
from fieldplan.records.requirements import Required, requirement_conflicts

AROUND_SEASON = timedelta(days=31)
"""A drill may go out this long before the season, and come back this long after it."""
YEAR_BEFORE, YEARS_AFTER = timedelta(days=366), timedelta(days=3660)
"""Other entries may come this long before the season, payments and repairs this long after it."""
_SHARE_ROUNDING = 1e-9
_SEASON_KINDS = ("out", "sown", "in")


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is known of the season; entries are checked against it.

    Parameters
    ----------
    requests, drills
        Ids of the requests, names of the drills.
    fields
        Field ids by request, where they are known.
    working
        Working days by drill.
    bill_facts
        Facts that the rate card asks for with the values it knows, in lower case; none without a card.
    currency
        Sign of the rate card's currency; empty without a card.
    required
        What must be in order before a drill goes out.
    """

    requests: frozenset[str]
    drills: frozenset[str]
    opens: date
    closes: date
    fields: Mapping[str, frozenset[str]]
    working: Mapping[str, frozenset[date]]
    bill_facts: Mapping[str, frozenset[str]]
    currency: str = ""
    required: Required = field(default_factory=Required)


def refuse_conflicts(
    there: Sequence[Entry], new: Sequence[Entry], wheres: Sequence[str], known: Known
) -> None:
    """Refuse new entries that conflict with the ledger, with each other, or with what is known.

    Parameters
    ----------
    there
        Entries in the ledger; conflicts they already had do not count.
    new
        Entries to be written.
    wheres
        Where each entry was typed, for messages, in the order in which they were; some of them may not have been
        readable and are not among ``new``.

    Raises
    ------
    InputError
        With every conflict that the new entries bring.
    """
    before = set(conflicts(there, known))
    names = {entry.number: wheres[entry.number - len(there) - 1] for entry in new}
    problems = tuple(
        _named(problem, number, names)
        for number, problem in conflicts([*there, *new], known)
        if (number, problem) not in before
    )
    if problems:
        raise InputError(problems)


def _named(problem: Problem, number: int, names: Mapping[int, str]) -> Problem:
    """The problem at the new entry, by where it was typed, or at the row of the ledger that it would make
    untrue.
    """
    where = names.get(number) or str(fact("row-untrue", row=number))
    return replace(
        problem,
        file=where,
        values={name: _typed_at(value, names) for name, value in problem.values.items()},
    )


def _typed_at(value: Value, names: Mapping[int, str]) -> Value:
    if isinstance(value, Fact) and value.code == "ledger-row":
        row = value.values["row"]
        return names.get(row, value) if isinstance(row, int) else value
    return value


def conflicts(entries: Sequence[Entry], known: Known) -> list[Found]:
    """Every conflict among entries.

    Returns
    -------
    list
        The number of the entry and the problem.
    """
    current = current_entries(entries)
    return [
        *misdirected(entries),
        *_unknown_names(current, known),
        *_duplicates(current),
        *one_renter_at_a_time(current),
        *meter_backwards(current),
        *sown_without_a_drill(current),
        *sown_over_the_meter(current),
        *_lots(current),
        *sown_on_a_lost_day(current),
        *_refused(current),
        *_deposits(current),
        *booking_conflicts(entries),
        *downtime_conflicts(current),
        *requirement_conflicts(current, known.required),
    ]


def _unknown_names(entries: Sequence[Entry], known: Known) -> Iterator[Found]:
    """Requests, drills, fields and days that the season does not have."""
    for entry in entries:
        request, drill, field = entry.request, entry.facts.get("drill"), entry.facts.get("field")
        number = entry.number
        if request and request not in known.requests:
            yield number, problem("request-unknown/entry", request=request)
        if drill and drill not in known.drills:
            yield number, problem("drill-unknown", drill=drill, drills=tuple(sorted(known.drills)))
        fields = known.fields.get(request)
        if field and fields and field not in fields:
            yield (
                number,
                problem("field-unknown", request=request, field=field, fields=tuple(sorted(fields))),
            )
        before, after = (
            (AROUND_SEASON, AROUND_SEASON) if entry.kind in _SEASON_KINDS else (YEAR_BEFORE, YEARS_AFTER)
        )
        if not known.opens - before <= entry.day <= known.closes + after:
            yield (
                number,
                problem(
                    "day-outside",
                    on_typed_day=entry.day,
                    opens_typed_day=known.opens,
                    closes_typed_day=known.closes,
                ),
            )
        working = known.working.get(str(drill))
        if entry.kind == "rain" and working is not None and entry.day not in working:
            yield number, problem("rain-no-work", drill=str(drill), on_typed_day=entry.day)
        if entry.kind == "confirm" and working is not None:
            days = {
                *entry.facts.get("days", ()),
                *([entry.facts["first"]] if "first" in entry.facts else []),
            }
            for first in sorted(days - working):
                yield number, problem("first-no-work", drill=str(drill), first_typed_day=first)
        yield from _against_the_card(entry, known)


def _against_the_card(entry: Entry, known: Known) -> Iterator[Found]:
    """Facts that the rate card does not ask for, values it does not know, a currency not its own."""
    for name, value in entry.facts.get("bill", {}).items():
        values = known.bill_facts.get(name.casefold())
        if values is None:
            yield entry.number, problem("bill-unknown", fact=name, facts=tuple(known.bill_facts))
        elif value.casefold() not in values:
            yield (
                entry.number,
                problem("bill-unknown/value", fact=name, given=value, known=tuple(sorted(values))),
            )
    for name in ("sum", "cost"):
        sign = "".join(c for c in entry.typed.get(name, "") if not c.isdigit() and c not in " .,+-−")
        if known.currency and sign not in ("", known.currency):
            yield entry.number, problem("other-currency", fact=name, given=sign, currency=known.currency)


def _duplicates(entries: Sequence[Entry]) -> Iterator[Found]:
    """The same entry twice."""
    seen: dict[tuple[object, ...], Entry] = {}
    for entry in entries:
        key = (entry.kind, *sorted((name, str(value)) for name, value in entry.facts.items()))
        if key in seen:
            yield entry.number, problem("entry-twice", row=row_of(seen[key]))
        seen.setdefault(key, entry)


def _lots(entries: Sequence[Entry]) -> Iterator[Found]:
    """A lot has one tag, so one species, test, purity and germination; its shares add up to 100 % at most."""
    first: dict[tuple[str, str], Entry] = {}
    for entry in entries:
        if entry.kind != "seed":
            continue
        lot = str(entry.facts["lot"])
        live = entry.facts.get("germination", 0.0) + entry.facts.get("dormant", 0.0)
        if live > 1 + _SHARE_ROUNDING:
            yield entry.number, problem("tag-over")
        if entry.facts.get("tested", entry.day) > entry.day:
            yield entry.number, problem("tested-after", lot=lot, tested_typed_day=entry.facts["tested"])
        for name in ("species", "purity", "germination", "dormant", "tested", "origin", "treated"):
            other = entry.facts.get(name)
            if other is None:
                continue
            before = first.setdefault((lot.casefold(), name), entry)
            if str(before.facts[name]).casefold() != str(other).casefold():
                here, there = entry.typed[name], before.typed[name]
                yield (
                    entry.number,
                    problem("lot-differs", lot=lot, fact=name, here=here, there=there, row=row_of(before)),
                )


def _refused(entries: Sequence[Entry]) -> Iterator[Found]:
    """Nobody is turned away after getting a drill. Someone turned away may still get one later."""
    for refused in (entry for entry in entries if entry.kind == "refused"):
        out = next(
            (
                entry
                for entry in entries
                if entry.request == refused.request and entry.kind == "out" and entry.day <= refused.day
            ),
            None,
        )
        if out:
            later, before = (refused, out) if refused.number > out.number else (out, refused)
            yield (
                later.number,
                problem(
                    "refused-and-served",
                    request=refused.request,
                    out_typed_day=out.day,
                    refused_typed_day=refused.day,
                    row=row_of(before),
                ),
            )


def _deposits(entries: Sequence[Entry]) -> Iterator[Found]:
    """No more of a deposit is returned than was taken."""
    deposits: dict[str, Decimal] = {}
    for entry in entries:
        if entry.kind == "deposit":
            deposits[entry.request] = deposits.get(entry.request, Decimal(0)) + entry.facts["sum"]
            if deposits[entry.request] < 0:
                yield entry.number, problem("deposit-below", request=entry.request)
