"""``fieldplan plan``: the main job."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import get_args

import click

from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.cli.exclusions import exclusion_files
from fieldplan.cli.explained import Explained
from fieldplan.cli.options import (
    boundary_argument,
    force_option,
    job_option,
    json_option,
    out_option,
    paper_option,
    reading_options,
    search_option,
    today_option,
    units_option,
    with_working,
)
from fieldplan.cli.plan_help import SECTIONS
from fieldplan.cli.progress import with_files, with_progress
from fieldplan.cli.written import write_and_say
from fieldplan.errors import InputError, UsageError
from fieldplan.jobfile.load import load_job
from fieldplan.model.field import PatternWord, SearchWord
from fieldplan.model.job import Job
from fieldplan.planner import plan_job, setup_cards
from fieldplan.report.data.plan_json import plan_json
from fieldplan.report.output import PlanAsked
from fieldplan.report.outputs import (
    MANIFEST,
    PLAN,
    USUAL,
    asked_for,
    names_of,
    writers_asked,
)
from fieldplan.report.text.plan_page import page, short_answer, whole_page
from fieldplan.report.typeset import Paper
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.report.words.sentences import sentence
from fieldplan.typed_quantity import parse_quantity


@click.command("plan", cls=Explained, sections=SECTIONS)
@boundary_argument
@job_option
@units_option
@today_option
@json_option
@click.option(
    "--legs", is_flag=True, help="With --json or --out: put every leg of the route into the JSON."
)
@out_option(
    "Also write files into this folder: plan.json and plan.gpkg, or those that --write names.", MANIFEST
)
@click.option(
    "--write",
    metavar="NAMES",
    multiple=True,
    help=f"With --out, files to write: {', '.join(names_of(PLAN))}, or all.",
)
@paper_option
@force_option
@click.option(
    "--heading",
    metavar="ANGLE",
    help='Compass bearing of the passes, such as "90 deg".  [default: the quickest]',
)
@click.option("--blocks", type=click.IntRange(1, 24), help="Cut a field into at most this many blocks.")
@click.option(
    "--order",
    type=click.Choice(["best", "plain"]),
    help="Order of the passes. You can follow plain without guidance.",
)
@click.option(
    "--pattern",
    type=click.Choice(get_args(PatternWord)),
    help="How passes run.  [default: the quickest of straight, along edge and rounds]",
)
@search_option
@click.option(
    "--elevation",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="GeoTIFF of heights: slope, grade along passes, and --pattern contour.",
)
@reading_options
@click.option(
    "-q", "--quiet", is_flag=True, help="Print only the cover: what to book, buy, bring, pay and ask."
)
@click.option("-v", "--verbose", is_flag=True, help="Print all: every stop, table, note and source.")
def command(
    boundary: Path,
    job_path: Path,
    units: System,
    as_json: bool,
    legs: bool,
    folder: Path | None,
    write: tuple[str, ...],
    paper: Paper,
    force: bool,
    today: date,
    heading: str | None,
    blocks: int | None,
    order: str | None,
    pattern: PatternWord | None,
    search: SearchWord | None,
    elevation: Path | None,
    quiet: bool,
    verbose: bool,
    terms: ReadingTerms,
    excluding: tuple[tuple[Path, ...], float],
) -> None:
    """Plan a job: acres, passes, seed, refills, hours and days to book.

    FIELDS is a boundary file, such as GeoJSON, GeoPackage, Shapefile, KML, DXF or CSV, loose or in a zip file.
    `fieldplan check FIELDS` lists what is in it, and `fieldplan check --help` all formats.

    \b
    fieldplan plan fields.geojson --job job.toml
    fieldplan plan fields.geojson --job job.toml --out plans --write page,labels
    fieldplan plan fields.geojson --job job.toml --heading "90 deg" --order plain
    fieldplan plan fields.geojson --job job.toml --exclusions wet.kml
    """
    if quiet and verbose:
        raise UsageError.of("quiet-and-verbose")
    if write and folder is None:
        raise UsageError.of("write-nowhere", about="--write")
    names = tuple(name.strip() for text in write for name in text.split(",")) or USUAL
    asked_for(names)  # a name that is none is refused before the long work
    job = _with_choices(load_job(job_path), heading, blocks, order, pattern, search, elevation)
    fields = load_fields(boundary, terms, exclusion_files(excluding, terms, job))
    plan = plan_job(fields, job, progress=with_progress, today=today)
    quantities = Quantities(units)
    if folder is not None:
        asked = PlanAsked(
            plan=plan,
            cards=setup_cards(plan),
            boundary_name=boundary.name,
            q=quantities,
            paper=paper,
            legs=legs,
        )
        writers, left_out = writers_asked(names, asked)
        for why in left_out:
            click.echo(f"Note: {sentence(why, quantities)}", err=True)
        write_and_say(folder, writers, force=force, progress=with_files)
    if as_json:
        click.echo(plan_json(plan, legs=legs), nl=False)
    elif quiet:
        click.echo(short_answer(plan, quantities), nl=False)
    else:
        printed = whole_page if verbose else page
        click.echo(printed(plan, boundary.name, quantities), nl=False)


def _with_choices(
    job: Job,
    heading: str | None,
    blocks: int | None,
    order: str | None,
    pattern: PatternWord | None,
    search: SearchWord | None,
    elevation: Path | None,
) -> Job:
    """The job with the passes that the command line asks for."""
    if heading is not None:
        try:
            job = with_working(job, "heading", heading_deg=parse_quantity(heading, "angle"))
        except InputError as error:
            raise UsageError(
                tuple(replace(problem, about="--heading", key="") for problem in error.problems)
            ) from None
    if blocks is not None:
        job = with_working(job, "blocks", max_blocks=blocks)
    if order is not None:
        job = with_working(job, "order", plain_order=order == "plain")
    if pattern is not None:
        job = with_working(job, "pattern", pattern=pattern)
    if search is not None:
        job = with_working(job, "search", search=search)
    if elevation is not None:
        job = with_working(job, "elevation", elevation=elevation)
    return job
