"""``fieldplan season capacity``: whether the drills are enough."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from fieldplan.cli.documents import ALSO_PDF, show
from fieldplan.cli.options import (
    force_option,
    json_option,
    out_option,
    paper_option,
    quantity_option,
    season_argument,
    units_option,
)
from fieldplan.cli.progress import with_requests, with_seasons
from fieldplan.cli.season_ledger import ledger_option
from fieldplan.errors import UsageError
from fieldplan.office.office import open_office, promises_of
from fieldplan.report.data.capacity import capacity_object
from fieldplan.report.documents.capacity import capacity_document
from fieldplan.report.typeset import Paper
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.season.capacity import capacity_of
from fieldplan.season.of_region import read_region


@click.command("capacity", short_help="Test if the drills are enough.")
@season_argument
@click.option(
    "--weathers",
    "n_drawn",
    type=click.IntRange(100, 100_000),
    default=4000,
    show_default=True,
    help="Number of seasons of weather to draw.",
)
@click.option(
    "--region",
    "region_folder",
    metavar="DIR",
    type=click.Path(path_type=Path),
    help="Also tell what the parcels of a region would ask: the folder of fieldplan region --out DIR.",
)
@quantity_option(
    "--ground", "area", "Ground of the region that a program would sow.  [default: all that is planned]"
)
@units_option
@json_option
@out_option(ALSO_PDF, "capacity.pdf")
@paper_option
@force_option
@ledger_option
def capacity_command(
    season_path: Path,
    n_drawn: int,
    region_folder: Path | None,
    ground: float | None,
    units: System,
    as_json: bool,
    folder: Path | None,
    paper: Paper,
    force: bool,
    ledger_path: Path | None,
) -> None:
    """Test if the drills are enough for the season.

    The season runs through thousands of drawn weathers. The page compares days asked for with days at hand,
    and acres with a published yardstick, and plans the season again with one more drill, a wider drill, or
    another working day.

    \b
    fieldplan season capacity season.toml
    fieldplan season capacity season.toml --region county --ground "2500 ac"
    """
    if ground is not None and region_folder is None:
        raise UsageError.of("ground-without-region", about="--ground")
    region = None if region_folder is None else read_region(region_folder)
    office = open_office(season_path, ledger_path, must_be=ledger_path is not None)
    found = capacity_of(
        office.program,
        office.requests,
        n_drawn,
        with_seasons,
        promises_of(office.standing),
        region,
        ground,
        with_requests,
    )
    show(
        replace(capacity_document(found, Quantities(units)), head=office.program.terms.letterhead),
        capacity_object(found),
        "capacity",
        as_json=as_json,
        folder=folder,
        paper=paper,
        force=force,
    )
