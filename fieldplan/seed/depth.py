"""How deep to sow a mix: as deep as the species that stands the least, in stop notches of the drill."""

from __future__ import annotations

import math

from fieldplan.model.seed import Depth, Mix
from fieldplan.tables import read as tables

_ROUNDING = 1e-9


def depths_of(mix: Mix) -> tuple[tuple[Depth, ...], tuple[str, ...]]:
    """The depths that are known, shallowest first, and the species whose depth the table lacks."""
    known, lacking = [], []
    for species in dict.fromkeys(component.species for component in mix.components):
        figure = tables.species_figure(species, "depth")
        if figure is None:
            lacking.append(species)
        else:
            known.append(
                Depth(
                    species=species,
                    min_m=figure.low,
                    max_m=figure.high,
                    source=", ".join(figure.sources),
                )
            )
    return tuple(sorted(known, key=lambda one: (one.max_m, one.min_m))), tuple(lacking)


def notches(depth_m: float, notch_depth_m: float) -> int:
    """Stop notches that do not go deeper than a depth."""
    return math.floor(depth_m / notch_depth_m + _ROUNDING)
