"""Ledgers of one request, R1, written in a line or two."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from fieldplan.model.records import Entry, Fresh
from fieldplan.model.request import Request
from fieldplan.records.kinds import facts_of


def entries_of(typed: Iterable[tuple[str, Mapping[str, str]]]) -> list[Entry]:
    """Entries numbered in their order, of kinds and facts as typed; one may say which it ``corrects``."""
    entries = []
    for number, (kind, words) in enumerate(typed, start=1):
        facts = {name: text for name, text in words.items() if name != "corrects"}
        corrects = int(words["corrects"]) if "corrects" in words else None
        fresh = Fresh(kind=kind, typed=facts, corrects=corrects)
        entries.append(
            Entry(
                number=number,
                entered="",
                kind=kind,
                typed=facts,
                corrects=corrects,
                facts=facts_of(fresh),
            )
        )
    return entries


def request_of(day: date, facts: Mapping[str, str]) -> Request:
    """R1, for one day and with facts of the list of requests."""
    return Request(
        row=2,
        request_id="R1",
        renter="x",
        ready=day,
        until=day,
        asked=None,
        fields=None,
        ground_m2=1.0,
        place_lonlat=(0.0, 0.0),
        mix=None,
        pto_power_w=None,
        facts=facts,
    )
