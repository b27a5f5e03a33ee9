"""What stands between thousands, for each system of units: one rule for every page, paper and script."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, Protocol, TypeVar, cast

GROUPS = {"us": ",", "metric": "\u00a0"}
"""Where decimals are written with a comma, "1,593 kg" would be read as one and a half: a space that does not break."""

Written = TypeVar("Written", bound=Callable[..., str])


class Spoken(Protocol):
    """Whatever speaks in units of a system."""

    @property
    def system(self) -> str:
        """The system, "us" or "metric"."""


def grouped(write: Written) -> Written:
    """A method that writes a number, with thousands parted as its readers part them."""

    @wraps(write)
    def written(self: Spoken, *values: Any, **more: Any) -> str:
        text = write(self, *values, **more)
        return text if self.system == "us" else text.replace(",", GROUPS[self.system])

    return cast(Written, written)
