"""The contents of a boundary file, and the fields read from it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from fieldplan.errors import Problem
from fieldplan.facts import Fact
from fieldplan.model.field import Field
from fieldplan.model.notes import Note


@dataclass(frozen=True, slots=True, kw_only=True)
class BoundaryFile:
    """The fields of one boundary file, and the notes made while it was read."""

    path: Path
    fields: tuple[Field, ...]
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerFound:
    """One layer: how many features it has, how many outlines became fields, and how many not, by reason."""

    name: str
    reference_system: str
    n_features: int
    n_fields: int
    left_out: Mapping[Fact, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Examination:
    """Everything found in a boundary file: the fields that can be planned, and the problems of the others.

    ``format`` is empty if the file was refused before it was read. A plan is made only if there are no
    problems.
    """

    path: Path
    format: str
    layers: tuple[LayerFound, ...]
    fields: tuple[Field, ...]
    notes: tuple[Note, ...]
    problems: tuple[Problem, ...]
