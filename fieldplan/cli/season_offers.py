"""``fieldplan season offers``: who is to be phoned about days that are free again."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from fieldplan.cli.options import date_of, json_option, season_argument
from fieldplan.cli.progress import with_requests
from fieldplan.cli.season_ledger import ledger_option
from fieldplan.office.office import open_office
from fieldplan.report.data.json_text import json_text
from fieldplan.report.data.season_since import offers_object
from fieldplan.report.text.entering import store_words
from fieldplan.report.text.season_offers import offers_page
from fieldplan.season.held import overdue
from fieldplan.season.waiting_list import waiting_list


@click.command("offers", short_help="List whom to phone about days that are free again.")
@season_argument
@click.option(
    "--today",
    "today_text",
    metavar="YYYY-MM-DD",
    help="The first day still to come.  [default: the latest day on which something happened]",
)
@json_option
@ledger_option
def offers_command(
    season_path: Path, today_text: str | None, as_json: bool, ledger_path: Path | None
) -> None:
    """List whom to phone about days that are free again: cancelled, given back, withdrawn or done early.

    Those who lost their booking to days lost or to work that went on come first, then others without days, then those
    who would have theirs earlier, each by your rules. Each line says what the renter would gain, and what to enter for
    a yes and for a no. Nothing moves before you enter it.

    \b
    fieldplan season offers spring
    """
    office = open_office(season_path, ledger_path, must_be=True)
    today: date | None = None if today_text is None else date_of("--today", today_text)
    terms = office.program.terms
    offers = waiting_list(office.program, office.requests, office.standing, today, with_requests)
    click.echo(
        json_text(offers_object(offers))
        if as_json
        else offers_page(
            offers,
            terms.name,
            terms.confidence_prob,
            store_words(season_path, ledger_path),
            overdue(office.standing, today),
            any_free=bool(office.standing.freed),
        ),
        nl=False,
    )
