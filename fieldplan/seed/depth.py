"""How deep to sow a mix: no deeper than its shallowest species allows, in notches of the depth stop."""

from __future__ import annotations

import math

from fieldplan.model.seed import Depth, Mix
from fieldplan.tables.species import species_figure

_ROUNDING = 1e-9


def depths_of(mix: Mix) -> tuple[tuple[Depth, ...], tuple[str, ...]]:
    """The published depths of a mix, shallowest first, and the species whose depth is not known.

    The depths come from ``tables/species.csv``, each with its source.
    """
    known, unknown = [], []
    for species in dict.fromkeys(component.species for component in mix.components):
        figure = species_figure(species, "depth")
        if figure is None:
            unknown.append(species)
        else:
            known.append(
                Depth(
                    species=species,
                    min_m=figure.low,
                    max_m=figure.high,
                    source=", ".join(figure.sources),
                )
            )
    return tuple(sorted(known, key=lambda depth: (depth.max_m, depth.min_m))), tuple(unknown)


def notches(depth_m: float, notch_depth_m: float) -> int:
    """The most stop notches that do not go deeper than a depth: floor(depth / depth of a notch).

    Examples
    --------
    >>> notches(0.0254, 0.00635)
    4
    """
    return math.floor(depth_m / notch_depth_m + _ROUNDING)
