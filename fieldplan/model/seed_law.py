"""What limits the age of a seed test: the states concerned, or a limit that the job file sets."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.model.checks import require, require_between


@dataclass(frozen=True, slots=True, kw_only=True)
class SeedLaw:
    """Where seed is bought and sown, and a limit of one's own.

    Parameters
    ----------
    state
        The state where the seed is sold and sown; empty if it is not known.
    from_state
        The state that it comes from, if that is another one.
    max_months
        Most months from the month of the test to the sale, that month not counted; ``None`` for the state's.
    source
        Where that limit stands, with its year.
    """

    state: str = ""
    from_state: str = ""
    max_months: int | None = None
    source: str = ""

    def __post_init__(self) -> None:
        """Check ranges, and that a limit comes with its source."""
        if self.max_months is not None:
            require_between("test_limit_months", self.max_months, 1, 60, example="12")
            require(bool(self.source), "test-limit-source", key="test_limit_source")
