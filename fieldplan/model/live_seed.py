"""How much live seed a rate stands for, in whichever form it was given."""

from __future__ import annotations

from typing import assert_never

from fieldplan.model.seed import Rate


def live_kg_per_m2(
    rate: Rate, pls_frac: float, seeds_per_kg: float | None, full_rate_kg_per_m2: float | None
) -> float | None:
    """Pure live seed on a square metre; ``None`` where the figure that it takes is not known.

    From live seeds: seeds per m² / seeds per kg. From a share of a full stand: share × the full stand's
    rate.

    Parameters
    ----------
    pls_frac
        Pure live seed of the lot: purity × (germination + hard + dormant).
    full_rate_kg_per_m2
        Pure live seed of a full stand.
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
