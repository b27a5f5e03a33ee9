"""The coverage of the last fields, for plans that change something else: hours a day, the start, the mix, the fee."""

from __future__ import annotations

import io
import pickle
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import lru_cache
from typing import Any, Generic, TypeVar

import shapely
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.field import cover_field
from fieldplan.coverage.stands import Stands
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage
from fieldplan.model.field import Field
from fieldplan.model.job import Job, WorkingTerms
from fieldplan.model.machine import Drill, Tractor
from fieldplan.plane.frame import frame_near
from fieldplan.terrain.heights import Heights

MAX_REMEMBERED = 32
"""Fields, unless `keep` says otherwise."""
NOT_DRIVEN = frozenset(
    {
        *("tube_check_s", "pick_up_s", "set_up_s", "calibration_s", "clean_out_s", "towing_speed_m_per_s"),
        *("road_factor", "break_s", "break_every_s", "keeps_order"),
    }
)
"""Working terms that change hours alone: a field is driven the same whatever they are."""
Value = TypeVar("Value")


def key_of(*parts: object) -> bytes:
    """Bytes that are the same for equal values, whichever of their parts are one object in memory."""
    stream = io.BytesIO()
    pickler = pickle.Pickler(stream, pickle.HIGHEST_PROTOCOL)
    pickler.fast = True  # nothing is written as "the same object as before"
    pickler.dump(parts)
    return stream.getvalue()


class LastGiven(Generic[Value]):
    """The last values that were made, by their keys.

    Parameters
    ----------
    most
        So many are kept.
    """

    def __init__(self, most: int) -> None:
        self.most = most
        self._kept = OrderedDict[Any, Value]()

    def __contains__(self, key: object) -> bool:
        return key in self._kept

    def get(self, key: Any, make: Callable[[], Value], fits: Callable[[Value], bool]) -> Value:
        """The value of a key; it is made if it is not kept, or does not fit."""
        value = self._kept.pop(key, None)
        if value is None or not fits(value):
            value = make()
        self._kept[key] = value
        while len(self._kept) > self.most:
            self._kept.popitem(last=False)
        return value


@dataclass(frozen=True, slots=True)
class Remembered:
    """How a field is driven, and where seed may stand beside it."""

    coverage: Coverage
    stands: Stands


_remembered = LastGiven[Remembered](MAX_REMEMBERED)


def keep(n_fields: int) -> None:
    """Remember so many fields in this process from now on."""
    _remembered.most = n_fields


def driven_on(field: Field, job: Job, fill_m2: float, heights: Heights | None = None) -> Remembered:
    """`cover_field` in the frame of the field; what the last fields gave for the same terms is not worked out again.

    Parameters
    ----------
    fill_m2
        Ground that one fill of the boxes sows.
    heights
        Of the ground, in the frame of the field, if they are known.
    """
    return _remembered.get(
        driven_key(field, job, fill_m2, heights),
        lambda: _covered(field, job, fill_m2, heights),
        lambda _: True,
    )


def driven_key(field: Field, job: Job, fill_m2: float, heights: Heights | None = None) -> bytes:
    """All that `driven_on` depends on, as bytes that are the same in every process."""
    of_job = _key_of_terms(job.drill, job.tractor, job.working)
    return of_job + _key_of_field(field) + key_of(job.terms_for(field.field_id), fill_m2, heights)


def _key_of_field(field: Field) -> bytes:
    """The part of a `driven_key` that is the field, with its shapes written all at once."""
    parts = [getattr(field, one.name) for one in fields(field)]
    shapes = [part for part in parts if isinstance(part, BaseGeometry)]
    others = [part for part in parts if not isinstance(part, BaseGeometry)]
    return key_of(shapely.to_wkb(shapes).tolist(), others)


@lru_cache(maxsize=16)
def _key_of_terms(drill: Drill, tractor: Tractor, working: WorkingTerms) -> bytes:
    """The part of a `driven_key` that the fields of a job have in common."""
    return key_of(drill, tractor, _driven_by(working))


def is_known(key: bytes) -> bool:
    """Whether the coverage of a `driven_key` is remembered."""
    return key in _remembered


def offer(key: bytes, driven: Remembered) -> None:
    """Remember a coverage that another process has worked out."""
    _remembered.get(key, lambda: driven, lambda _: True)


def _covered(field: Field, job: Job, fill_m2: float, heights: Heights | None) -> Remembered:
    coverage = cover_field(field, job, frame_near(field.ground), fill_m2, heights)
    return Remembered(coverage, Stands.of(coverage, Rig.of(job)))


def _driven_by(working: WorkingTerms) -> tuple[Any, ...]:
    """The terms that how a field is driven depends on."""
    return tuple(getattr(working, one.name) for one in fields(working) if one.name not in NOT_DRIVEN)
