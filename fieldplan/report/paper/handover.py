"""Check-out and return sheets: a page a booking, signed going out and coming in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fieldplan.facts import TableSentence
from fieldplan.model.booked import Placement
from fieldplan.model.season import Season
from fieldplan.model.standing import Checked
from fieldplan.report.output import Output, SeasonAsked, ready
from fieldplan.report.text.card import LAST_WORD
from fieldplan.report.typeset import Paper, compiled
from fieldplan.report.words.hours import hours
from fieldplan.report.words.money_and_places import place_text
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.plain import head_line, plain
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence
from fieldplan.report.words.sharing import collected_from, next_on_the_day, sharing_text
from fieldplan.report.words.sources import sources_named
from fieldplan.tables import read as tables

_CAUTIONED_BY = ("road-ready", "hosta-51", "planter-case")
"""Sources of the cautions that matter while a drill changes hands: the road, the hitch, the locks."""


def handover_sheets(
    season: Season, q: Quantities, paper: Paper, checks: Mapping[str, Sequence[Checked]] | None = None
) -> bytes:
    """A PDF with a page for each booking, drill by drill in the order of the season.

    Parameters
    ----------
    season
        The season with its bookings.
    q
        The reader's units.
    paper
        The size of the pages.
    checks
        What must be in order before a drill goes out, by request.

    Raises
    ------
    MissingExtra
        If the typesetter is not installed.
    """
    cautions = [row for row in tables.rows("cautions") if row["source"] in _CAUTIONED_BY]
    cited = [row["source"] for row in (*tables.rows("handover"), *tables.rows("clean_out"), *cautions)]
    return compiled(
        "handover",
        {
            "title": plain(f"Hand-over sheets, {season.program.terms.name}"),
            "paper": paper,
            "meter": q.meter,
            "head": head_line(season.program.terms.letterhead),
            "last": LAST_WORD,
            "lines": [
                [row["part"], f"{row['line']}{_mark(row['source'])}"] for row in tables.rows("handover")
            ],
            "clean": [f"{row['text']}{_mark(row['source'])}" for row in tables.rows("clean_out")],
            "cautions": [
                f"{sentence(TableSentence(*tables.with_values(row['text'])), q)} [{row['source']}]."
                for row in cautions
            ],
            "sources": " ".join(f"{source}." for source in sources_named(cited)),
            "bookings": [
                _booking(season, placement, q, (checks or {}).get(placement.request.request_id, ()))
                for placement in season.placements
            ],
        },
    )


def _mark(source: str) -> str:
    return " *" if source == "practice" else f" [{source}]"


def _booking(
    season: Season, booked: Placement, q: Quantities, checks: Sequence[Checked]
) -> dict[str, object]:
    first, last = booked.days[0], booked.days[-1]
    work = f"{q.area(booked.duration.ground_m2, 1)} {q.area_word}, {hours(booked.duration.job_s)}"
    facts = [
        ("Renter", booked.request.renter),
        ("Drill", booked.drill),
        ("Request", booked.request.request_id),
        ("Days", f"{first:%a %d %b} to {last:%a %d %b %Y}, {counted(len(booked.days), 'working day')}"),
        ("Collect from", f"{collected_from(booked)}, at {place_text(_place_before(season, booked))}"),
        ("Towing", q.distance(booked.tow_m)),
        ("Work", f"{work} with hitching and clean-out"),
        ("Next", _next(season, booked)),
    ]
    if booked.shares_with:
        facts.append(("Shared days", sharing_text(season, booked)))
    return {
        "title": plain(f"{booked.request.renter}: {booked.drill}"),
        "facts": [[name, plain(text)] for name, text in facts],
        "required": [required_line(one, q) for one in checks],
    }


def required_line(one: Checked, q: Quantities) -> dict[str, object]:
    """A requirement with how it stands: ticked if it is met, else with what is missing; a deposit has a box for its return."""
    state = f"OPEN: {sentence(one.open, q)}" if one.open is not None else ""
    return {
        "name": plain(one.name),
        "state": plain(state or (sentence(one.met, q) if one.met is not None else "")),
        "met": one.open is None,
        "returned": one.name == "deposit",
    }


def _next(season: Season, booked: Placement) -> str:
    """Who collects the drill after a booking, when and where."""
    here = place_text(booked.request.place_lonlat)
    if same_day := next_on_the_day(season, booked):
        return f"{same_day.request.renter} collects it on the same day, at {here}"
    for other in season.placements:
        if other.drill == booked.drill and other.days[0] > booked.days[-1]:
            return f"{other.request.renter} collects it on {other.days[0]:%a %d %b}, at {here}"
    return "nobody: take it back home"


def _place_before(season: Season, booked: Placement) -> tuple[float, float]:
    """Longitude and latitude of the drill before a booking: with the renter before, or at its home."""
    same_drill = [other for other in season.placements if other.drill == booked.drill]
    before = same_drill.index(booked) - 1
    if before >= 0:
        return same_drill[before].request.place_lonlat
    return next(drill.home_lonlat for drill in season.program.drills if drill.name == booked.drill)


OUTPUT: Output[SeasonAsked] = Output(
    name="hand-over",
    words="PDF, one page per booking, to be signed",
    always=("hand-over.pdf",),
    make=lambda asked: {
        "hand-over.pdf": ready(handover_sheets(asked.season, asked.q, asked.paper, asked.checks))
    },
    extra="sheets",
)
