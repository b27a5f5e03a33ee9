"""Which limits on the age of a seed test a job file names."""

from __future__ import annotations

from pathlib import Path

from fieldplan.jobfile.check import Checker, Placed, made, only_table
from fieldplan.model.seed_law import SeedLaw


def seed_law_of(given: list[Placed], booked_in: str, path: Path, checker: Checker) -> SeedLaw | None:
    """Return what ``[seed_law]`` says; ``None`` if it cannot be used.

    Parameters
    ----------
    given
        The tables under that heading.
    booked_in
        The state of the fields, from ``[booking]``, where the table names none.
    path, checker
        The job file, and what takes problems.
    """
    table, source = only_table(given, "seed_law", path, checker) or ({}, path)
    before = len(checker.problems)
    v = checker.values("seed_law", table, source, "seed_law")
    if len(checker.problems) > before:
        return None
    return made(
        checker,
        {"file": str(source), "about": "[seed_law]"},
        lambda: SeedLaw(
            state=v.get("state", booked_in),
            from_state=v.get("from_state", ""),
            max_months=v.get("test_limit_months"),
            source=v.get("test_limit_source", ""),
        ),
    )
