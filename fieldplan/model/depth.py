"""How deep seed goes: what is published of a species, and what that makes for a box."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Depth:
    """Published sowing depth of one species, and the key of its source."""

    species: str
    min_m: float
    max_m: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxDepth:
    """How deep the seed of one box goes.

    Parameters
    ----------
    finest, seeds_per_kg, fine
        Its species with the smallest seed, its count, and whether that counts as fine seed.
    depth_m
        ``None`` where the depth of the finest species is not published.
    limit
        Of its species with a published depth, the one that may lie least deep; ``None`` if there is none.
    asked
        Species of the box whose depth is not published.
    on_surface
        Whether its seed falls on the surface, so that the depth of the openers does not concern it.
    """

    box: str
    finest: str
    seeds_per_kg: float | None
    fine: bool
    depth_m: float | None
    limit: Depth | None
    asked: tuple[str, ...]
    on_surface: bool
    sources: tuple[str, ...]

    @property
    def most_m(self) -> float | None:
        """No deeper than this: its depth, else the limit of the species that have one."""
        return self.depth_m if self.depth_m is not None else self.limit.max_m if self.limit else None

    @property
    def sets_it(self) -> str:
        """The species by which it is no deeper than that."""
        if self.limit is None or (self.depth_m is not None and self.depth_m < self.limit.max_m):
            return self.finest
        return self.limit.species
