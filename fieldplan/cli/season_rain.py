"""``fieldplan season rain``: plan the bookings again after days were lost."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import click

from fieldplan.cli.options import (
    date_of,
    force_option,
    json_option,
    out_option,
    paper_option,
    season_argument,
    today_option,
    units_option,
)
from fieldplan.cli.progress import with_requests, with_steps
from fieldplan.cli.season_ledger import ledger_option
from fieldplan.cli.season_written import phones_option, say_entered, write_season
from fieldplan.errors import QuantityError, UsageError
from fieldplan.model.replanned import SoFar
from fieldplan.model.standing import Carried
from fieldplan.office.calendars import diary_of
from fieldplan.office.entered import enter
from fieldplan.office.office import open_office
from fieldplan.office.planning import rain_planned
from fieldplan.report.data.json_text import json_text
from fieldplan.report.data.season_rain import rain_object
from fieldplan.report.output import Diary
from fieldplan.report.outputs import SEASON, always_of
from fieldplan.report.text.entering import store_words
from fieldplan.report.text.season_rain import rain_page
from fieldplan.report.typeset import Paper
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.season.after_rain import season_after
from fieldplan.season.bookings import read_bookings
from fieldplan.season.program import load_program
from fieldplan.season.rain import lost_days, replan
from fieldplan.season.requests import read_requests
from fieldplan.typed_quantity import parse_quantity


@click.command("rain", short_help="Replan the bookings after rain.")
@season_argument
@today_option
@click.option(
    "--was",
    "was_path",
    metavar="season.json",
    type=click.Path(path_type=Path),
    help="What if these had been the bookings: a season.json that season plan --out wrote. Nothing is entered.",
)
@click.option(
    "--lost",
    metavar="YYYY-MM-DD",
    multiple=True,
    help="What if this day were lost with all drills. Repeat for several. Nothing is entered.",
)
@click.option(
    "--done",
    metavar="REQUEST=SHARE",
    multiple=True,
    help='What if that much were done of a booking, such as "R05=60 %". Repeat for several. Nothing is entered.',
)
@units_option
@json_option
@out_option(
    "Also write the new season into this folder, as season plan does.",
    *always_of(SEASON),
)
@phones_option
@paper_option
@force_option
@ledger_option
def rain_command(
    season_path: Path,
    today: date,
    was_path: Path | None,
    lost: tuple[str, ...],
    done: tuple[str, ...],
    units: System,
    as_json: bool,
    folder: Path | None,
    phones: bool,
    paper: Paper,
    force: bool,
    ledger_path: Path | None,
) -> None:
    """Replan the bookings after rain: who keeps their days, who moves, whom to call.

    The store says how the season stands: first record days lost ("lost"), and how much is done ("done", "sown" or
    "in"). Confirmed bookings keep their days; days lost inside them lower their odds, which is printed first. A job
    that has begun goes on with its drill. Nobody is moved or struck off for a job of which it is not entered how much
    is done: the page asks for it, and names who depends on it. Where a job leaves somebody too few days, both bookings are named with what
    you could do, and nothing is decided for you. All others are served again by the rules, with as few people moved by
    as few days as possible (proven), and with the odds that were asked for. With --out, calendars carry the changes.

    \b
    fieldplan season record spring lost day=2027-04-28 why=rain
    fieldplan season rain spring --today 2027-04-29 --out bookings --force
    """
    program = load_program(season_path)
    lost_on = lost_days(program, (date_of("--lost", text) for text in lost))
    shares, q = _shares(done), Quantities(units)
    if was_path is not None:
        requests, before = read_requests(program.requests_path), read_bookings(was_path)
        so_far = SoFar(today=today, lost=lost_on, done_frac=shares)
        found = replan(program, requests, before, so_far, with_requests, with_steps)
        if folder is not None:
            season = season_after(program, requests, before, found, so_far, with_requests)
            gone = [change for change in found.changes if change.now is None]
            write_season(folder, season, q, paper, None, phones=phones, force=force, lost=gone)
    else:
        office = open_office(season_path, ledger_path, must_be=True)
        now, what_if = datetime.now(UTC), bool(lost or done)
        after = rain_planned(office, today, lost_on, shares, with_requests, with_steps)
        found = after.found
        diary: Diary | None = None
        carried: tuple[Carried, ...] = ()
        if folder is not None and not what_if:
            diary, carried = diary_of(office, after.season, now, phones=phones)
        written = () if what_if else enter(office, after.fresh, (), carried, now)
        if folder is not None:
            write_season(
                folder, after.season, q, paper, diary, phones=phones, force=force, checks=after.checks
            )
        say_entered(office.path, written)
    store = "" if was_path is not None else store_words(season_path, ledger_path)
    page = json_text(rain_object(found)) if as_json else rain_page(found, program.terms.name, today, store)
    click.echo(page, nl=False)


def _shares(done: tuple[str, ...]) -> dict[str, float]:
    shares: dict[str, float] = {}
    for name, share in map(_share, done):
        if name in shares:
            raise UsageError.of("done-twice", about="--done", request=name)
        shares[name] = share
    return shares


def _share(text: str) -> tuple[str, float]:
    name, _, share = text.rpartition("=")
    try:
        value = parse_quantity(share, "share")
    except QuantityError as error:
        raise UsageError.of("done-unreadable", about="--done", why=error.problems[0]) from None
    if not name.strip() or not 0 <= value <= 1:
        raise UsageError.of("done-unreadable/no-share", about="--done", given=text)
    return name.strip(), value
