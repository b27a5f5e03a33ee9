"""How many headland rounds a field is given where the job leaves it open.

More rounds make room for quick turns; they cost corners, and time where they run instead of longer passes.
Weighed are, for every number of rounds, the turns at the ends of passes by how obliquely they meet the
headland (`turns.level_turns_s`), and the corners of all rounds.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.level_turns import level_turns_s
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array
from fieldplan.plane.offsets import insets

MAX_ROUNDS = 12
_SEEN_M = 2.0
"""Inner ground is looked at on a copy thinned to this."""
_SLANT_DEG = 7.5
"""Ends are told apart in steps of this: how far they are from square to the passes."""
_MAX_SLANT_DEG = 67.5
_CORNER_DEG = 30.0
_N_HEADINGS = 4
_CORNERS_FRAC, _RING_S = 1.6, 80.0
"""What corners take against one arc each, and what a round takes besides: going on to the next one, and jags of the
outline. Fitted on whole routes over practice fields (1 to 6 rounds): the choice takes 0.4 % longer than the best."""


def rounds_for(ground: MultiPolygon, rig: Rig, along: Array | None = None) -> int:
    """The number of rounds with which about the least time is driven.

    Parameters
    ----------
    ground
        The field, plane meters.
    along
        The heading of the passes as a unit vector; if ``None`` the longest edges are tried.
    """
    depths_m = np.asarray(np.arange(MAX_ROUNDS + 1) * rig.width_m, dtype=np.float64)
    inner = shapely.simplify(np.concatenate([[ground], insets(ground, depths_m[1:])]), _SEEN_M)
    spent_s = [
        _ends_s(part, replace(rig, headland_m=float(depth_m)), along)
        for part, depth_m in zip(inner, depths_m, strict=True)
    ]
    rounds_s = np.concatenate([[0.0], np.cumsum([_corners_s(ring, rig) for ring in inner[:-1]])])
    return int(np.argmin(np.array(spent_s) + rounds_s))


def _ends_s(inner: BaseGeometry, rig: Rig, along: Array | None) -> float:
    """Time of the turns between passes over the ground inside the headland, with the best of some headings."""
    steps = _steps(inner)
    length_m = np.hypot(*steps.T)
    if length_m.sum() == 0:
        return 0.0
    longest = length_m.argsort()[-_N_HEADINGS:]
    headings = steps[longest] / length_m[longest, None] if along is None else along[None]
    across_m = np.abs(headings[:, :1] * steps[:, 1] - headings[:, 1:] * steps[:, 0])
    with np.errstate(invalid="ignore", divide="ignore"):
        slant = np.degrees(np.arccos(np.clip(across_m / length_m, 0, 1)))
    bucket = np.minimum(np.nan_to_num(slant), _MAX_SLANT_DEG) // _SLANT_DEG
    turn_s = np.array([_turn_s(rig, k) for k in range(int(_MAX_SLANT_DEG // _SLANT_DEG) + 1)])
    return float((across_m / rig.width_m / 2 * turn_s[bucket.astype(int)]).sum(axis=1).min())


def _turn_s(rig: Rig, bucket: int) -> float:
    """The turn that takes least time between ends that lie so obliquely, and what it takes."""
    return min(level_turns_s(rig, (bucket + 0.5) * _SLANT_DEG if bucket else 0.0))


def _corners_s(inner: BaseGeometry, rig: Rig) -> float:
    """Time of the turns at the corners of a round about that ground."""
    steps = _steps(inner, closed=True)
    if len(steps) < 3:
        return 0.0
    turn = np.arctan2(
        steps[:-1, 0] * steps[1:, 1] - steps[:-1, 1] * steps[1:, 0], (steps[:-1] * steps[1:]).sum(axis=1)
    )
    corner = np.abs(turn)[np.abs(turn) > np.radians(_CORNER_DEG)]
    arcs_s = (rig.radius_m * corner / rig.turn_speed_m_per_s + rig.turn_extra_s).sum()
    return float(_CORNERS_FRAC * arcs_s + _RING_S * shapely.get_num_geometries(shapely.boundary(inner)))


def _steps(ground: BaseGeometry, closed: bool = False) -> Array:
    """The edges of all rings of ground as vectors, (n, 2); with the first of each ring once more at its end."""
    rings = [shapely.get_coordinates(ring) for ring in shapely.get_rings(shapely.get_parts(ground))]
    edges = [np.diff(ring, axis=0) for ring in rings if len(ring) > 3]
    return np.vstack([np.zeros((0, 2)), *(np.vstack([own, own[:1]]) if closed else own for own in edges)])
