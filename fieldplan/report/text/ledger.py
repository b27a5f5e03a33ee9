"""The ledger for the terminal: one line an entry, with corrected and struck rows marked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fieldplan.model.records import Entry
from fieldplan.report.text.table import paragraph

_RECKONED = ("promise", "road")
"""Facts that a plan reckons with, and nobody reads."""


def ledger_page(entries: Sequence[Entry], renters: Mapping[str, str]) -> str:
    """Every entry by number: the day, what happened, the request, and its facts as typed.

    Parameters
    ----------
    renters
        Renters by request id, as far as the list of requests still has them.
    """
    later = {entry.corrects: entry for entry in entries if entry.corrects}
    lines = [
        line
        for entry in entries
        for line in paragraph(
            _facts_text(entry, later.get(entry.number), renters), bullet=f"{entry.number:>5}  ", indent=0
        )
    ]
    return (
        "\n".join(["  row  what happened, as typed", *lines] if lines else ["The ledger has no entries."])
        + "\n"
    )


def _fact_text(entry: Entry, name: str) -> str:
    """A fact as typed; cells of the list and days booked in short."""
    if name == "cells":
        return (
            "; ".join(f"{column} {cell or '(nothing)'}" for column, cell in entry.facts[name].items())
            or "no cells"
        )
    if name == "days":
        days = entry.facts[name]
        return f"{days[0]} to {days[-1]} ({len(days)} days)" if len(days) > 1 else f"{days[0]}"
    return f"{name} {entry.typed[name]}"


def _facts_text(entry: Entry, later: Entry | None, renters: Mapping[str, str]) -> str:
    typed = entry.typed
    facts = [_fact_text(entry, name) for name in typed if name not in ("day", "request", *_RECKONED)]
    who = (
        f" {entry.request}" + (f" ({renters[entry.request]})" if entry.request in renters else "")
        if entry.request
        else ""
    )
    if entry.kind == "strike":
        who = f" row {entry.corrects}"
    elif entry.corrects:
        facts.append(f"corrects row {entry.corrects}")
    if later:
        facts.append(f"row {later.number} {'strikes this' if later.kind == 'strike' else 'corrects this'}")
    return f"{typed['day']} {entry.kind}{who}: {'; '.join(facts)}"
