"""What is said of a season's proof."""

from __future__ import annotations

from fieldplan.model.season import Proof
from fieldplan.report.words.proven import proven_lines
from fieldplan.report.words.quantities import Quantities

METRIC = Quantities("metric")


def _lines(waiting: int, waiting_bound: int, tow_m: float, tow_bound_m: float) -> list[str]:
    proof = Proof(
        served_proven=True,
        waiting_days=waiting,
        waiting_bound_days=waiting_bound,
        tow_m=tow_m,
        tow_bound_m=tow_bound_m,
    )
    return list(proven_lines(proof, METRIC))


def test_bounds_that_are_reached_are_proofs() -> None:
    """Nothing is left to find."""
    assert _lines(12, 12, 80_000.0, 80_000.0) == [
        "12 days of waiting in all, proven the fewest for those served.",
        "80.0 km of towing, home to home, proven the least.",
    ]


def test_what_is_not_proven_says_how_far_off_it_may_be() -> None:
    """431 is 0.94 % above 427 and 88 is 10 % above 80: percent are rounded up, never down."""
    waiting, towing = _lines(431, 427, 88_000.0, 80_000.0)
    assert "not proven the fewest" in waiting
    assert "fewer than 427, so this is at most 1 % too many" in waiting
    assert "less than 80.0 km" in towing


def test_without_a_bound_it_says_so() -> None:
    """A bound of 0 is none."""
    waiting, towing = _lines(431, 0, 88_000.0, 0.0)
    assert (
        waiting == "431 days of waiting in all. How many fewer would do is not known: no bound was found."
    )
    assert towing.endswith("How much less would do is not known: no bound was found.")
