"""A season after rain for the terminal: before and after side by side, and which renters to call."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from fieldplan.model.booked import Booked
from fieldplan.model.replanned import Change, Question, Replanned
from fieldplan.model.request import Request
from fieldplan.report.text.entering import command_lines
from fieldplan.report.text.season_page import called
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.numbers import counted, odds_text, percent
from fieldplan.report.words.plain import plain


def rain_page(found: Replanned, season: str, today: date, store: str = "") -> str:
    """The season after rain: in short, before and after, and what to tell each renter.

    Parameters
    ----------
    season
        Name of the season.
    store
        The season as it is named in commands; empty if nothing can be entered in one.
    """
    every = [change.request for change in found.changes]
    asked = {one.request.request_id: one for one in found.questions}
    names = {change.request.request_id: change.request.renter for change in found.changes}
    moved = [change for change in found.changes if change.moved]
    lost = [change for change in moved if change.now is None]
    days = sum(abs(change.later_days) for change in moved)
    n_moved = len(moved) - len(lost)
    fewest = n_moved <= found.moved_bound and days <= found.moved_days_bound
    summary = (
        f"{counted(len(found.changes), 'booking')} to come or going on, {len(found.finished)} finished; "
        f"{n_moved} moved, by {counted(days, 'day')} in all; {len(lost)} lost."
    )
    proof = (
        "Proven: no schedule serves more by the rules, and none of those moves fewer people, or moves them by fewer days."
        if found.served_proven and fewest
        else (
            f"Not proven to be the fewest: any schedule moves at least {found.moved_bound}, by {counted(found.moved_days_bound, 'day')}."
        )
    )
    lines = [
        plain(f"{season} after rain, as of {today:%a %d %b %Y}"),
        "",
        "IN SHORT",
        *(line for text in _unlikely(found, every) for line in paragraph(text)),
        *paragraph(summary),
        *paragraph(proof),
        *_questions(found, every, store, today),
        *_clashes(found, every, store, today),
        "",
        "BEFORE AND AFTER",
    ]
    rows = [
        (
            called(change.request, every),
            _booked_text(change.was, names),
            _booked_text(change.now, names) if change.now else "lost",
            _odds(change, found),
            "not known" if change.request.request_id in asked else _word(change),
        )
        for change in found.changes
    ]
    lines += (
        table(("renter", "was", "now", "odds", ""), rows, left=5) if rows else ["  Nothing is left to do."]
    )
    lines += ["", "RENTERS TO CALL"]
    for change in found.changes:
        if change.request.request_id in asked:
            lines += paragraph(_ask(change, asked[change.request.request_id]), bullet="- ")
        elif change.must_be_notified:
            who = ", ".join(filter(None, (change.request.request_id, change.request.phone)))
            lines += paragraph(f"{change.request.renter} ({who}): {_moved(change, names)}", bullet="- ")
    for one in found.lowered:
        who = ", ".join(filter(None, (one.request.request_id, one.request.phone)))
        lines += paragraph(
            f"{one.request.renter} ({who}): keeps its days; lost inside them: {_lost(one.lost)}; odds {odds_text(one.odds_prob, found.confidence_prob)} "
            f"instead of {odds_text(one.promised_prob, found.confidence_prob)}.",
            bullet="- ",
        )
    if not (found.lowered or asked) and not any(change.must_be_notified for change in found.changes):
        lines.append("  Nobody.")
    return "\n".join(lines) + "\n"


def _unlikely(found: Replanned, every: Sequence[Request]) -> Iterator[str]:
    """A warning on bookings with lower odds than were promised; those that are asked about are named there."""
    asked = {one.request.request_id for one in found.questions}
    unlikely = [change for change in found.unlikely if change.request.request_id not in asked]
    if unlikely:
        names = ", ".join(f"{called(change.request, every)} {_odds(change, found)}" for change in unlikely)
        yield plain(
            f"Warning: odds of being done in the days left, under the {percent(found.confidence_prob)} asked for: {names}."
        )


def _questions(found: Replanned, every: Sequence[Request], store: str, today: date) -> Iterator[str]:
    """Jobs under way of which nobody said how much is done, who depends on the answer, and what to enter."""
    if found.questions:
        yield ""
        yield "ASK FIRST: NOT KNOWN"
    for one in found.questions:
        name, last = one.request.request_id, one.booked.days[-1]
        booked = f"{one.booked.drill} to {last:%a %d %b}"
        where = ", and the drill is with it" if one.out else ", and it is not known that the drill went out"
        depends = " and ".join(called(request, every) for request in one.depends)
        after = f" {depends} depends on that." if len(one.depends) == 1 else f" {depends} depend on that."
        yield from paragraph(
            f"Is {name} done ({called(one.request, every)}, {booked}{where})? Nothing is entered of its work, so nobody moves for it."
            f"{after if depends else ''}",
            bullet="- ",
        )
        if store:
            yield "    > if it is done:"
            yield from command_lines(store, f'done request={name} share="100 %" day={today}')
            yield "    > if part of it is, say how much:"
            yield from command_lines(store, f'done request={name} share="50 %" day={today}')


def _ask(change: Change, question: Question) -> str:
    """What to ask a renter, and which days are kept until the answer is entered."""
    who = ", ".join(filter(None, (change.request.request_id, change.request.phone)))
    kept = ""
    if change.now is not None and change.now.days[-1] > change.was.days[-1]:
        kept = f"; until you enter it, the drill stays with it to {change.now.days[-1]:%a %d %b}, for nobody has those days"
    return f"{change.request.renter} ({who}): how much is done? Its last day is {question.booked.days[-1]:%a %d %b}{kept}."


def _clashes(found: Replanned, every: Sequence[Request], store: str, today: date) -> Iterator[str]:
    """Bookings with too few days, those behind them, and what the clerk could do."""
    if found.clashes:
        yield ""
        yield "TOO FEW DAYS: YOURS TO DECIDE"
    for clash in found.clashes:
        lost = _lost(clash.lost)
        behind = "nobody has the drill after it"
        if clash.behind is not None and clash.behind_booked is not None:
            behind = f"{called(clash.behind, every)} has it from {clash.behind_booked.days[0]:%a %d %b}"
        nothing = "if nothing of it is done, " if clash.unknown else ""
        yield from paragraph(
            f"{called(clash.request, every)}, {clash.booked.drill} to {clash.booked.days[-1]:%a %d %b}: {nothing}odds {odds_text(clash.odds_prob, clash.asked_prob)}, "
            f"{percent(clash.asked_prob)} were promised{'; lost: ' + lost if lost else ''}; {counted(clash.short_days, 'working day')} short; {behind}.",
            bullet="- ",
        )
        for choice in clash.choices:
            commands = choice.command.split("; ") if choice.command and store else []
            yield from paragraph(f"{choice.what}{':' if commands else ''}", bullet="> ", indent=4)
            for command in commands:
                yield from command_lines(store, f"{command} day={today}")
            if commands and choice.again:
                yield from command_lines(store, f"--today {today}", command="rain")


def _lost(days: Sequence[tuple[date, str]]) -> str:
    return ", ".join(f"{day:%a %d %b} ({why})" for day, why in days)


def _odds(change: Change, found: Replanned) -> str:
    return "–" if change.odds_prob is None else odds_text(change.odds_prob, found.confidence_prob)


def _booked_text(booked: Booked, names: Mapping[str, str]) -> str:
    return plain(
        f"{booked.drill}, {booked.days[0]:%a %d %b} to {booked.days[-1]:%a %d %b}{_with(booked, names)}"
    )


def _with(booked: Booked, names: Mapping[str, str]) -> str:
    """Who shares its days."""
    return (
        f", shared with {', '.join(names.get(other, other) for other in booked.shares_with)}"
        if booked.shares_with
        else ""
    )


def _word(change: Change) -> str:
    if change.now is None:
        return "loses it"
    if change.begun:
        return "done" if change.over else "goes on"
    if change.depends_on:
        return f"depends on {' and '.join(change.depends_on)}"
    if not change.moved:
        return "keeps it" if change.now.days == change.was.days else "keeps its first day"
    return (
        "another drill"
        if change.later_days == 0
        else f"{counted(abs(change.later_days), 'day')} {'later' if change.later_days > 0 else 'earlier'}"
    )


def _moved(change: Change, names: Mapping[str, str]) -> str:
    if change.now is None:
        return f"loses its booking of {_booked_text(change.was, names)}: {change.reason}."
    asked = "; it was confirmed, so ask again" if change.was.confirmed and change.moved else ""
    until = f"done by {change.now.days[-1]:%a %d %b}"
    until += (
        "" if change.now.days[-1] == change.was.days[-1] else f" instead of {change.was.days[-1]:%a %d %b}"
    )
    if not change.moved:
        company = (
            (_with(change.now, names) or ", and no longer shares it") if change.shared_otherwise else ""
        )
        return (
            f"goes on{company}; {until}."
            if change.begun
            else f"keeps its first day, {change.now.days[0]:%a %d %b}{company}; {until}."
        )
    drill = (
        f", with {change.now.drill} instead of {change.was.drill}"
        if change.now.drill != change.was.drill
        else ""
    )
    return f"from {change.was.days[0]:%a %d %b} to {change.now.days[0]:%a %d %b}{drill}, {until}{_with(change.now, names)}{asked}."
