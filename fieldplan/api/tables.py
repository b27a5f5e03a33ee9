"""Tables of a job or a season as a mapping, in the types in which a file would give them."""

from __future__ import annotations

from collections.abc import Mapping
from os import PathLike, fspath
from typing import Any


def as_toml(value: Any) -> Any:
    """A value in the types in which TOML would give it, as far as it is of another that means the same.

    Raises
    ------
    TypeError
        If a key of a mapping is no text.

    Examples
    --------
    >>> from pathlib import Path
    >>> as_toml({"days_off": ("Sunday",), "rate_card": Path("rates.toml")})
    {'days_off': ['Sunday'], 'rate_card': 'rates.toml'}
    """
    if isinstance(value, Mapping):
        strange = next((key for key in value if not isinstance(key, str)), None)
        if strange is not None:
            raise TypeError(f"keys of tables must be text, not {strange!r}")
        return {key: as_toml(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [as_toml(inner) for inner in value]
    if isinstance(value, PathLike):
        return fspath(value)
    if hasattr(value, "dtype") and hasattr(value, "tolist"):  # numbers and arrays of numpy
        return as_toml(value.tolist())
    return value
