"""``fieldplan season plan``: give every request its days, and keep what was promised."""

from __future__ import annotations

from datetime import UTC, date, datetime
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
    units_option,
)
from fieldplan.cli.progress import with_requests, with_steps
from fieldplan.cli.season_help import PLAN_SECTIONS
from fieldplan.cli.season_ledger import ledger_option
from fieldplan.cli.season_written import phones_option, say_entered, what_if_option, write_season
from fieldplan.errors import UsageError
from fieldplan.model.standing import Carried
from fieldplan.office.calendars import diary_of
from fieldplan.office.entered import enter
from fieldplan.office.office import open_office
from fieldplan.office.planning import planned
from fieldplan.report.data.json_text import json_text
from fieldplan.report.data.season_json import season_object
from fieldplan.report.data.season_since import since_object
from fieldplan.report.output import Diary
from fieldplan.report.outputs import SEASON, always_of
from fieldplan.report.text.entering import store_words
from fieldplan.report.text.season_page import season_page
from fieldplan.report.typeset import Paper
from fieldplan.report.words.quantities import Quantities, System

ATTEMPTS = 3
"""How often a season is planned again because somebody else wrote to its store meanwhile."""


def _start(ctx: click.Context, param: click.Parameter, value: str | None) -> date | None:
    del ctx, param
    return None if value is None else date_of("--today", value)


@click.command(
    "plan",
    short_help="Give every request its days with a drill, or say why not.",
    cls=Explained,
    sections=PLAN_SECTIONS,
)
@season_argument
@click.option(
    "--today",
    "start",
    metavar="YYYY-MM-DD",
    callback=_start,
    help="The first day that can still be given.  [default: the latest day on which something happened]",
)
@click.option(
    "--refill", is_flag=True, help="Give days that are free again away by the rules, without phoning first."
)
@what_if_option
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
    start: date | None,
    refill: bool,
    what_if: bool,
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
    tried, and printed only if it works.

    What changed in the list of requests is taken into the store, and so are the bookings. Bookings that are
    confirmed, or whose drill is out, keep their days; all others are planned again each time. Days that were
    promised and are free again are given to nobody before you have phoned (see season offers), but to those who lost a
    booking to days lost or to another's late work. Needs the extras "season" and "sheets".

    \b
    fieldplan season plan season.toml
    fieldplan season plan season.toml --out bookings
    """
    quantities = Quantities(units)
    for attempt in range(1, ATTEMPTS + 1):
        office = open_office(season_path, ledger_path, must_be=ledger_path is not None)
        now = datetime.now(UTC)
        found = planned(office, start or date.today(), start, with_requests, with_steps, refill=refill)
        diary: Diary | None = None
        carried: tuple[Carried, ...] = ()
        if folder is not None and not what_if:
            diary, carried = diary_of(office, found.season, now, phones=phones)
        try:
            written = () if what_if else enter(office, found.fresh, found.people, carried, now)
            break
        except UsageError as error:
            if attempt == ATTEMPTS or error.problems[0].code != "store-moved-on":
                raise
    if folder is not None:
        write_season(
            folder, found.season, quantities, paper, diary, phones=phones, force=force, checks=found.checks
        )
    say_entered(office.path, written)
    click.echo(
        json_text(season_object(found.season) | {"since": since_object(found.since)})
        if as_json
        else season_page(found.season, quantities, found.since, store_words(season_path, ledger_path)),
        nl=False,
    )
