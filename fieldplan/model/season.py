"""A planned season: who has which drill when, who is not served, and what is proven of it."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.facts import Fact
from fieldplan.model.booked import Placement
from fieldplan.model.notes import Note
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.request import Request


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """A request that is not served, and why. Each of ``changes`` was planned again and would serve it."""

    request: Request
    reason: Fact
    changes: tuple[Note, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """What is proven of a schedule. No schedule can do better than a bound."""

    served_proven: bool
    waiting_days: int
    waiting_bound_days: int
    tow_m: float
    tow_bound_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """Who has which drill when, who is not served, and what is proven of it."""

    program: RentalProgram
    placements: tuple[Placement, ...]
    refusals: tuple[Refusal, ...]
    proof: Proof
    notes: tuple[Note, ...]
