"""What cannot all be true: entries against each other, against the list of requests, the drills and the
season.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal

from fieldplan.errors import InputError, Problem, problem
from fieldplan.facts import Fact, Value, fact
from fieldplan.model.records import Entry
from fieldplan.records.current_entries import current_entries, misdirected
from fieldplan.records.meters import (
    Found,
    meter_backwards,
    one_renter_at_a_time,
    row_of,
    sown_on_a_lost_day,
    sown_over_the_meter,
    sown_without_a_drill,
)

AROUND_SEASON = timedelta(days=31)
"""A drill may go out so long before the season, and come back so long after it."""
YEAR_BEFORE, YEARS_AFTER = timedelta(days=366), timedelta(days=3660)
"""Nothing of a season comes longer before it, and no payment or repair longer after it."""
_SHARE_ROUNDING = 1e-9
_SEASON_KINDS = ("out", "sown", "in")


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What entries are held against.

    Requests by id, drills by name, the season's first and last day, the fields of each request where they
    are known, the working days of each drill, the facts that the rate card asks for with the values it
    knows, all in small letters, and its currency. Without a rate card there are no facts, and no currency.
    """

    requests: frozenset[str]
    drills: frozenset[str]
    opens: date
    closes: date
    fields: Mapping[str, frozenset[str]]
    working: Mapping[str, frozenset[date]]
    bill_facts: Mapping[str, frozenset[str]]
    currency: str = ""


def refuse_conflicts(
    there: Sequence[Entry], new: Sequence[Entry], wheres: Sequence[str], known: Known
) -> None:
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
    before = set(conflicts(there, known))
    names = {entry.number: where for entry, where in zip(new, wheres, strict=True)}
    problems = tuple(
        _named(problem, number, names)
        for number, problem in conflicts([*there, *new], known)
        if (number, problem) not in before
    )
    if problems:
        raise InputError(problems)


def _named(problem: Problem, number: int, names: Mapping[int, str]) -> Problem:
    """The problem with the entry that is refused, or the one in the ledger that it would make untrue; new
    entries by where they were typed.
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
    """Everything that cannot be true."""
    holds = current_entries(entries)
    return [
        *misdirected(entries),
        *_unknown_renters(holds, known),
        *_duplicates(holds),
        *one_renter_at_a_time(holds),
        *meter_backwards(holds),
        *sown_without_a_drill(holds),
        *sown_over_the_meter(holds),
        *_lots(holds),
        *sown_on_a_lost_day(holds),
        *_refused(holds),
        *_deposits(holds),
    ]


def _unknown_renters(entries: Sequence[Entry], known: Known) -> Iterator[Found]:
    """Requests, drills, fields and days that the season does not know."""
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
        if entry.kind == "confirm" and working is not None and entry.facts["first"] not in working:
            yield number, problem("first-no-work", drill=str(drill), first_typed_day=entry.facts["first"])
        yield from _against_the_card(entry, known)


def _against_the_card(entry: Entry, known: Known) -> Iterator[Found]:
    """Facts that the rate card does not ask for, values that it does not know, another currency."""
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
    """The same entry again."""
    seen: dict[tuple[object, ...], Entry] = {}
    for entry in entries:
        key = (entry.kind, *sorted((name, str(value)) for name, value in entry.facts.items()))
        if key in seen:
            yield entry.number, problem("entry-twice", row=row_of(seen[key]))
        seen.setdefault(key, entry)


def _lots(entries: Sequence[Entry]) -> Iterator[Found]:
    """A lot has one tag: one species, one test, one purity and germination; and the shares of a tag fit
    into it.
    """
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
        for name in ("species", "purity", "germination", "dormant", "tested", "origin"):
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
    """Nobody is turned away who has had a drill. Who was turned away may be served after all."""
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
    """No more of a deposit is given back than was taken."""
    held: dict[str, Decimal] = {}
    for entry in entries:
        if entry.kind == "deposit":
            held[entry.request] = held.get(entry.request, Decimal(0)) + entry.facts["sum"]
            if held[entry.request] < 0:
                yield entry.number, problem("deposit-below", request=entry.request)
