"""What cannot all be true: entries against each other, against the list of requests, the drills and the season."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from fieldplan.errors import InputError, Problem
from fieldplan.model.records import Entry
from fieldplan.records.meters import (
    Found,
    found,
    one_renter_at_a_time,
    sown_on_a_lost_day,
    sown_over_the_meter,
    sown_without_a_drill,
)
from fieldplan.records.standing import misdirected, standing

AFTER_SEASON = timedelta(days=31)
"""A drill may come back so long after the season."""
_SHARE_ROUNDING = 1e-9
_SEASON_KINDS = ("out", "sown", "in", "rain")


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
        *misdirected(entries), *_strangers(holds, known), *_twice(holds), *one_renter_at_a_time(holds), *sown_without_a_drill(holds), *sown_over_the_meter(holds),
        *_lots(holds), *sown_on_a_lost_day(holds), *_refused(holds),
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
        if entry.kind in _SEASON_KINDS and not known.opens <= entry.day <= known.closes + AFTER_SEASON:
            yield found(
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
            yield found(
                entry,
                "entry-twice",
                f"says the same as row {seen[key].number}.",
                'if it happened twice, add a note, such as note="second time"',
            )
        seen.setdefault(key, entry)


def _lots(entries: Sequence[Entry]) -> Iterator[Found]:
    """A lot has one tag: one species, one test, one purity and germination; and the shares of a tag fit into it."""
    first: dict[str, Entry] = {}
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
        before = first.setdefault(str(entry.facts["lot"]).casefold(), entry)
        for name in ("species", "purity", "germination", "dormant", "tested", "origin"):
            one, other = before.facts.get(name), entry.facts.get(name)
            if one is not None and other is not None and str(one).casefold() != str(other).casefold():
                yield found(
                    entry, "lot-differs", f"lot {entry.facts['lot']} has {name} {entry.typed[name]} here and {before.typed[name]} in row {before.number}.",
                    "a lot has one tag: put right the one that was misread",
                )  # fmt: skip


def _refused(entries: Sequence[Entry]) -> Iterator[Found]:
    """Nobody who was turned away had a drill."""
    for refused in (entry for entry in entries if entry.kind == "refused"):
        for other in entries:
            if other.request == refused.request and other.kind in ("out", "confirm"):
                later, before = (refused, other) if refused.number > other.number else (other, refused)
                yield found(
                    later, "refused-and-served", f'{refused.request} is "{refused.kind}" and "{other.kind}" (row {before.number}).',
                    "strike the one that does not hold",
                )  # fmt: skip
