"""Compiling: loops over turns and edges that are too small for arrays and too many for plain Python.

A kernel is compiled when it is first called and kept beside its file, or in the person's cache folder where
the package cannot be written to; later runs load it. What is kept holds for one state of this folder: a
kernel contains those that it calls.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import TypeVar, cast

import numba
import numpy as np

from fieldplan.model.coverage import Array

_Kernel = TypeVar("_Kernel", bound=Callable[..., object])


def compiled(function: _Kernel) -> _Kernel:
    """A function as a kernel. Where nothing can be kept it is compiled anew in every run."""
    function.__qualname__ = f"{function.__name__}_{_state()}"  # names what is kept
    try:
        kernel = numba.njit(cache=True, nogil=True, error_model="numpy")(function)
    except RuntimeError:  # no folder to keep it in
        kernel = numba.njit(nogil=True, error_model="numpy")(function)
    return cast(_Kernel, kernel)


def numbers(values: Array) -> Array:
    """Values as kernels take them."""
    return np.ascontiguousarray(values, dtype=np.float64)


@cache
def _state() -> str:
    """What tells one state of the kernels from another."""
    sources = sorted(Path(__file__).parent.glob("*.py"))
    return hashlib.sha256(b"".join(source.read_bytes() for source in sources)).hexdigest()[:12]
