"""The ledger for the terminal: one line an entry, with corrected and struck rows marked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fieldplan.model.records import Entry
from fieldplan.report.text.table import paragraph


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


def _facts_text(entry: Entry, later: Entry | None, renters: Mapping[str, str]) -> str:
    typed = entry.typed
    facts = [f"{name} {value}" for name, value in typed.items() if name not in ("day", "request")]
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
