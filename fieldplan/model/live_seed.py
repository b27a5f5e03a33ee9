"""Pure live seed of a rate, whatever form it was given in."""

from __future__ import annotations

from typing import assert_never

from fieldplan.model.seed import Rate


def live_kg_per_m2(
    rate: Rate, pls_frac: float, seeds_per_kg: float | None, full_rate_kg_per_m2: float | None
) -> float | None:
    """Pure live seed on a square meter, in kg/m².

    PLS rate: as it is. Bulk rate: bulk × PLS share. Live seeds: seeds per m² / seeds per kg. Share of the
    full seeding rate: share × full rate.

    Parameters
    ----------
    pls_frac
        Share of pure live seed in the lot: purity × (germination + hard + dormant).
    full_rate_kg_per_m2
        Full seeding rate in pure live seed.

    Returns
    -------
    float or None
        ``None`` if the seeds per kg or the full rate that the form needs is not known.

    Examples
    --------
    >>> round(live_kg_per_m2(Rate(value=0.01, basis="bulk"), 0.9, None, None), 6)
    0.009
    """
    match rate.basis:
        case "pls":
            return rate.value
        case "bulk":
            return rate.value * pls_frac
        case "live seeds":
            return rate.value / seeds_per_kg if seeds_per_kg else None
        case "stand":
            return rate.value * full_rate_kg_per_m2 if full_rate_kg_per_m2 is not None else None
    assert_never(rate.basis)
