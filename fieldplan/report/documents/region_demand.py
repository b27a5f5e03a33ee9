"""What a program over a region would ask of the drills of a season, as parts of the capacity's document."""

from __future__ import annotations

from collections.abc import Iterator

from fieldplan.model.capacity import Capacity, KindDemand, RegionDemand
from fieldplan.report.documents.document import Part
from fieldplan.report.words.hours import hours
from fieldplan.report.words.numbers import counted, odds_text
from fieldplan.report.words.plain import cell
from fieldplan.report.words.quantities import Quantities

_NONE = "none"


def demand_parts(found: Capacity, q: Quantities) -> Iterator[Part]:
    """Days asked for and available by kind of drill, odds, what can be served, and on what that rests."""
    demand = found.region
    if demand is None:
        return
    terms = found.now.season.program.terms
    yield Part(
        name="What a program over the region would ask",
        header=(
            "drill",
            "parcels",
            q.area_word,
            "fieldwork days",
            "drills here",
            "their days",
            "not booked",
        ),
        rows=tuple(_days_row(kind, q) for kind in demand.kinds),
        lines=tuple(_about(demand, q)),
    )
    yield Part(
        name=f"What of it is done by {terms.closes:%a %d %b %Y}",
        header=(
            "drill",
            "",
            "all done",
            f"{q.area_word} with {odds_text(terms.confidence_prob)}",
            "drills needed",
        ),
        rows=tuple(row for kind in demand.kinds for row in _done_rows(kind, q)),
        left=2,
        lines=tuple(_how(demand, q)),
    )


def _name(kind: KindDemand, q: Quantities) -> str:
    boxes = ", ".join(kind.boxes)
    return f"{q.length(kind.width_m, 1)} {boxes}".strip()


def _days_row(kind: KindDemand, q: Quantities) -> tuple[str, ...]:
    return (
        _name(kind, q),
        q.count(kind.n_parcels),
        q.area(kind.ground_m2, 0),
        q.count(kind.fieldwork_days),
        q.count(len(kind.drills)) if kind.drills else _NONE,
        q.count(kind.free.fieldwork_days),
        q.count(kind.beside.fieldwork_days),
    )


def _done_rows(kind: KindDemand, q: Quantities) -> Iterator[tuple[str, ...]]:
    for when, served in (("no bookings", kind.free), ("beside bookings", kind.beside)):
        odds = odds_text(min(served.done_prob, 0.999)) if kind.drills else _NONE
        needed = "" if served.needed is None else q.count(served.needed)
        yield _name(kind, q), when, odds, q.area(served.ground_m2, 0), needed


def _about(demand: RegionDemand, q: Quantities) -> Iterator[str]:
    found = demand.found
    asked = f"{q.area(demand.share_frac * found.ground_m2, 0)} {q.area_word}"
    work = hours(sum(kind.work_s for kind in demand.kinds))
    if demand.share_frac == 1:
        yield f"Asked for: all {asked} of {cell(found.name)} that are planned, {work} of work."
    else:
        yield (
            f"Asked for: {asked}, in proportion from the {q.area(found.ground_m2, 0)} of {cell(found.name)} that are planned; "
            f"{work} of work."
        )
    if demand.share_frac > 1:
        yield "That is more ground than the region has: its parcels stand for others like them."
    if found.n_drawn is not None:
        error = 2 * found.error_frac * 100
        yield (
            f"The region was planned from a sample of {q.count(found.n_drawn)} of {counted(found.n_rows, 'parcel')}: its work is an estimate, give or "
            f"take {error:.0f} %."
        )
    if found.n_refused and found.n_drawn is not None:
        yield (
            f"{q.count(found.n_refused)} of the parcels drawn {'is' if found.n_refused == 1 else 'are'} not planned: some {q.area(found.refused_m2, 0)} "
            f"{q.area_word} of the region, as far as outlines tell, are not counted here."
        )
    elif found.n_refused:
        yield (
            f"{counted(found.n_refused, 'parcel')} of it, {q.area(found.refused_m2, 0)} {q.area_word} as far as outlines tell, "
            f"{'is' if found.n_refused == 1 else 'are'} not planned and not counted here."
        )
    for kind in demand.kinds:
        jobs = ", ".join(cell(job) for job in kind.jobs)
        if kind.drills:
            yield f"{_name(kind, q)} ({jobs}): {', '.join(cell(name) for name in kind.drills)}."
        else:
            yield (
                f"{_name(kind, q)} ({jobs}): no drill of the season is as wide and has these boxes. Another width takes other hours: plan the region "
                "with the job file of the drill that is there."
            )
    if demand.shared_drills:
        names = ", ".join(cell(name) for name in demand.shared_drills)
        yield f"Counted for each kind that they can do, not shared out among them: {names}."


def _how(demand: RegionDemand, q: Quantities) -> Iterator[str]:
    del demand, q
    yield "Drills of a kind share its work evenly. Every parcel is a job of its own, from pick-up to return; moves from renter to renter do not count."
    yield "Hours are as uncertain for all parcels together as for one, since all rest on the same speed and stops."
    yield (
        "Their days are the fieldwork days that weather leaves on average; not booked, and beside bookings: on working days that no booking of this "
        "season has."
    )
    yield "Drills needed include the drills that are there; others are like the first of them."
