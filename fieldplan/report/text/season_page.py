"""A season as text, as nested dicts and as a spreadsheet's rows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fieldplan.model.season import Request, Season
from fieldplan.report.text.notes import note_lines
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities, counted, hours, odds_text, percent
from fieldplan.report.words.sentences import sentence
from fieldplan.report.words.sharing import collected_from
from fieldplan.report.words.sources import sources_named, sources_of


def season_page(season: Season, q: Quantities) -> str:
    """In short, then each drill's bookings in order, those not served with what would change it, reasons
    and notes.
    """
    terms = season.program.terms
    every = [
        *(placement.request for placement in season.placements),
        *(refusal.request for refusal in season.refusals),
    ]
    lines = [
        plain(f"{terms.name}: {terms.opens:%a %d %b %Y} to {terms.closes:%a %d %b %Y}"),
        "",
        "IN SHORT",
        *_short(season, q),
    ]
    for drill in season.program.drills:
        own = [placement for placement in season.placements if placement.drill == drill.name]
        lines += ["", plain(drill.name.upper())]
        rows = [
            (
                f"{one.days[0]:%a %d %b}",
                f"{one.days[-1]:%a %d %b}",
                called(one.request, every),
                collected_from(one),
                str(len(one.days)),
                q.area(one.duration.ground_m2, 1),
                hours(one.duration.job_s),
                "–" if one.odds_prob is None else odds_text(one.odds_prob, terms.confidence_prob),
                str(one.waiting_days),
                q.distance(one.tow_m),
            )
            for one in own
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
                    "no change that was tried finds it a place: later days, less ground, another drill here.",
                    bullet="> ",
                    indent=4,
                )
    lines += ["", "WHY"]
    for placed in season.placements:
        lines += paragraph(f"{called(placed.request, every)}: {sentence(placed.reason, q)}.", bullet="- ")
    lines += ["", "NOTES", *note_lines(season.notes, q), "", "RECKONED WITH", *_reckoned(season, q)]
    lines += [
        "",
        "SOURCES",
        *(line for one in sources_named(_sources(season)) for line in paragraph(f"{one}.", bullet="- ")),
    ]
    return "\n".join(lines) + "\n"


def _sources(season: Season) -> Iterator[str]:
    """Keys of the sources that the page names: of notes, of defaults, of why requests are refused."""
    yield from sources_of(season.notes)
    yield from sources_of(
        note for drill in season.program.drills for note in drill.job.notes if note.code == "default-used"
    )
    yield from sources_of(
        fact for refusal in season.refusals for fact in (refusal.reason, *refusal.changes)
    )


def _reckoned(season: Season, q: Quantities) -> Iterator[str]:
    """What each drill's job file says that days and hours rest on, and which of it is a default."""
    for drill in season.program.drills:
        working, booking = drill.job.working, drill.job.booking
        terms = [
            f"a working day of {hours(booking.day_s)}",
            f"{percent(booking.fieldwork_day_prob)} of days fit",
            f"persistence {percent(booking.persistence_frac)}",
            f"spread of hours {percent(booking.uncertainty_frac)}",
            f"{q.speed(working.field_speed_m_per_s)} in the field, {q.speed(working.towing_speed_m_per_s)} on the road",
            f"straight distance × {working.road_factor:g}",
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
        texts = [text for text, own in users.items() if tuple(own) == names]
        yield from paragraph(f"Defaults of {', '.join(names)}: {'; '.join(texts)}.", bullet="- ")


def called(request: Request, every: Sequence[Request]) -> str:
    """A renter's name; with the request where the renter has several."""
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
    proven = proof.waiting_days <= proof.waiting_bound_days
    text = f"{counted(proof.waiting_days, 'day')} of waiting in all, "
    yield from paragraph(
        text
        + (
            "proven the least for those served."
            if proven
            else f"at least {proof.waiting_bound_days} in any schedule that serves them."
        )
    )
    if proof.tow_m <= proof.tow_bound_m + 0.5:
        yield from paragraph(f"{q.distance(proof.tow_m)} of towing, home to home, proven the least.")
    else:
        yield from paragraph(
            f"{q.distance(proof.tow_m)} of towing, home to home; no such season has less than {q.distance(proof.tow_bound_m)}."
        )


def _unlikely(season: Season) -> Iterator[str]:
    """A sentence on bookings whose days hold their work with less than the odds promised."""
    asked = season.program.terms.confidence_prob
    low = [
        placement
        for placement in season.placements
        if placement.odds_prob is not None and placement.odds_prob < asked
    ]
    if low:
        every = [placement.request for placement in season.placements]
        names = ", ".join(
            f"{called(one.request, every)} {odds_text(one.odds_prob or 0.0, asked)}" for one in low
        )
        yield plain(
            f"Warning: odds of being done in the days booked, under the {percent(asked)} asked for: {names}."
        )
