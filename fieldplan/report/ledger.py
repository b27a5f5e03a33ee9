"""The ledger as it reads: a line an entry, what was put right or struck marked so."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from fieldplan.model.records import Entry
from fieldplan.report.plain import plain
from fieldplan.report.table import paragraph
from fieldplan.report.timeline import safe

_FIRST = ("day", "request", "drill")


def ledger_page(entries: Sequence[Entry]) -> str:
    """Every entry by number: what happened, its facts as they were typed."""
    lines = [line for entry in entries for line in paragraph(_said(entry, entries), bullet=f"{entry.number:>4}  ", indent=0)]
    return "\n".join(lines or ["The ledger holds no entry."]) + "\n"


def _said(entry: Entry, entries: Sequence[Entry]) -> str:
    typed = entry.typed
    head = " ".join(typed[name] for name in _FIRST if name in typed)
    rest = "; ".join(f"{name} {value}" for name, value in typed.items() if name not in _FIRST)
    after = next(
        (
            f" (row {one.number} {'strikes this' if one.kind == 'strike' else 'puts this right'})"
            for one in entries
            if one.corrects == entry.number
        ),
        "",
    )
    corrects = (
        f" row {entry.corrects}" if entry.kind == "strike" else f" (puts row {entry.corrects} right)" if entry.corrects else ""
    )
    return f"{entry.kind}{corrects}: {head}{'; ' if rest else ''}{rest}{after}"


def ledger_csv(entries: Sequence[Entry]) -> str:
    """One row an entry, a column for each fact that is used."""
    names = list(dict.fromkeys(name for entry in entries for name in entry.typed))
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(("number", "entered", "kind", "corrects", *names))
    for entry in entries:
        cells = (entry.kind, str(entry.corrects or ""), *(entry.typed.get(name, "") for name in names))
        rows.writerow((entry.number, entry.entered, *(safe(plain(cell)) for cell in cells)))
    return out.getvalue()


def ledger_object(entries: Sequence[Entry]) -> dict[str, object]:
    """All entries as nested dicts, facts as they were typed."""
    return {
        "schema": "fieldplan/ledger/1",
        "entries": [
            {"number": one.number, "entered": one.entered, "kind": one.kind, "facts": dict(one.typed), "corrects": one.corrects} for one in entries
        ],
    }  # fmt: skip
