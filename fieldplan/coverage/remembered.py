"""The coverage of the last fields, for plans that change something else: hours a day, the start, the mix, the fee."""

from __future__ import annotations

import pickle
from collections import OrderedDict
from dataclasses import dataclass

from fieldplan.coverage.field import cover_field
from fieldplan.coverage.stands import Stands
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage
from fieldplan.model.field import Field
from fieldplan.model.job import Job
from fieldplan.plane.frame import frame_near
from fieldplan.terrain.heights import Heights

MAX_REMEMBERED = 32
"""Fields, unless `keep` says otherwise."""


@dataclass(frozen=True, slots=True)
class Remembered:
    """How a field is driven, and where seed may stand beside it."""

    coverage: Coverage
    stands: Stands


_remembered = OrderedDict[bytes, Remembered]()
_most = MAX_REMEMBERED


def keep(n_fields: int) -> None:
    """Remember so many fields in this process from now on."""
    global _most
    _most = n_fields


def driven_on(field: Field, job: Job, fill_m2: float, heights: Heights | None = None) -> Remembered:
    """`cover_field` in the frame of the field; what the last fields gave for the same terms is not worked out again.

    Parameters
    ----------
    fill_m2
        Ground that one fill of the boxes sows.
    heights
        Of the ground, in the frame of the field, if they are known.
    """
    terms = job.drill, job.tractor, job.working, job.terms_for(field.field_id)
    key = pickle.dumps((field, terms, fill_m2, heights))
    driven = _remembered.pop(key, None)
    if driven is None:
        coverage = cover_field(field, job, frame_near(field.ground), fill_m2, heights)
        driven = Remembered(coverage, Stands.of(coverage, Rig.of(job)))
    _remembered[key] = driven
    while len(_remembered) > _most:
        _remembered.popitem(last=False)
    return driven
