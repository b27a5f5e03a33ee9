"""What a region's file holds, and what is left to plan of it, without planning."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
import shapely
from pyproj import CRS, Transformer

from fieldplan.model.region import Bounds, Outline
from fieldplan.region.dataset import values_of
from fieldplan.region.run import Run
from fieldplan.region.sums import once


def outline_of(run: Run, by: Sequence[str] = (), *, has_folder: bool = True) -> Outline:
    """Counts and bounds of the parcels that a run would plan.

    Parameters
    ----------
    by
        Attributes whose values are counted.
    has_folder
        Whether there is a folder that may hold parts already.
    """
    cuts = run.cuts
    done = run.done() if has_folder else set()
    n_empty, n_vertices = 0, 0
    boxes: dict[int, list[Bounds]] = {}
    for _, layer, feature in run.dataset.features(np.arange(run.n_rows)):
        if feature.geometry is None or feature.geometry.is_empty:
            n_empty += 1
            continue
        n_vertices += int(shapely.get_num_coordinates(feature.geometry))
        boxes.setdefault(layer, []).append(feature.geometry.bounds)
    placed = [
        box
        for layer, of_layer in boxes.items()
        if (crs := run.setup.layers[layer].crs) is not None
        for box in _in_degrees(of_layer, crs)
    ]
    return Outline(
        name=run.setup.path.name,
        kind=run.dataset.kind,
        attributes=run.dataset.attributes,
        n_rows=run.n_rows,
        n_groups=len(run.dataset.groups),
        n_drawn=run.n_drawn,
        n_parts=len(cuts),
        n_parts_done=len(done),
        n_rows_done=sum(len(cuts[number]) for number in done),
        n_empty=n_empty,
        n_vertices=n_vertices,
        bounds_deg=_around(placed) if placed else None,
        values={name: dict(sorted(Counter(values_of(run.dataset, name)).items())) for name in once(by)},
    )


def _in_degrees(boxes: Sequence[Bounds], crs: CRS) -> list[Bounds]:
    """West, south, east and north around those boxes that lie on Earth; none if there are none."""
    to_lonlat = Transformer.from_crs(crs, "OGC:CRS84", always_xy=True)
    west, south, east, north = np.array(boxes).T
    corners = [to_lonlat.transform(x, y) for x in (west, east) for y in (south, north)]
    lon, lat = np.moveaxis(np.array(corners), 0, 1)
    with np.errstate(invalid="ignore"):
        on_earth = (np.isfinite(lon) & np.isfinite(lat) & (abs(lon) <= 360) & (abs(lat) <= 90)).all(axis=0)
    if not on_earth.any():
        return []
    lon, lat = lon[:, on_earth], lat[:, on_earth]
    return [(float(lon.min()), float(lat.min()), float(lon.max()), float(lat.max()))]


def _around(boxes: Sequence[Bounds]) -> Bounds:
    west, south, east, north = zip(*boxes, strict=True)
    return min(west), min(south), max(east), max(north)
