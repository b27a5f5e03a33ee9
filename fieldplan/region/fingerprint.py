"""A digest of values, the same in every process: whether a run goes on with the job that it began with."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Set
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry


def digest_of(value: Any) -> str:
    """The digest of a value that is made of dataclasses, mappings, sequences, arrays, geometries and plain ones.

    A path counts by its name alone: a folder may be moved.
    """
    return hashlib.sha256(_spelled(value).encode()).hexdigest()


def _spelled(value: Any) -> str:
    if is_dataclass(value) and not isinstance(value, type):
        inside = (f"{one.name}={_spelled(getattr(value, one.name))}" for one in fields(value))
        return f"{type(value).__name__}({','.join(inside)})"
    if isinstance(value, Mapping):
        return f"{{{','.join(sorted(f'{_spelled(key)}:{_spelled(one)}' for key, one in value.items()))}}}"
    if isinstance(value, Set):
        return f"{{{','.join(sorted(map(_spelled, value)))}}}"
    if isinstance(value, list | tuple):
        return f"[{','.join(map(_spelled, value))}]"
    if isinstance(value, Path):
        return value.name
    if isinstance(value, np.ndarray):
        return (
            f"{value.dtype}{value.shape}{hashlib.sha256(np.ascontiguousarray(value).tobytes()).hexdigest()}"
        )
    if isinstance(value, BaseGeometry):
        return hashlib.sha256(shapely.to_wkb(value)).hexdigest()
    return repr(value)
