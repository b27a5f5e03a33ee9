"""What of a list of requests and of a season's file cannot be meant, or hardly: warnings said first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from fieldplan.model.notes import Note
from fieldplan.model.season import Lending, Request
from fieldplan.model.spelling import SLIP, nearest
from fieldplan.tables import read as tables
from fieldplan.units import ACRE_M2, HORSEPOWER_W


def season_doubts(lending: Lending, requests: Sequence[Request]) -> Iterator[Note]:
    """Warnings on cells, rules and days off, in the order of the list."""
    for request in requests:
        said = [*_days(lending, request), *_sizes(request)]
        if said:
            yield _warning(
                f"Row {request.row}, {request.request_id}: {'; '.join(said)}. Is that right? The list is planned as it stands."
            )
    yield from _rules(lending, requests)
    for drill in lending.drills:
        off = sorted(day for day in drill.dates_off if not lending.terms.opens <= day <= lending.terms.closes)
        if off:
            yield _warning(f"{drill.name}: days_off has {_listed(off)}, outside the season. Is the year right?")


def _days(lending: Lending, request: Request) -> Iterator[str]:
    """Dates far from the season, or in an order that cannot be."""
    spans: tuple[tuple[str, date | None, date], ...] = (
        ("ready", request.ready, lending.terms.opens),
        ("until", request.until, lending.terms.closes),
        ("asked", request.asked, request.ready),
    )
    for column, day, from_day in spans:
        low, high = _likely(f"request.{column}")
        away = 0 if day is None else (day - from_day).days
        if not low <= away <= high:
            of = {"ready": "the season opens", "until": "the season closes", "asked": "ready"}[column]
            yield f"{column} = {day} is {abs(away):,} days {'before' if away < 0 else 'after'} {of}"


def _sizes(request: Request) -> Iterator[str]:
    """Acres and horsepower that no request has."""
    low, high = _likely("request.acres")
    if request.ground_m2 is not None and not low <= request.ground_m2 / ACRE_M2 <= high:
        yield f"acres = {request.ground_m2 / ACRE_M2:,.10g}, where {low:g} to {high:,.0f} is likely"
    low, high = _likely("tractor.pto_power")
    if request.pto_power_w is not None and not low <= request.pto_power_w / HORSEPOWER_W <= high:
        yield f"tractor_hp = {request.pto_power_w / HORSEPOWER_W:,.10g}, where {low:g} to {high:,.0f} is likely"


def _rules(lending: Lending, requests: Sequence[Request]) -> Iterator[Note]:
    """Rules whose word stands in no row, while one all but spelled like it does: else nobody of that kind asked this year."""
    for rule in lending.terms.rules:
        there = {request.facts.get(rule.column, "") for request in requests} - {""}
        if rule.value is None or rule.value.casefold() in {one.casefold() for one in there}:
            continue
        near = nearest(rule.value, there, SLIP)
        if near is not None:
            yield _warning(
                f'serve_first: "{rule.column} = {rule.value}" puts nobody first, for no row has that. Did you mean "{near}"?'
            )


def _listed(words: Iterable[object]) -> str:
    """The first of a list of words."""
    shown = [f"{one}" for one in words]
    return ", ".join(shown[:5]) + (f" and {len(shown) - 5} more" if len(shown) > 5 else "")


def _likely(key: str) -> tuple[float, float]:
    band = tables.band(key)
    assert band is not None, key
    return band.likely


def _warning(text: str) -> Note:
    return Note(code="season-doubt", told=text, warning=True)
