"""Warnings on likely slips in the list of requests and in the season's file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from fieldplan.facts import Fact, Value, fact
from fieldplan.model.notes import Note
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.request import Request
from fieldplan.tables.bands import likely
from fieldplan.units import ACRE_M2, HORSEPOWER_W

MAX_LISTED = 5
"""A warning lists so many days; the rest are counted."""


def season_warnings(program: RentalProgram, requests: Sequence[Request]) -> Iterator[Note]:
    """Warnings on likely slips: cells of the list in its order, then rules, then days off.

    What is likely stands in ``tables/plausible.csv``.
    """
    for request in requests:
        found = (*_days(program, request), *_sizes(request))
        if found:
            yield _warning(fact("request-doubt", row=request.row, request=request.request_id, doubts=found))
    for rule in program.terms.rules:
        warning = rule.warning([request.facts.get(rule.column, "") for request in requests])
        if warning:
            yield _warning(warning)
    for drill in program.drills:
        off = sorted(
            day for day in drill.dates_off if not program.terms.opens <= day <= program.terms.closes
        )
        more: dict[str, Value] = {"n_more": len(off) - MAX_LISTED} if len(off) > MAX_LISTED else {}
        if off:
            yield _warning(
                fact("days-off-doubt", drill=drill.name, off_typed_day=tuple(off[:MAX_LISTED]), **more)
            )
    if program.earlier and requests and not any(request.facts.get("renter_id") for request in requests):
        yield _warning(fact("earlier-without-ids", n_earlier=len(program.earlier)))


def _days(program: RentalProgram, request: Request) -> Iterator[Fact]:
    """Dates unlikely far from the season or from each other."""
    spans: tuple[tuple[str, date | None, date, Value], ...] = (
        ("ready", request.ready, program.terms.opens, fact("season-opens")),
        ("until", request.until, program.terms.closes, fact("season-closes")),
        ("asked", request.asked, request.ready, "ready"),
    )
    for column, day, reference, of in spans:
        low, high = likely(f"request.{column}", "days")
        away = 0 if day is None else (day - reference).days
        if day is not None and not low <= away <= high:
            yield fact(
                "day-doubt/before" if away < 0 else "day-doubt/after",
                column=column,
                doubted_typed_day=day,
                n_days=abs(away),
                of=of,
            )


def _sizes(request: Request) -> Iterator[Fact]:
    """Unlikely acres and horsepower."""
    sizes = (
        ("acres", ("request.acres", "ac"), request.ground_m2, ACRE_M2),
        ("tractor_hp", ("tractor.pto_power", "hp"), request.pto_power_w, HORSEPOWER_W),
    )
    for column, band, size, unit in sizes:
        low, high = likely(*band)
        if size is not None and not low <= size / unit <= high:
            yield fact("size-doubt", column=column, given_plain=size / unit, low_plain=low, high_plain=high)


def _warning(warning: Fact) -> Note:
    return Note(code="season-doubt", warning=True, values={"doubt": warning})
