"""How tightly lines bend, measured on every stretch of them: for tests of what openers are asked to follow."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString


def swept_deg(line: LineString, radius_m: float) -> float:
    """The most by which a line turns to one side over any stretch, besides what an arc of a radius turns on its length."""
    step = np.diff(shapely.get_coordinates(line), axis=0)
    step = step[np.hypot(*step.T) > 1e-6]
    turn = np.angle((step[1:] @ [1, 1j]) / (step[:-1] @ [1, 1j]))
    turned = np.concatenate([[0.0], np.cumsum(turn)])
    station_m = np.cumsum(np.hypot(*step.T))[:-1]
    most = 0.0
    for since in range(len(turn)):
        bent = np.abs(turned[since + 1 :] - turned[since])
        most = max(most, float((bent - (station_m[since:] - station_m[since]) / radius_m).max()))
    return float(np.degrees(most))
