"""``fieldplan seed``: everything about the seed of a job."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.cli.exclusions import exclusion_files
from fieldplan.cli.options import (
    boundary_argument,
    job_option,
    json_option,
    reading_options,
    today_option,
    units_option,
)
from fieldplan.cli.progress import with_progress
from fieldplan.jobfile.load import load_job
from fieldplan.planner import plan_job
from fieldplan.report.data.json_text import json_text
from fieldplan.report.data.seed import seed_object
from fieldplan.report.text.seed_page import seed_page
from fieldplan.report.words.quantities import Quantities, System


@click.command("seed")
@boundary_argument
@job_option
@units_option
@today_option
@json_option
@click.option("--labels", is_flag=True, help="Print a label for every batch as well.")
@reading_options
def command(
    boundary: Path,
    job_path: Path,
    units: System,
    as_json: bool,
    today: date,
    labels: bool,
    terms: ReadingTerms,
    excluding: tuple[tuple[Path, ...], float],
) -> None:
    """Say what seed to buy, to bring to each parcel and to tip into each box at each stop.

    \b
    fieldplan seed parcels.zip --job job.toml
    fieldplan seed parcels.zip --job job.toml --labels
    """
    job = load_job(job_path)
    fields = load_fields(boundary, terms, exclusion_files(excluding, terms, job))
    plan = plan_job(fields, job, progress=with_progress, today=today)
    if as_json:
        click.echo(json_text(seed_object(plan)), nl=False)
    else:
        click.echo(seed_page(plan, boundary.name, Quantities(units), labels=labels), nl=False)
