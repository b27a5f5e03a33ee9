"""A season after rain, before and after side by side, and who is to be told."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from fieldplan.model.season import Booked, Change, Replanned, Request
from fieldplan.report.text.season_page import called
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import counted, odds_text, percent


def rain_page(found: Replanned, season: str, today: date) -> str:
    """Which season and day, in short, before and after, then who is to be told what."""
    every = [change.request for change in found.changes]
    names = {change.request.request_id: change.request.renter for change in found.changes}
    moved = [change for change in found.changes if change.moved]
    dropped = [one for one in moved if one.now is None]
    days = sum(abs(one.later_days) for one in moved)
    fewest = len(moved) - len(dropped) <= found.moved_bound and days <= found.moved_days_bound
    text = f"{counted(len(found.changes), 'booking')} to come or going on, {len(found.finished)} finished; {len(moved) - len(dropped)} moved, by {counted(days, 'day')} in all; {len(dropped)} lost."
    proof = (
        "Proven: none serves more by the rules, and then none moves fewer people, or those by fewer days."
        if found.served_proven and fewest
        else (
            f"Not proven to be the fewest: at least {found.moved_bound} moved by {counted(found.moved_days_bound, 'day')}."
        )
    )
    lines = [
        plain(f"{season} after rain, as of {today:%a %d %b %Y}"),
        "",
        "IN SHORT",
        *(line for text in _unlikely(found, every) for line in paragraph(text)),
        *paragraph(text),
        *paragraph(proof),
        "",
        "BEFORE AND AFTER",
    ]
    rows = [
        (
            called(change.request, every),
            _booked_text(change.was, names),
            _booked_text(change.now, names) if change.now else "lost",
            _odds(change, found),
            _word(change),
        )
        for change in found.changes
    ]
    lines += (
        table(("renter", "was", "is", "odds", ""), rows, left=5) if rows else ["  Nothing is left to do."]
    )
    lines += ["", "TO BE TOLD"]
    for change in found.changes:
        if change.must_be_notified:
            who = ", ".join(filter(None, (change.request.request_id, change.request.phone)))
            lines += paragraph(f"{change.request.renter} ({who}): {_moved(change, names)}", bullet="- ")
    if not any(change.must_be_notified for change in found.changes):
        lines.append("  Nobody.")
    return "\n".join(lines) + "\n"


def _unlikely(found: Replanned, every: Sequence[Request]) -> Iterator[str]:
    """A warning where days hold the work with less than the odds promised."""
    if found.unlikely:
        names = ", ".join(f"{called(one.request, every)} {_odds(one, found)}" for one in found.unlikely)
        yield plain(
            f"Warning: odds of being done in the days left, under the {percent(found.confidence_prob)} asked for: {names}."
        )


def _odds(one: Change, found: Replanned) -> str:
    return "–" if one.odds_prob is None else odds_text(one.odds_prob, found.confidence_prob)


def _booked_text(booked: Booked, names: Mapping[str, str]) -> str:
    return plain(
        f"{booked.drill}, {booked.days[0]:%a %d %b} to {booked.days[-1]:%a %d %b}{_with(booked, names)}"
    )


def _with(booked: Booked, names: Mapping[str, str]) -> str:
    """Who shares its days."""
    return (
        f", shared with {', '.join(names.get(one, one) for one in booked.shares_with)}"
        if booked.shares_with
        else ""
    )


def _word(one: Change) -> str:
    if one.now is None:
        return "loses it"
    if one.begun:
        return "goes on"
    if not one.moved:
        return "keeps it" if one.now.days == one.was.days else "keeps its first day"
    return (
        "another drill"
        if one.later_days == 0
        else f"{counted(abs(one.later_days), 'day')} {'later' if one.later_days > 0 else 'earlier'}"
    )


def _moved(one: Change, names: Mapping[str, str]) -> str:
    if one.now is None:
        return f"loses its booking of {_booked_text(one.was, names)}: {one.reason}."
    asked = "; it was confirmed, so ask again" if one.was.confirmed and one.moved else ""
    until = f"done by {one.now.days[-1]:%a %d %b}"
    until += "" if one.now.days[-1] == one.was.days[-1] else f" instead of {one.was.days[-1]:%a %d %b}"
    if not one.moved:
        company = (_with(one.now, names) or ", and no longer shares it") if one.shared_otherwise else ""
        return (
            f"goes on{company}; {until}."
            if one.begun
            else f"keeps its first day, {one.now.days[0]:%a %d %b}{company}; {until}."
        )
    drill = f", with {one.now.drill} instead of {one.was.drill}" if one.now.drill != one.was.drill else ""
    return f"from {one.was.days[0]:%a %d %b} to {one.now.days[0]:%a %d %b}{drill}, {until}{_with(one.now, names)}{asked}."
