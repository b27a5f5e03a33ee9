"""Hours that may come out below or above the plan: a triangular distribution about the likeliest."""

from __future__ import annotations

import numpy as np

from fieldplan.model.coverage import Array

_ROUNDING = 1e-9


def prob_done(worked_s: Array, job_s: float, uncertainty_frac: float) -> Array:
    """Probability that a job takes no more than was worked, for each amount of work: shape as given.

    The distribution function of the triangular distribution with mode H = ``job_s`` and half width u·H.
    """
    if job_s <= 0:
        return np.ones(worked_s.shape)
    if uncertainty_frac < _ROUNDING:
        return (worked_s >= job_s * (1 - _ROUNDING)).astype(float)
    # z runs from −1 at H(1 − u) over 0 at H to 1 at H(1 + u)
    z = np.clip((worked_s / job_s - 1) / uncertainty_frac, -1.0, 1.0)
    return np.where(z < 0, (1 + z) ** 2 / 2, 1 - (1 - z) ** 2 / 2)
