"""Where compiled kernels are kept."""

from __future__ import annotations

import os
import time
from pathlib import Path

import numba
import pytest

from fieldplan.kernels import compiled as compiling
from fieldplan.kernels import words


def _twice(x: float) -> float:
    return 2 * x


def _half(n: int) -> int:
    return n // 2


def test_a_count_that_begins_with_a_literal_is_an_integer() -> None:
    """A kernel is not compiled once for the 0 that a loop begins with, and once more for what it becomes."""
    half = compiling.compiled(_half)

    def halves(n: int) -> int:
        k, found = 0, 0
        while k < n:
            found += half(k)
            k += 1
        return found

    assert compiling.compiled(halves)(5) == 0 + 0 + 1 + 1 + 2
    assert len(half.signatures) == 1  # type: ignore[attr-defined]


def test_nothing_is_kept_beside_the_package() -> None:
    """An installer removes what it wrote: a folder left behind would hide the package when it is installed anew."""
    assert numba.config.CACHE_DIR == ""
    kernel = words.words_of
    assert kernel._cache.cache_path not in ("", None)  # type: ignore[attr-defined]
    package = Path(words.__file__).parent
    assert not Path(kernel._cache.cache_path).is_relative_to(package)  # type: ignore[attr-defined]


def test_kernels_run_where_nothing_can_be_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """As in a container without a home."""
    monkeypatch.setattr(compiling, "kept_in", lambda: None)
    assert compiling.compiled(_twice)(3.0) == 6.0


def test_a_home_that_cannot_be_written_to_is_no_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    """A file stands where the folder should be made."""
    compiling.kept_in.cache_clear()
    monkeypatch.setattr(compiling, "user_cache_path", lambda *_, **__: Path(__file__) / "cache")
    try:
        assert compiling.kept_in() is None
    finally:
        compiling.kept_in.cache_clear()


def test_what_is_kept_of_old_states_is_removed_after_a_month(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Each install keeps some megabytes; another one may still use what is younger. Nothing else is touched."""
    old, young, other = (
        tmp_path / name for name in ("kernels-0123456789ab", "kernels-ba9876543210", "kernels-mine")
    )
    for folder, days in ((old, 31), (young, 29), (other, 99)):
        folder.mkdir()
        os.utime(folder, (0, time.time() - days * 86_400))
    compiling.kept_in.cache_clear()
    monkeypatch.setattr(compiling, "user_cache_path", lambda *_, **__: tmp_path)
    try:
        assert compiling.kept_in() is not None
    finally:
        compiling.kept_in.cache_clear()
    assert [folder.exists() for folder in (old, young, other)] == [False, True, True]
