"""The ledger as CSV and as JSON."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from fieldplan.model.records import Entry
from fieldplan.report.words.plain import plain, safe


def ledger_csv(entries: Sequence[Entry]) -> str:
    """The ledger as CSV: a row for each entry, a column for each fact that any entry has.

    Parameters
    ----------
    entries
        Entries in the order of the ledger.
    """
    names = list(dict.fromkeys(name for entry in entries for name in entry.typed))
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(("number", "entered", "kind", "corrects", *names))
    for entry in entries:
        cells = (entry.kind, str(entry.corrects or ""), *(entry.typed.get(name, "") for name in names))
        rows.writerow((entry.number, entry.entered, *(safe(plain(cell)) for cell in cells)))
    return out.getvalue()


def ledger_object(entries: Sequence[Entry]) -> dict[str, object]:
    """All entries as nested dicts, with the facts as they were typed."""
    return {
        "schema": "fieldplan/ledger/1",
        "entries": [
            {
                "number": entry.number,
                "entered": entry.entered,
                "kind": entry.kind,
                "facts": dict(entry.typed),
                "corrects": entry.corrects,
            }
            for entry in entries
        ],
    }


def seals_object(seal: str, n_entries: int, found: Sequence[tuple[str, int]]) -> dict[str, object]:
    """What a check of the ledger found: its seal of now, and for each printed seal how many entries came since.

    Parameters
    ----------
    found
        Printed seals, all of which hold.
    """
    return {
        "schema": "fieldplan/ledger-check/1",
        "seal": seal,
        "entries": n_entries,
        "printed": [{"seal": printed, "holds": True, "entries_since": since} for printed, since in found],
    }
