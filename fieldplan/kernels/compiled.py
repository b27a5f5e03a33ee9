"""Compiling: loops over turns and edges that are too small for arrays and too many for plain Python.

A kernel is compiled ahead of the first plan (`kernels.ahead`), or else when it is first called, and kept in the
person's cache folder, from which later runs load it. It is not kept beside its file: what an installer did not
write it does not remove, and a folder left behind hides a package of the same name. What is kept holds for
one state of this folder: a kernel contains those that it calls.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import time
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, TypeVar, cast

import numba
import numpy as np
from llvmlite.binding import get_host_cpu_name
from numba import types
from platformdirs import user_cache_path

from fieldplan.model.coverage import Array

_config: Any = numba.config
_njit: Any = numba.njit
_unliteral: Any = types.unliteral
_TERMS: Any = {"nogil": True, "error_model": "numpy", "no_cfunc_wrapper": True}
"""Of all kernels; no other program calls them by their address, and what that needs takes a fifth of compiling."""
_KEPT_S, _STATE_DIGITS = 30 * 86_400, 12
_Kernel = TypeVar("_Kernel", bound=Callable[..., object])


def compiled(function: _Kernel) -> _Kernel:
    """A function as a kernel. Where nothing can be kept it is compiled anew in every run."""
    return cast(_Kernel, _kept(_njit(**_TERMS)(function)))


def compiled_leaf(function: _Kernel) -> _Kernel:
    """A function that makes no arrays, as a kernel: references to those it is given are not counted.

    Counting takes five times as long as to look up where a point is.
    """
    return cast(_Kernel, _kept(_njit(**_TERMS, _nrt=False)(function)))


def compiled_within(function: _Kernel) -> _Kernel:
    """A leaf that becomes part of every kernel that calls it: to hand over regions takes longer than a few sums."""
    return cast(_Kernel, _njit(**_TERMS, _nrt=False, inline="always")(function))


def _kept(kernel: Any) -> Any:
    """The kernel, kept between runs where that is possible, and compiled once for a number and for a 0 that becomes
    one: what a loop counts begins as a literal, which has a type of its own.
    """
    call = kernel.get_call_template
    kernel.get_call_template = lambda given, named: call([_unliteral(one) for one in given], named)
    folder = kept_in()
    if folder is not None:
        before, _config.CACHE_DIR = _config.CACHE_DIR, str(folder)  # for the next line only
        try:
            kernel.enable_caching()
        finally:
            _config.CACHE_DIR = before
    return kernel


def numbers(values: Array) -> Array:
    """Values as kernels take them."""
    return np.ascontiguousarray(values, dtype=np.float64)


@cache
def kept_in() -> Path | None:
    """Where kernels of this state are kept; ``None`` if nothing can be written there."""
    base = Path(_config.CACHE_DIR or user_cache_path("fieldplan", appauthor=False))
    folder = base / f"kernels-{_state()}"
    try:
        if not folder.exists():
            _remove_old(base)
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError:
        return None
    return folder if os.access(folder, os.W_OK) else None


def _remove_old(base: Path) -> None:
    """Remove what is kept of other states, but for those of the last month: another install may use one."""
    for folder in base.glob("kernels-" + _STATE_DIGITS * "[0-9a-f]"):
        if time.time() - folder.stat().st_mtime > _KEPT_S:
            shutil.rmtree(folder, ignore_errors=True)


def _state() -> str:
    """What tells one state of the kernels from another: their files, where and since when they are there, and what
    compiles them for which processor.
    """
    sources = sorted(Path(__file__).parent.glob("*.py"))
    since = [(str(source), source.stat().st_mtime_ns) for source in sources]
    told = repr((numba.__version__, _config.CPU_NAME or get_host_cpu_name(), since)).encode()
    digest = hashlib.sha256(told + b"".join(source.read_bytes() for source in sources))
    return digest.hexdigest()[:_STATE_DIGITS]
