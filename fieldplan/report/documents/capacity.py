"""The capacity of a season as a document."""

from __future__ import annotations

import math
from collections.abc import Iterator

from fieldplan.model.capacity import Capacity, Chances, Option
from fieldplan.report.documents.annual_acres import years
from fieldplan.report.documents.document import Document, Part
from fieldplan.report.documents.region_demand import demand_parts
from fieldplan.report.words.numbers import counted, odds_text
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence, sources_text
from fieldplan.report.words.years import range_text
from fieldplan.weather.years import wilson


def capacity_document(found: Capacity, q: Quantities) -> Document:
    """In short, days asked for and available, what each change would bring, each booking's chance, and method."""
    terms = found.now.season.program.terms
    return Document(
        title=f"{terms.name}: are the drills enough?",
        about=(f"{terms.opens:%a %d %b %Y} to {terms.closes:%a %d %b %Y}.",),
        parts=(
            Part(name="In short", lines=tuple(_short(found, q)), listed=True),
            _days(found, q),
            _changes(found, q),
            _each(found),
            *demand_parts(found, q),
            Part(name="How it was calculated", lines=tuple(_how(found)), listed=True),
        ),
        sources=tuple(key for year in years(q) for key in year.sources),
    )


def _short(found: Capacity, q: Quantities) -> Iterator[str]:
    now, asked = found.now, found.asked
    n = len(now.season.placements) + len(now.season.refusals)
    yield f"{len(now.season.placements)} of {counted(n, 'request')} {'has' if n == 1 else 'have'} a booking; in an average season {now.chances.mean_done:.1f} are done in time."
    if now.season.placements:
        yield f"Chance that everyone booked is done by their last day: {_chance_of_all(now.chances)}."
    if now.season.refusals:
        yield "Chance to serve everyone who asked: 0 %, since not everyone has a booking."
    yield f"{asked.days} days to book were asked for, {sum(drill.working_days for drill in found.drills)} drill-days are available."
    if asked.unable:
        yield f"No drill can do {', '.join(asked.unable)} within the longest booking; their days are not counted."
    first, wider = years(q)
    booked = sum(drill.ground_m2 for drill in found.drills) / len(found.drills)
    yield (
        f"This season books {q.area(booked, 0)} {q.area_word} per drill; published: {first.ground} {q.area_word} and more in a year with one "
        f"drill of {first.width} ({sources_text(first.sources)}), about {wider.ground} with one of {wider.width} ({sources_text(wider.sources)})."
    )


def _drawn(prob: float) -> str:
    """A chance from simulated weathers: never certain."""
    return odds_text(min(prob, 0.999))


def _chance(prob: float, n: int) -> str:
    """A chance from simulated weathers, with twice its standard error, 2·√(p(1 − p)/n)."""
    error = 2 * math.sqrt(prob * (1 - prob) / n)
    return _drawn(prob) + (f" (give or take {error * 100:.0f})" if error >= 0.005 else "")


def _chance_of_all(chances: Chances) -> str:
    """The chance that everyone booked is done; from a record with the years met and the range."""
    prob, n = chances.booked_prob, chances.n_drawn
    if not chances.years:
        return _chance(prob, n)
    met = prob * n
    years = f"{met:.0f}" if abs(met - round(met)) < 1e-6 else f"{met:.1f}"
    return f"{odds_text(prob)} ({years} of {counted(n, 'year')}, {range_text(wilson(met, n))})"


def _days(found: Capacity, q: Quantities) -> Part:
    rows = [
        (
            drill.name,
            str(drill.working_days),
            f"{drill.fieldwork_days:.0f}",
            str(drill.booked_days),
            q.area(drill.ground_m2, 1),
        )
        for drill in found.drills
    ]
    rows.append(
        (
            "all",
            str(sum(drill.working_days for drill in found.drills)),
            f"{sum(drill.fieldwork_days for drill in found.drills):.0f}",
            str(sum(drill.booked_days for drill in found.drills)),
            q.area(sum(drill.ground_m2 for drill in found.drills), 1),
        )
    )
    asked = (
        "asked for",
        f"{found.asked.days} to book",
        f"{found.asked.fieldwork_days:.0f} needed",
        "",
        q.area(found.asked.ground_m2, 1),
    )
    return Part(
        name="Days and ground",
        header=("drill", "working days", "fieldwork days", "booked days", q.area_word),
        rows=(*rows, asked),
    )


def _changes(found: Capacity, q: Quantities) -> Part:
    def row(option: Option) -> tuple[str, ...]:
        season, chances = option.season, option.chances
        ground = sum(placed.duration.ground_m2 for placed in season.placements)
        return (
            sentence(option.changed, q),
            str(len(season.placements)),
            q.area(ground, 0),
            str(season.proof.waiting_days),
            f"{chances.mean_done:.1f}",
            _drawn(chances.booked_prob),
            _drawn(chances.all_prob),
        )

    header = (
        "",
        "booked",
        q.area_word,
        "days of waiting",
        "done in time",
        "all booked done",
        "all who asked done",
    )
    return Part(
        name="What a change would bring",
        header=header,
        rows=tuple(row(option) for option in (found.now, *found.options)),
    )


def _each(found: Capacity) -> Part:
    each = found.now.chances.each_prob
    rows = tuple(
        (
            placement.request.renter,
            placement.drill,
            f"{placement.days[0]:%a %d %b}",
            f"{placement.request.until:%a %d %b}",
            _drawn(each[placement.request.request_id]),
        )
        for placement in found.now.season.placements
    )
    return Part(
        name="Each booking",
        header=("renter", "drill", "from", "may work until", "done in time"),
        rows=rows,
        left=4,
    )


def _how(found: Capacity) -> Iterator[str]:
    terms, years_gone = found.now.season.program.terms, found.now.chances.years
    if years_gone:
        yield (
            f"The season runs through the weather of {counted(len(years_gone), 'year')}, {years_gone[0]} to {years_gone[-1]}, the same for all drills; every season here goes through the same ones."
        )
    else:
        yield (
            f"{found.now.chances.n_drawn:,} weathers were simulated from each drill's chance of a fieldwork day and its spells; every season here goes through the same ones."
        )
    yield (
        "A drill keeps the order and first days of its bookings. Each goes on until its work is done or its renter's last day is over; the next one "
        "waits for it."
    )
    yield f"Each season is planned anew by the rules, with {odds_text(terms.confidence_prob)} confidence in each booking."
    yield "A second drill has the first one's home; a wider one has more rows of the same spacing, boxes to match, and the same tractor."
