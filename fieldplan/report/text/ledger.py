"""The ledger for the terminal: one line an entry, with corrected and struck rows marked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fieldplan.model.records import Entry
from fieldplan.report.text.table import paragraph
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.plain import plain

_EMPTY = "The ledger has no entries."
_RECKONED = ("promise", "road")
"""Facts that a plan reckons with, and nobody reads."""


def ledger_page(entries: Sequence[Entry], renters: Mapping[str, str], seal: str = "") -> str:
    """Every entry by number: the day, what happened, the request, and its facts as typed.

    Parameters
    ----------
    renters
        Renters by request id, as far as the list of requests still has them.
    seal
        The seal of the ledger.
    """
    later = {entry.corrects: entry for entry in entries if entry.corrects}
    lines = [
        line
        for entry in entries
        for line in paragraph(
            _facts_text(entry, later.get(entry.number), renters), bullet=f"{entry.number:>5}  ", indent=0
        )
    ]
    if not lines:
        return f"{_EMPTY}\n"
    sealed = [f"Seal of the ledger: {seal}"] if seal else []
    return "\n".join(["  row  what happened, as typed", *lines, *sealed]) + "\n"


def seals_page(path: str, seal: str, n_entries: int, found: Sequence[tuple[str, int]]) -> str:
    """What a check of the ledger found; see `seals_object`.

    Parameters
    ----------
    path
        The ledger.
    """
    lines = [plain(path)]
    for printed, since in found:
        came = f"{counted(since, 'entry', 'entries')} came since" if since else "none came since"
        lines += paragraph(
            f"Seal {plain(printed)} holds: {counted(n_entries - since, 'entry', 'entries')} as when it was printed; {came}.",
            indent=0,
        )
    lines += paragraph(
        f"{counted(n_entries, 'entry', 'entries')}, each sealed with the one before. Seal now: {seal}."
        if seal
        else _EMPTY,
        indent=0,
    )
    if not found:
        lines += paragraph(
            "Entries cut off at the end show only against the seal of a printed paper: --seal.", indent=0
        )
    return "\n".join(lines) + "\n"


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
