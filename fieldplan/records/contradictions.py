"""What cannot all be true: entries against each other, against the list of requests, the drills and the season."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from fieldplan.errors import InputError, Problem
from fieldplan.model.records import Entry
from fieldplan.records.meters import (
    Found,
    found,
    meter_backwards,
    one_renter_at_a_time,
    sown_on_a_lost_day,
    sown_over_the_meter,
    sown_without_a_drill,
)
from fieldplan.records.standing import misdirected, standing

AROUND_SEASON = timedelta(days=31)
"""A drill may go out so long before the season, and come back so long after it."""
YEAR_BEFORE, YEARS_AFTER = timedelta(days=366), timedelta(days=3660)
"""Nothing of a season comes longer before it, and no payment or repair longer after it."""
_SHARE_ROUNDING = 1e-9
_SEASON_KINDS = ("out", "sown", "in")
_ROW = re.compile(r"(?<=[( ])row (\d+)(?=\)|\.$| and row)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What entries are held against.

    Requests by id, drills by name, the season's first and last day, the fields of each request where they are known, the working days of
    each drill, the facts that the rate card asks for with the values it knows, all in small letters, and its currency. Without a rate
    card there are no facts, and no currency.
    """

    requests: frozenset[str]
    drills: frozenset[str]
    opens: date
    closes: date
    fields: Mapping[str, frozenset[str]]
    working: Mapping[str, frozenset[date]]
    bill_facts: Mapping[str, frozenset[str]]
    currency: str = ""


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
    before = set(contradictions(there, known))
    names = {entry.number: where for entry, where in zip(new, wheres, strict=True)}
    problems = tuple(
        Problem(
            code=problem.code,
            told=_where(number, names) + _ROW.sub(lambda row: names.get(int(row[1]), row[0]), problem.text),
            told_hint=problem.hint,
        )
        for number, problem in contradictions([*there, *new], known)
        if (number, problem) not in before
    )
    if problems:
        raise InputError(problems)


def _where(number: int, names: Mapping[int, str]) -> str:
    """The entry that is refused, or the one in the ledger that it would make untrue."""
    return f"{names[number]}: " if number in names else f"row {number} of the ledger could not be true then: "


def contradictions(entries: Sequence[Entry], known: Known) -> list[Found]:
    """Everything that cannot be true."""
    holds = standing(entries)
    return [
        *misdirected(entries), *_strangers(holds, known), *_twice(holds), *one_renter_at_a_time(holds), *meter_backwards(holds), *sown_without_a_drill(holds), *sown_over_the_meter(holds),
        *_lots(holds), *sown_on_a_lost_day(holds), *_refused(holds), *_deposits(holds),
    ]  # fmt: skip


def _strangers(entries: Sequence[Entry], known: Known) -> Iterator[Found]:
    """Requests, drills, fields and days that the season does not know."""
    for entry in entries:
        request, drill, field = entry.request, entry.facts.get("drill"), entry.facts.get("field")
        if request and request not in known.requests:
            yield found(entry, "request-unknown", f'no request is called "{request}".', "its id in the list of requests")
        if drill and drill not in known.drills:
            yield found(entry, "drill-unknown", f'no drill is called "{drill}".', f"one of: {', '.join(sorted(known.drills))}")
        fields = known.fields.get(request)
        if field and fields and field not in fields:
            yield found(entry, "field-unknown", f'{request} has no field "{field}".', f"one of: {', '.join(sorted(fields))}")
        before, after = (AROUND_SEASON, AROUND_SEASON) if entry.kind in _SEASON_KINDS else (YEAR_BEFORE, YEARS_AFTER)
        if not known.opens - before <= entry.day <= known.closes + after:
            yield found(
                entry,
                "day-outside",
                f"{entry.day} lies outside the season.",
                f"{known.opens} to {known.closes}, a month around it for a drill to go out and come back, years after it for payments",
            )
        if entry.kind == "rain" and drill in known.working and entry.day not in known.working[str(drill)]:
            yield found(
                entry,
                "rain-no-work",
                f"{drill} does not work on {entry.day}, so that day cannot be lost to weather.",
                "a working day of the season",
            )
        if entry.kind == "confirm" and drill in known.working and entry.facts["first"] not in known.working[str(drill)]:
            yield found(
                entry,
                "first-no-work",
                f"{drill} does not work on {entry.facts['first']}.",
                "the first day booked: a working day of the season",
            )
        yield from _against_the_card(entry, known)


