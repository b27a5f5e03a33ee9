"""``fieldplan season``: a rental program for a season, and its schedule."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from fieldplan.cli.explained import Explained
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
from fieldplan.cli.season_capacity import capacity_command
from fieldplan.cli.season_help import PLAN_SECTIONS
from fieldplan.cli.season_ledger import ledger_option
from fieldplan.cli.season_papers import board_command, invoice_command, packet_command
from fieldplan.cli.season_record import ledger_command, record_command
from fieldplan.cli.written import write_and_say
from fieldplan.errors import QuantityError, UsageError
from fieldplan.model.season import SoFar
from fieldplan.records.confirmed import confirmed_in
from fieldplan.report.data.json_text import json_text
from fieldplan.report.data.season_json import season_object
from fieldplan.report.data.season_rain import rain_object
from fieldplan.report.output import SeasonAsked
from fieldplan.report.outputs import SEASON, always_of, writers_of
from fieldplan.report.text.season_page import season_page
from fieldplan.report.text.season_rain import rain_page
from fieldplan.report.typeset import Paper
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.season.after_rain import season_after
from fieldplan.season.bookings import read_bookings
from fieldplan.season.plan import plan_season
from fieldplan.season.program import load_program
from fieldplan.season.rain import lost_days, replan
from fieldplan.season.requests import read_requests
from fieldplan.units import parse_quantity

phones_option = click.option(
    "--phones",
    is_flag=True,
    help="Put telephone numbers into the calendars. Without it no shared file has any.",
)


class InOrder(click.Group):
    """A group that lists its commands in the order in which a season uses them."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names in the order of their registration."""
        del ctx
        return list(self.commands)


@click.group("season", cls=InOrder)
def command() -> None:
    """Run a district's rental program for a season.

    First plan the season from a list of requests. Replan it after rain. Record what happens in the ledger.
    Invoices, cost-share packets and the board report are sums of the ledger.

    \b
    fieldplan season plan season.toml --out bookings
    fieldplan season record season.toml --from entries.csv
    fieldplan season invoice season.toml R05 --out bookings
    fieldplan season board season.toml --out bookings
    """


@command.command(
    "plan",
    short_help="Give every request its days with a drill, or say why not.",
    cls=Explained,
    sections=PLAN_SECTIONS,
)
@season_argument
@units_option
@json_option
@out_option(
    "Also write files into this folder: bookings, month board, hand-over sheets, calendars (below).",
    *always_of(SEASON),
)
@phones_option
@paper_option
@force_option
@ledger_option
def plan_command(
    season_path: Path,
    units: System,
    as_json: bool,
    folder: Path | None,
    phones: bool,
    paper: Paper,
    force: bool,
    ledger_path: Path | None,
) -> None:
    """Give every request its days with a drill, or say why not and what would change that.

    Who is served follows your rules in order. Then waiting is made as short as possible; both are proven.
    Towing comes last. For each request not served, a later day, fewer acres or another drill is
    tried, and printed only if it works. Bookings that the ledger has as confirmed keep their days. Needs the extras "season" and
    "sheets".

    \b
    fieldplan season plan season.toml
    fieldplan season plan season.toml --out bookings
    """
    program = load_program(season_path)
    requests = read_requests(program.requests_path)
    season = plan_season(
        program,
        requests,
        with_requests,
        confirmed_in(season_path, ledger_path, program, requests),
        with_steps,
    )
    quantities = Quantities(units)
    if folder is not None:
        write_and_say(
            folder,
            writers_of(SEASON, SeasonAsked(season=season, q=quantities, paper=paper, phones=phones)),
            force=force,
        )
    click.echo(json_text(season_object(season)) if as_json else season_page(season, quantities), nl=False)


@command.command("rain", short_help="Replan the bookings after rain.")
@season_argument
@click.option(
    "--was",
    "was_path",
    metavar="season.json",
    required=True,
    type=click.Path(path_type=Path),
    help="The bookings before, as season plan --out wrote them.",
)
@today_option
@click.option(
    "--lost",
    metavar="YYYY-MM-DD",
    multiple=True,
    help="A day from today on that is lost. Repeat for several.",
)
@click.option(
    "--done",
    metavar="REQUEST=SHARE",
    multiple=True,
    help='Share done of a booking that has begun, such as "R05=60 %". Repeat for several.',
)
@units_option
@json_option
@out_option(
    "Also write the new season into this folder, as season plan does. Its season.json is for the next rain.",
    *always_of(SEASON),
)
@phones_option
@paper_option
@force_option
def rain_command(
    season_path: Path,
    was_path: Path,
    today: date,
    lost: tuple[str, ...],
    done: tuple[str, ...],
    units: System,
    as_json: bool,
    folder: Path | None,
    phones: bool,
    paper: Paper,
    force: bool,
) -> None:
    """Replan the bookings after rain: who keeps their days, who moves, whom to call.

    A job that has begun goes on with its drill, and a booking still to come keeps its length; if its odds are
    now under those asked for, that is printed first. Everyone else is served again by the rules, with as few
    people moved by as few days as possible (proven). The page has before and after side by side. With --out,
    bookings that are lost are canceled in the calendars.

    \b
    fieldplan season rain season.toml --was bookings/season.json \\
        --today 2027-04-27 --lost 2027-04-28 --done "R12=40 %"
    """
    program = load_program(season_path)
    so_far = SoFar(
        today=today,
        lost=lost_days(program, (date_of("--lost", text) for text in lost)),
        done_frac=_shares(done),
    )
    requests, before = read_requests(program.requests_path), read_bookings(was_path)
    found = replan(program, requests, before, so_far, with_requests, with_steps)
    if folder is not None:
        season = season_after(program, requests, before, found, so_far, with_requests)
        gone = [change for change in found.changes if change.now is None]
        write_and_say(
            folder,
            writers_of(
                SEASON,
                SeasonAsked(season=season, q=Quantities(units), paper=paper, phones=phones, lost=gone),
            ),
            force=force,
        )
    click.echo(
        json_text(rain_object(found)) if as_json else rain_page(found, program.terms.name, today), nl=False
    )


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


for _command in (
    capacity_command,
    record_command,
    ledger_command,
    invoice_command,
    packet_command,
    board_command,
):
    command.add_command(_command)
