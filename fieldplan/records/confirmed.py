"""Bookings that renters have said yes to, as a season's ledger has them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from fieldplan.files import is_there
from fieldplan.model.season import Confirmed, RentalProgram, Request
from fieldplan.records.accounts import accounts_of
from fieldplan.records.current_entries import current_entries
from fieldplan.records.ledger import LEDGER_FILE, entries_of


def confirmed_in(
    season_path: Path, ledger_path: Path | None, program: RentalProgram, requests: Sequence[Request]
) -> dict[str, Confirmed]:
    """Bookings that renters have said yes to, by request; none if no ledger was named and there is none
    beside the season's file.
    """
    path = ledger_path_of(season_path, ledger_path)
    if ledger_path is None and not is_there(path, LEDGER_FILE):
        return {}
    accounts = accounts_of(current_entries(entries_of(path, season_of(program))), requests)
    return {one.request.request_id: one.confirmed for one in accounts if one.confirmed and not one.refused}


def ledger_path_of(season_path: Path, ledger_path: Path | None) -> Path:
    """The ledger that was named, or the one beside the season's file."""
    return ledger_path or season_path.with_suffix(".ledger")


def season_of(program: RentalProgram) -> str:
    """What a ledger is of: the season by its name. Its days may still be moved."""
    return program.terms.name
