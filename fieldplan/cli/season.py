"""``fieldplan season``: who has which drill when."""

from __future__ import annotations

from pathlib import Path

import click

from fieldplan.cli.options import force_option, json_option, units_option
from fieldplan.cli.progress import with_requests
from fieldplan.report.files import write_files
from fieldplan.report.json_text import json_text
from fieldplan.report.quantities import Quantities, System
from fieldplan.report.season_files import season_writers
from fieldplan.report.season_page import season_object, season_page
from fieldplan.season.lending import load_lending
from fieldplan.season.plan import plan_season
from fieldplan.season.requests import read_requests


@click.group("season")
def command() -> None:
    """A district's season: drills lent back to back."""


@command.command("plan")
@click.argument("season_path", metavar="SEASON.toml", type=click.Path(path_type=Path))
@units_option
@json_option
@click.option("--out", "folder", metavar="DIR", type=click.Path(path_type=Path),
              help="Also write files into this folder: bookings as JSON and CSV, a picture, a calendar a drill and a renter.")  # fmt: skip
@force_option
def plan_command(season_path: Path, units: System, as_json: bool, folder: Path | None, force: bool) -> None:
    """Place every request of a season, or say why not and what would change it.

    SEASON.toml says when the season is, by which rules requests are served, which list they stand in and which drills there are.

    \b
    fieldplan season plan season.toml
    fieldplan season plan season.toml --out bookings
    """
    lending = load_lending(season_path)
    season = plan_season(lending, read_requests(lending.requests_path), with_requests)
    quantities = Quantities(units)
    if folder is not None:
        for path in write_files(folder, season_writers(season, quantities), force=force):
            click.echo(f"Wrote {path}", err=True)
    click.echo(json_text(season_object(season)) if as_json else season_page(season, quantities), nl=False)
