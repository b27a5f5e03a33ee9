"""Assumptions, defaults used and repairs made: data that travels with the result."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """One thing a reader should know about a number: a default, an assumption, a repair, a limit."""

    code: str
    text: str
    field_id: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A published document that a number in the plan comes from."""

    key: str
    title: str
