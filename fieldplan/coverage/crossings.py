"""Excluded ground that may be crossed with the drill raised: gone on across, or with headland rounds along it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import shapely
from shapely import MultiPolygon

from fieldplan.coverage.cover import cover
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.through import driven_through, joined
from fieldplan.errors import PlanError
from fieldplan.model.coverage import Coverage, Sowing
from fieldplan.model.field import HeadlandWord
from fieldplan.plane.offsets import polygons_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """Ground that may be crossed, in plane meters; ``headland`` says whether rounds are wanted along it, or
    nothing.
    """

    reason: str
    ground: MultiPolygon
    headland: HeadlandWord | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossed:
    """A coverage, and how the one without headland rounds along such ground compares with it.

    Parameters
    ----------
    coverage
        The coverage that was chosen.
    through
        The one in which passes go on wherever they may; it is ``coverage`` itself if that was chosen.
    crossings
        The ground that passes go on across in ``through``, with its part that lies along edges left out.
    around
        Those of them that rounds are laid along in ``coverage`` because it is quicker.
    longer_s
        How much longer ``through`` takes.
    """

    coverage: Coverage
    through: Coverage
    crossings: tuple[Crossing, ...] = ()
    around: tuple[Crossing, ...] = ()
    longer_s: float = 0.0


def covered_across(site: Site, outline: MultiPolygon, crossings: Sequence[Crossing]) -> Crossed:
    """The coverage in which passes go on across such ground, or rounds are laid along it, if that is quicker.

    What is sown of it counts for the time that sowing as much takes.

    Parameters
    ----------
    site
        The field with all such ground cut out.
    outline
        The field with it.

    Raises
    ------
    PlanError
        As `cover`.
    """
    wanted = _through(site, [crossing for crossing in crossings if crossing.headland != "yes"])
    through = cover(with_lifted(site, outline, wanted))
    first = Crossed(coverage=through, through=through, crossings=wanted)
    free = tuple(crossing for crossing in wanted if crossing.headland is None)
    if not free:
        return first
    asked = [crossing for crossing in wanted if crossing.headland == "no"]
    try:
        around = cover(with_lifted(site, outline, asked))
    except PlanError:
        return first
    longer_s = route_s(through.legs, site.rig) - route_s(around.legs, site.rig)
    ground = MultiPolygon([piece for crossing in free for piece in crossing.ground.geoms])
    spoilt_m2 = sown_of(through, ground) - sown_of(around, ground)
    spoilt_s = spoilt_m2 / site.rig.width_m / site.rig.field_speed_m_per_s
    if longer_s + spoilt_s <= 0 or around.swings_out_m > through.swings_out_m:
        return first
    return replace(first, coverage=around, around=free, longer_s=longer_s)


def with_lifted(site: Site, outline: MultiPolygon, through: Sequence[Crossing]) -> Site:
    """The site with ground that passes go on across."""
    lifted = MultiPolygon([piece for crossing in through for piece in crossing.ground.geoms])
    if lifted.is_empty:
        return site
    return replace(site, lifted=lifted, joined=joined(site.ground, lifted, outline))


def _through(site: Site, crossings: Sequence[Crossing]) -> tuple[Crossing, ...]:
    """What of each can be driven through."""
    if not crossings:
        return ()
    lifted = driven_through(site.ground, [crossing.ground for crossing in crossings])
    parts = [polygons_of(shapely.intersection(crossing.ground, lifted)) for crossing in crossings]
    return tuple(
        replace(crossing, ground=part)
        for crossing, part in zip(crossings, parts, strict=True)
        if not part.is_empty
    )


def sown_of(coverage: Coverage, ground: MultiPolygon) -> float:
    """What all sowings together sow of some ground, in square meters."""
    shapely.prepare(ground)
    return sum(_sown_m2(sowing, ground) for sowing in coverage.sowings)


def _sown_m2(sowing: Sowing, ground: MultiPolygon) -> float:
    grounds = sowing.swaths().grounds
    there = shapely.intersection(grounds[shapely.intersects(ground, grounds)], ground)
    return float(shapely.union_all(there).area)
