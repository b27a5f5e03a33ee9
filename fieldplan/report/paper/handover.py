"""Check-out and return sheets: a page a booking, signed going out and coming in."""

from __future__ import annotations

from fieldplan.facts import TableSentence
from fieldplan.model.season import Placement, Season
from fieldplan.report.output import Output, SeasonAsked, ready
from fieldplan.report.text.card import LAST_WORD
from fieldplan.report.typeset import Paper, compiled
from fieldplan.report.words.money_and_places import place_text
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities, counted, hours
from fieldplan.report.words.sentences import sentence
from fieldplan.report.words.sharing import collected_from, next_on_the_day, sharing_text
from fieldplan.report.words.sources import sources_named
from fieldplan.tables import read as tables

_CAUTIONED_BY = ("road-ready", "hosta-51", "planter-case")
"""Sources of the cautions that matter while a drill changes hands: the road, the hitch, the locks."""


def handover_sheets(season: Season, q: Quantities, paper: Paper) -> bytes:
    """A PDF with a page for each booking, drill by drill in the order of the season."""
    cautions = [row for row in tables.rows("cautions") if row["source"] in _CAUTIONED_BY]
    cited = [row["source"] for row in (*tables.rows("handover"), *tables.rows("clean_out"), *cautions)]
    return compiled(
        "handover",
        {
            "title": plain(f"Hand-over sheets, {season.program.terms.name}"),
            "paper": paper,
            "last": LAST_WORD,
            "lines": [
                [row["part"], f"{row['line']}{_mark(row['source'])}"] for row in tables.rows("handover")
            ],
            "clean": [f"{row['text']}{_mark(row['source'])}" for row in tables.rows("clean_out")],
            "cautions": [
                f"{sentence(TableSentence(*tables.with_values(row['text'])), q)} [{row['source']}]."
                for row in cautions
            ],
            "sources": " ".join(f"{one}." for one in sources_named(cited)),
            "bookings": [_booking(season, placement, q) for placement in season.placements],
        },
    )


def _mark(source: str) -> str:
    return " *" if source == "practice" else f" [{source}]"


def _booking(season: Season, one: Placement, q: Quantities) -> dict[str, object]:
    after = [
        other for other in season.placements if other.drill == one.drill and other.days[0] > one.days[-1]
    ]
    same_day = next_on_the_day(season, one)
    if same_day:
        following = f"{same_day.request.renter} collects it on the same day, at {place_text(one.request.place_lonlat)}"
    elif after:
        following = f"{after[0].request.renter} collects it on {after[0].days[0]:%a %d %b}, at {place_text(one.request.place_lonlat)}"
    else:
        following = "nobody: bring it home"
    facts = [
        ("Renter", one.request.renter),
        ("Drill", one.drill),
        ("Request", one.request.request_id),
        (
            "Days",
            f"{one.days[0]:%a %d %b} to {one.days[-1]:%a %d %b %Y}, {counted(len(one.days), 'working day')}",
        ),
        ("Collect from", f"{collected_from(one)}, at {place_text(_place_before(season, one))}"),
        ("Road", q.distance(one.tow_m)),
        (
            "Work",
            f"{q.area(one.duration.ground_m2, 1)} {q.area_word}, {hours(one.duration.job_s)} with hitching and clean-out",
        ),
        ("Next", following),
    ]
    if one.shares_with:
        facts.append(("Shared days", sharing_text(season, one)))
    return {
        "title": plain(f"{one.request.renter}: {one.drill}"),
        "facts": [[name, plain(text)] for name, text in facts],
    }


def _place_before(season: Season, one: Placement) -> tuple[float, float]:
    """Where a drill is before a booking: with the renter before, or at its home."""
    own = [other for other in season.placements if other.drill == one.drill]
    before = own.index(one) - 1
    if before >= 0:
        return own[before].request.place_lonlat
    return next(drill.home_lonlat for drill in season.program.drills if drill.name == one.drill)


OUTPUT: Output[SeasonAsked] = Output(
    name="hand-over",
    words="PDF, a page a booking to be signed",
    always=("hand-over.pdf",),
    make=lambda asked: {"hand-over.pdf": ready(handover_sheets(asked.season, asked.q, asked.paper))},
    extra="sheets",
)
