"""What a box, a table and a part of the form are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Suggested = Literal[
    "",
    "boxes",
    "mixes",
    "hitches",
    "carriers",
    "states",
    "places",
    "rules",
    "drainages",
    "surveys",
    "sides of drill",
    "lands",
]
"""Words that are offered while typing; anything else may be typed too."""


@dataclass(frozen=True, slots=True)
class Box:
    """One box of the form.

    Parameters
    ----------
    key
        The key of the job file.
    label
        What it is called.
    help
        What is meant, and what happens if it is left empty where no default says so.
    more
        Whether it is folded away until somebody asks for more.
    offers
        Words that are offered while typing.
    is_file
        Whether it names a file that lies beside the job.
    answers
        Of a box that is answered by yes or no: both answers in words.
    asks
        What is said at the box until it is answered, where the default is not to be taken without a look.
    """

    key: str
    label: str
    help: str = ""
    more: bool = False
    offers: Suggested = ""
    is_file: bool = False
    answers: tuple[str, str] = ("yes", "no")
    asks: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """The boxes of one table of the job file; ``table`` is its name in the schema."""

    table: str
    boxes: tuple[Box, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """A part of the form, with what it is for."""

    name: str
    title: str
    says: str
    sheets: tuple[Sheet, ...]
