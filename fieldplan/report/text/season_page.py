"""A season for the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from fieldplan.model.job import BookingTerms
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.request import Request
from fieldplan.model.season import Season
from fieldplan.model.standing import Since
from fieldplan.report.text.entering import store_words
from fieldplan.report.text.notes import note_lines
from fieldplan.report.text.season_since import since_lines
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.hours import hours
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.numbers import counted, odds_text, percent
from fieldplan.report.words.plain import plain
from fieldplan.report.words.proven import proven_lines
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence
from fieldplan.report.words.sharing import collected_from
from fieldplan.report.words.sources import sources_named, sources_of


def season_page(season: Season, q: Quantities, since: Since | None = None, store: str = "") -> str:
    """The season: in short, each drill's bookings in order, those not served with offers, reasons, notes.

    Parameters
    ----------
    q
        Units of the reader.
    since
        What happened since the last plan, where the season has a store.
    store
        The season as commands name it (`store_words`); else by its file.
    """
    terms = season.program.terms
    every = [
        *(placement.request for placement in season.placements),
        *(refusal.request for refusal in season.refusals),
    ]
    lines = [
        season_title(season.program),
        "",
        "IN SHORT",
        *_short(season, q),
        *(since_lines(since, store or store_words(season.program.path)) if since else ()),
    ]
    for drill in season.program.drills:
        placements = [placement for placement in season.placements if placement.drill == drill.name]
        lines += ["", plain(drill.name.upper())]
        rows = [
            (
                f"{placement.days[0]:%a %d %b}",
                f"{placement.days[-1]:%a %d %b}",
                called(placement.request, every),
                collected_from(placement),
                str(len(placement.days)),
                q.area(placement.duration.ground_m2, 1),
                hours(placement.duration.job_s),
                "–"
                if placement.odds_prob is None
                else odds_text(placement.odds_prob, terms.confidence_prob),
                str(placement.waiting_days),
                q.distance(placement.tow_m),
            )
            for placement in placements
        ]
        header = (
            "first day",
            "last day",
            "renter",
            "collects from",
            "days",
            q.area_word,
            "work",
            "odds",
            "waits",
            "road",
        )
        lines += table(header, rows, left=4) if rows else ["  Nobody."]
    if season.refusals:
        lines += ["", "NOT SERVED"]
        for refusal in season.refusals:
            lines += paragraph(
                f"{refusal.request.renter} ({refusal.request.request_id}): {sentence(refusal.reason, q)}.",
                bullet="- ",
            )
            lines += [
                line
                for change in refusal.changes
                for line in paragraph(f"{sentence(change, q)}.", bullet="> ", indent=4)
            ]
            if not refusal.changes:
                lines += paragraph(
                    "no change that was tried would serve it: later days, less ground, another drill.",
                    bullet="> ",
                    indent=4,
                )
    lines += ["", "WHY"]
    for placed in season.placements:
        lines += paragraph(f"{called(placed.request, every)}: {sentence(placed.reason, q)}.", bullet="- ")
    lines += ["", "NOTES", *note_lines(season.notes, q), "", "CALCULATED WITH", *_calculated(season, q)]
    lines += [
        "",
        "SOURCES",
        *(
            line
            for source in sources_named(_sources(season))
            for line in paragraph(f"{source}.", bullet="- ")
        ),
    ]
    return "\n".join(lines) + "\n"


def season_title(program: RentalProgram) -> str:
    """The season and its days."""
    terms = program.terms
    return plain(f"{terms.name}: {terms.opens:%a %d %b %Y} to {terms.closes:%a %d %b %Y}")


def season_in_short(season: Season, q: Quantities) -> str:
    """The few lines that say how many are served, and how well."""
    return "\n".join(_short(season, q))


def _sources(season: Season) -> Iterator[str]:
    """Keys of the sources that the page names: those of notes, defaults, refusals and offers."""
    yield from sources_of(season.notes)
    yield from sources_of(
        note for drill in season.program.drills for note in drill.job.notes if note.code == "default-used"
    )
    yield from sources_of(
        fact for refusal in season.refusals for fact in (refusal.reason, *refusal.changes)
    )


def _calculated(season: Season, q: Quantities) -> Iterator[str]:
    """What days and hours were calculated with: values of each drill's job file, and which are defaults."""
    for drill in season.program.drills:
        working, booking = drill.job.working, drill.job.booking
        terms = [
            f"a working day of {hours(booking.day_s)}",
            f"{percent(booking.chance_prob)} of days are fieldwork days{_record(booking)}",
            f"persistence {percent(booking.persistence_frac)}",
            f"uncertainty of hours {percent(booking.uncertainty_frac)}",
            f"{q.speed(working.field_speed_m_per_s)} in the field, {q.speed(working.towing_speed_m_per_s)} on the road",
            f"straight-line distance × {working.road_factor:g}",
            f"set-up {hours(working.set_up_s)}",
            f"calibration {hours(working.calibration_s)}",
            f"clean-out {hours(working.clean_out_s)}",
            f"inspection {hours(season.program.terms.inspection_s)}",
        ]
        yield from paragraph(f"{drill.name} ({drill.job.path.name}): {', '.join(terms)}.", bullet="- ")

    users: dict[str, list[str]] = {}
    for drill in season.program.drills:
        for note in drill.job.notes:
            if note.code == "default-used":
                users.setdefault(sentence(note, q), []).append(drill.name)
    for names in dict.fromkeys(map(tuple, users.values())):
        texts = [text for text, drills in users.items() if tuple(drills) == names]
        yield from paragraph(f"Defaults of {', '.join(names)}: {'; '.join(texts)}.", bullet="- ")


def _record(booking: BookingTerms) -> str:
    """The record that chance, persistence and odds are from; empty if there is none."""
    return "" if booking.weather is None else f" by {Path(booking.weather.record.name).name}"


def called(request: Request, every: Sequence[Request]) -> str:
    """A renter's name, with the request id if the renter has several requests in ``every``."""
    several = sum(other.renter == request.renter for other in every) > 1
    return f"{request.renter} ({request.request_id})" if several else request.renter


def _short(season: Season, q: Quantities) -> Iterator[str]:
    for warning in warning_lines(season.notes, q):
        yield from paragraph(warning)
    for unlikely in _unlikely(season):
        yield from paragraph(unlikely)
    proof, served = season.proof, len(season.placements)
    text = f"{served} of {counted(served + len(season.refusals), 'request')} served"
    confirmed = sum(placement.confirmed for placement in season.placements)
    text += f", {confirmed} of them confirmed" if confirmed else ""
    sharing = sum(bool(placement.shares_with) for placement in season.placements)
    text += f", {sharing} of them on shared days" if sharing else ""
    text += (
        ", proven: no schedule serves more by the rules."
        if proof.served_proven
        else "; not proven to be the most."
    )
    yield from paragraph(text)
    for line in proven_lines(proof, q):
        yield from paragraph(line)


def _unlikely(season: Season) -> Iterator[str]:
    """A warning on bookings with lower odds than the season promises."""
    asked = season.program.terms.confidence_prob
    low = [
        placement
        for placement in season.placements
        if placement.odds_prob is not None and placement.odds_prob < asked
    ]
    if low:
        every = [placement.request for placement in season.placements]
        names = ", ".join(
            f"{called(placement.request, every)} {odds_text(placement.odds_prob or 0.0, asked)}"
            for placement in low
        )
        yield plain(
            f"Warning: odds of being done in the days booked, under the {percent(asked)} asked for: {names}."
        )
