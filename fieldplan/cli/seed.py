"""``fieldplan seed``: everything about the seed of a job."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.cli.exclusions import exclusion_files
from fieldplan.cli.explained import Explained, Rows
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

SECTIONS: dict[str, Rows] = {
    "How seed is counted": (
        ("PLS", "Pure live seed: purity × (germination + hard + dormant), from the tag."),
        (
            "rate",
            '"12 lb/ac PLS", "60 lb/ac bulk", "40 seeds/ft2" or "25 % of stand" (of the full seeding rate). '
            "sowings = 2 gives half the rate each time.",
        ),
        (
            "counts",
            "Seeds a pound come from the tag (seeds_per_pound), else from the species table. Where published counts differ, the order "
            "shows what the highest and the lowest would take.",
        ),
        (
            "form",
            "Burs or caryopses, florets or naked grain: where the count depends on it, up to seven times, form is asked for.",
        ),
        (
            "tests",
            "[seed_law] names the state: its limit on the age of a test, with source and year, warns and never refuses, for it is a limit "
            "on sale. tz is viable seed by a tetrazolium test.",
        ),
        ("overage", "Share to order above what is sown, or the seed left in the boxes if that is more."),
        ("bags", "Ordered in whole bags, each lot by itself."),
        (
            "residual",
            "A box is refilled before it falls under its residual. With sweep = true the last seed is swept "
            "to the meters by hand, so none is ordered to be left over.",
        ),
        ("carrier", "Inert bulk, such as rice hulls, mixed in until the box can meter the seed."),
        ("batch", "What is mixed ahead for one fill of one box; it gets a label."),
        (
            "left over",
            "Seed left in a box goes on to the next parcel. Before another mix, it is weighed, bagged, labeled and used first later.",
        ),
        (
            "box change",
            "Emptying and cleaning a box, and setting and calibrating it again, for another mix: cleaning and resetting of "
            "[[drill.box]]. Parcels are sown in the order with the fewest, unless priorities or field_order say otherwise.",
        ),
        (
            "load list",
            "What the truck takes on each trip of each day, in bags and bales, and where it goes. [loading] says what it may carry.",
        ),
    ),
}


@click.command("seed", cls=Explained, sections=SECTIONS)
@boundary_argument
@job_option
@units_option
@today_option
@json_option
@click.option("--labels", is_flag=True, help="Also print a label for every batch.")
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
    """List seed to buy, to bring to each parcel and to pour into each box at each stop.

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
