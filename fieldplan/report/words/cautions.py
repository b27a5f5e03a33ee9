"""Cautions of the table that hold in a case, as sentences for pages on which a whole set-up card finds no room."""

from __future__ import annotations

from fieldplan.report.words.plain import plain
from fieldplan.tables import read as tables


def cautions(when: str) -> list[str]:
    """The cautions of a case of the table, such as "treated" or "backing"."""
    return [plain(row["text"]) for row in tables.rows("cautions") if row["when"] == when]
