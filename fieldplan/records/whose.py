"""Which season a store is of."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from fieldplan.model.rental_program import RentalProgram


@dataclass(frozen=True, slots=True, kw_only=True)
class Whose:
    """The season that a store must be of: its id, its name, and the year of its first day."""

    id: str
    name: str
    year: int
    given: bool

    def holds(self, there: str) -> bool:
        """Whether a store with that mark is of this season.

        Its first day may have been moved within the year since; older ledgers are marked with the name alone.
        """
        moved = there.startswith(f"{self.name} {self.year}-") and not self.given
        return there in (self.id, self.name) or moved


def whose(program: RentalProgram) -> Whose:
    """The season of a program."""
    terms = program.terms
    return Whose(id=terms.id, name=terms.name, year=terms.opens.year, given=bool(terms.season_id))


def ledger_path_of(season_path: Path, ledger_path: Path | None) -> Path:
    """The store that was named, or the one beside the season's file."""
    return ledger_path or season_path.with_suffix(".ledger")
