"""What commands that plan a season share: writing its files, and saying what went into the store."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import click

from fieldplan.cli.written import write_and_say
from fieldplan.model.records import Entry
from fieldplan.model.replanned import Change
from fieldplan.model.season import Season
from fieldplan.model.standing import Checked
from fieldplan.report.output import Diary, SeasonAsked
from fieldplan.report.outputs import SEASON, writers_of
from fieldplan.report.typeset import Paper
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities

phones_option = click.option(
    "--phones",
    is_flag=True,
    help="Put telephone numbers into the calendars. Without it no shared file has any.",
)
what_if_option = click.option("--what-if", is_flag=True, help="Enter nothing in the store.")


def write_season(
    folder: Path,
    season: Season,
    q: Quantities,
    paper: Paper,
    diary: Diary | None,
    *,
    phones: bool,
    force: bool,
    lost: Sequence[Change] = (),
    checks: Mapping[str, Sequence[Checked]] | None = None,
) -> None:
    """Write the files of a season into a folder.

    Parameters
    ----------
    diary
        What its calendars carry, if it has a store.
    lost
        Bookings that a what-if lost.
    checks
        What must be in order before a drill goes out, by request.
    """
    asked = SeasonAsked(
        season=season, q=q, paper=paper, phones=phones, lost=lost, diary=diary, checks=checks or {}
    )
    write_and_say(folder, writers_of(SEASON, asked), force=force)


def rows_text(written: Sequence[Entry]) -> str:
    """The rows of entries, such as "rows 3 to 7"."""
    first, last = written[0].number, written[-1].number
    return f"row {first}" if first == last else f"rows {first} to {last}"


def say_entered(path: Path, written: Sequence[Entry]) -> None:
    """Say beside the page what went into the store."""
    if written:
        click.echo(f"Entered in {plain(str(path))}: {rows_text(written)}.", err=True)
