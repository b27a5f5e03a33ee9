"""How deep to sow a mix: each box by its finest species, the drill by the box that is to be sown shallowest."""

from __future__ import annotations

import math

from fieldplan.model.depth import BoxDepth, Depth
from fieldplan.model.machine import Drill, SeedBox
from fieldplan.model.seed import Component, Mix
from fieldplan.seed.placement import lands_on
from fieldplan.tables import read as tables
from fieldplan.tables.seed_sizes import seeds_per_kg_of
from fieldplan.tables.species import placement, species_figure
from fieldplan.units import POUND_KG

_ROUNDING = 1e-9


def depths_of(mix: Mix) -> tuple[tuple[Depth, ...], tuple[str, ...]]:
    """The published depths of a mix, shallowest first, and the species whose depth is not known.

    The depths come from ``tables/species.csv``, each with its source.
    """
    known, unknown = [], []
    for species in dict.fromkeys(component.species for component in mix.components):
        depth = _depth(species)
        if depth is None:
            unknown.append(species)
        else:
            known.append(depth)
    return tuple(sorted(known, key=lambda depth: (depth.max_m, depth.min_m))), tuple(unknown)


def _depth(species: str) -> Depth | None:
    figure = species_figure(species, "depth")
    if figure is None:
        return None
    return Depth(species=species, min_m=figure.low, max_m=figure.high, source=", ".join(figure.sources))


def seeds_per_lb(component: Component) -> float | None:
    """Seeds per pound of a lot, by its tag or the species table; ``None`` if neither tells."""
    size = seeds_per_kg_of(component)
    return None if size is None else size * POUND_KG


def box_depths(mix: Mix, drill: Drill) -> tuple[BoxDepth, ...]:
    """The depth of each box that a mix uses, by its finest species, and what is to be asked for.

    The box is set no deeper than its shallowest species allows. Where its finest species is fine seed, it is
    set to the shallow end of what is published for that species, if that is less. Without a published depth
    of the finest species there is none for the box.
    """
    return tuple(
        _of_box(box, components)
        for box in drill.boxes
        if (components := [component for component in mix.components if component.box == box.name])
    )


def _of_box(box: SeedBox, components: list[Component]) -> BoxDepth:
    sizes = {component.species: size for component in components if (size := seeds_per_lb(component))}
    depths = {component.species: depth for component in components if (depth := _depth(component.species))}
    asked = tuple(
        species
        for species in dict.fromkeys(component.species for component in components)
        if species not in depths and (placement(species) or ("", ()))[0] != "surface"
    )
    finest = max(sizes, key=lambda species: sizes[species], default="")
    if not sizes and len(depths) == 1:
        finest = next(iter(depths))
    fine_from, _ = tables.machinery_figure("seeds a pound of fine seed", "1/lb")
    is_fine = sizes.get(finest, 0.0) >= fine_from
    limit = min(depths.values(), key=lambda depth: depth.max_m, default=None)
    depth_m = None
    if finest in depths and limit is not None:
        depth_m = min(limit.max_m, depths[finest].min_m) if is_fine else limit.max_m
    return BoxDepth(
        box=box.name,
        finest=finest,
        seeds_per_kg=sizes[finest] / POUND_KG if finest in sizes else None,
        fine=is_fine,
        depth_m=depth_m,
        limit=limit,
        asked=asked,
        on_surface=lands_on(box) == "surface",
        sources=tuple(key for key in depths[finest].source.split(", ")) if finest in depths else (),
    )


def setting_of(boxes: tuple[BoxDepth, ...]) -> BoxDepth | None:
    """The box that sets the depth of the openers: the shallowest of those whose seed they cover.

    A box whose finest species has no published depth counts by its other species. ``None`` if no depth of all
    these is known.
    """
    covered = [(box.most_m, box) for box in boxes if not box.on_surface and box.most_m is not None]
    return min(covered, key=lambda one: one[0], default=(0.0, None))[1]


def notches(depth_m: float, notch_depth_m: float) -> int:
    """The most stop notches that do not go deeper than a depth: floor(depth / depth of a notch).

    Examples
    --------
    >>> notches(0.0254, 0.00635)
    4
    """
    return math.floor(depth_m / notch_depth_m + _ROUNDING)
