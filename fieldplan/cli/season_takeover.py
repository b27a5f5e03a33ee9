"""``fieldplan season takeover``: take an older folder with its season.json into the store."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import click

from fieldplan.cli.options import season_argument
from fieldplan.cli.season_ledger import ledger_option
from fieldplan.cli.season_written import rows_text
from fieldplan.office.entered import enter
from fieldplan.office.office import open_office
from fieldplan.office.takeover import taken_over
from fieldplan.report.words.plain import plain


@click.command("takeover", short_help="Take an older season's bookings into the store.")
@season_argument
@click.option(
    "--was",
    "was_path",
    metavar="season.json",
    required=True,
    type=click.Path(path_type=Path),
    help="The bookings as season plan --out wrote them last.",
)
@ledger_option
def takeover_command(season_path: Path, was_path: Path, ledger_path: Path | None) -> None:
    """Take an older folder over: its list of requests and its season.json go into the store.

    The ledger that it has already stays as it is and becomes the store: its confirmations hold. Where it and season.json
    say different things, the ledger is right, and the difference is printed.

    \b
    fieldplan season takeover spring --was spring/bookings/season.json
    """
    office = open_office(season_path, ledger_path)
    found = taken_over(office, was_path, date.today())
    written = enter(office, found.fresh, found.people, now=datetime.now(UTC))
    for name in found.unlike:
        click.echo(
            f"{plain(name)} is confirmed elsewhere in the ledger than season.json has it: the ledger holds."
        )
    for name in found.without:
        click.echo(
            f"{plain(name)} has a booking in season.json and no row in the list of requests: left out."
        )
    if written:
        click.echo(f"Taken over into {plain(str(office.path))}: {rows_text(written)}.")
    else:
        click.echo("Nothing to take over: the store has all of it.")
