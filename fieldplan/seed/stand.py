"""How thick a stand a mix sows in all: live seeds on a square meter, and the sum of shares of a full stand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from fieldplan.facts import Value, fact
from fieldplan.model.notes import Note
from fieldplan.model.seed import Mix
from fieldplan.seed.budget import pls_kg_per_m2
from fieldplan.tables import read as tables
from fieldplan.tables.seed_sizes import seeds_per_kg_of

OVER_FULL_FRAC = 1.005
"""Shares of a full stand that add up to more are said to be over one (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """What a mix sows in all.

    Parameters
    ----------
    seeds_per_m2
        Live seeds of all lots whose seed size is known.
    unsized
        Species whose seeds per pound neither the tag nor the species table gives.
    shares
        For each lot whose rate is a share of a full stand, that share.
    """

    seeds_per_m2: float
    unsized: tuple[str, ...]
    shares: tuple[float, ...]


def stand_of(mix: Mix) -> Stand:
    """Live seeds in all and the sum of shares of a full stand, of a mix."""
    seeds, unsized = 0.0, []
    for component in mix.components:
        size = seeds_per_kg_of(component)
        if size is None:
            unsized.append(component.species)
        else:
            seeds += pls_kg_per_m2(component) * size
    return Stand(
        seeds_per_m2=seeds,
        unsized=tuple(unsized),
        shares=tuple(part.rate.value for part in mix.components if part.rate.basis == "stand"),
    )


def conventions_seeds_per_m2() -> tuple[float, float, str]:
    """Live seeds of a published full seeding rate by either convention, and the key of the source."""
    return tables.machinery_range("live seeds of a full seeding rate by two conventions", "seeds/m2")


def stand_notes(mix: Mix) -> Iterator[Note]:
    """How many live seeds a mix sows in all, by which conventions full stands are counted, and shares in all."""
    stand = stand_of(mix)
    low, high, source = conventions_seeds_per_m2()
    if stand.seeds_per_m2 > 0:
        values: dict[str, Value] = {
            "mix": mix.name,
            "sown_seeds_per_m2": stand.seeds_per_m2,
            "low_seeds_per_m2": low,
            "high_seeds_per_m2": high,
            "unsized": stand.unsized,
        }
        yield Note(code="stand-seeds", values=values, sources=(source,))
    if stand.shares:
        whole = sum(stand.shares)
        over = whole > OVER_FULL_FRAC
        yield Note(
            code="stand-shares",
            case="over" if over else "",
            warning=over,
            values={
                "mix": mix.name,
                "shares": tuple(fact("stand-share", share_typed_frac=share) for share in stand.shares),
                "whole_typed_frac": whole,
            },
        )