def _against_the_card(entry: Entry, known: Known) -> Iterator[Found]:
    """Facts that the rate card does not ask for, values that it does not know, another currency."""
    for name, value in entry.facts.get("bill", {}).items():
        values = known.bill_facts.get(name.casefold())
        if values is None:
            yield found(
                entry,
                "bill-unknown",
                f"the rate card does not ask for {name}.",
                f"it asks for: {', '.join(known.bill_facts) or 'nothing'}",
            )
        elif value.casefold() not in values:
            yield found(
                entry, "bill-unknown", f'the rate card knows no {name} "{value}".', f"one of: {', '.join(sorted(values))}"
            )
    for name in ("sum", "cost"):
        sign = "".join(c for c in entry.typed.get(name, "") if not c.isdigit() and c not in " .,+-−")
        if known.currency and sign not in ("", known.currency):
            yield found(
                entry, "other-currency", f"{name} is in {sign}, the rate card in {known.currency}.", f"a sum in {known.currency}"
            )


def _twice(entries: Sequence[Entry]) -> Iterator[Found]:
    """The same entry again."""
    seen: dict[tuple[object, ...], Entry] = {}
    for entry in entries:
        key = (entry.kind, *sorted((name, str(value)) for name, value in entry.facts.items()))
        if key in seen:
            yield found(
                entry,
                "entry-twice",
                f"says the same as row {seen[key].number}.",
                'if it happened twice, add a note, such as note="second time"',
            )
        seen.setdefault(key, entry)


def _lots(entries: Sequence[Entry]) -> Iterator[Found]:
    """A lot has one tag: one species, one test, one purity and germination; and the shares of a tag fit into it."""
    first: dict[tuple[str, str], Entry] = {}
    for entry in entries:
        if entry.kind != "seed":
            continue
        live = entry.facts.get("germination", 0.0) + entry.facts.get("dormant", 0.0)
        if live > 1 + _SHARE_ROUNDING:
            yield found(
                entry,
                "tag-over",
                "germination and dormant add up to more than 100 %.",
                "both as the tag shows them, each of the pure seed",
            )
        if entry.facts.get("tested", entry.day) > entry.day:
            yield found(
                entry,
                "tested-after",
                f"lot {entry.facts['lot']} was tested on {entry.facts['tested']}, after it was sown.",
                "both days as the papers show them",
            )
        for name in ("species", "purity", "germination", "dormant", "tested", "origin"):
            other = entry.facts.get(name)
            if other is None:
                continue
            before = first.setdefault((str(entry.facts["lot"]).casefold(), name), entry)
            if str(before.facts[name]).casefold() != str(other).casefold():
                yield found(
                    entry, "lot-differs",
                    f"lot {entry.facts['lot']} has {name} {entry.typed[name]} here and {before.typed[name]} elsewhere (row {before.number}).",
                    "a lot has one tag: put right the one that was misread",
                )  # fmt: skip


def _refused(entries: Sequence[Entry]) -> Iterator[Found]:
    """Nobody is turned away who has had a drill. Who was turned away may be served after all."""
    for refused in (entry for entry in entries if entry.kind == "refused"):
        out = next(
            (one for one in entries if one.request == refused.request and one.kind == "out" and one.day <= refused.day), None
        )
        if out:
            later, before = (refused, out) if refused.number > out.number else (out, refused)
            yield found(
                later, "refused-and-served", f"{refused.request} went out on {out.day} and was turned away on {refused.day} (row {before.number}).",
                "strike the one that does not hold",
            )  # fmt: skip


def _deposits(entries: Sequence[Entry]) -> Iterator[Found]:
    """No more of a deposit is given back than was taken."""
    held: dict[str, Decimal] = {}
    for entry in entries:
        if entry.kind == "deposit":
            held[entry.request] = held.get(entry.request, Decimal(0)) + entry.facts["sum"]
            if held[entry.request] < 0:
                yield found(
                    entry,
                    "deposit-below",
                    f"more of {entry.request}'s deposit would be given back than was taken.",
                    'a payment back of rent is an entry "paid"',
                )
