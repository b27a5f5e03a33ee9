"""``fieldplan region``: every parcel of a large file planned by itself, and added up."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterable, Iterator
from pathlib import Path

import click

from fieldplan.boundary.terms import ReadingTerms
from fieldplan.cli.exclusions import exclusion_files
from fieldplan.cli.explained import Explained
from fieldplan.cli.options import (
    job_option,
    json_option,
    quantity_option,
    reading_options,
    search_option,
    units_option,
    with_working,
)
from fieldplan.cli.progress import get_ready
from fieldplan.cli.region_help import SECTIONS
from fieldplan.cli.written import write_and_say
from fieldplan.errors import UsageError
from fieldplan.jobfile.load import load_job
from fieldplan.model.field import SearchWord
from fieldplan.model.job import Job
from fieldplan.region.begin import engine_of, run_of
from fieldplan.region.outline import outline_of
from fieldplan.region.run import Run, begun, plan_rest
from fieldplan.region.sums import region_of
from fieldplan.report.data.json_text import json_text
from fieldplan.report.data.region import outline_object, region_object, region_writers
from fieldplan.report.documents.region import dry_run_document, region_document
from fieldplan.report.text.document import document_text
from fieldplan.report.words.quantities import Quantities, System


@click.command("region", cls=Explained, sections=SECTIONS)
@click.argument("source", metavar="FIELDS")
@job_option
@click.option(
    "--job-field", metavar="NAME", help="Attribute that names the job file of a parcel, by --job-for."
)
@click.option(
    "--job-for",
    "jobs_for",
    metavar="VALUE=JOB.toml",
    multiple=True,
    help="Job file for parcels with this value. Repeat for several; --job serves the others.",
)
@click.option(
    "--out",
    "folder",
    metavar="DIR",
    type=click.Path(path_type=Path),
    help="Folder of the result, which a later run goes on with.",
)
@click.option(
    "--by", metavar="NAME", multiple=True, help="Also add up by this attribute. Repeat for several."
)
@click.option(
    "--drills",
    "n_drills",
    type=click.IntRange(1, 100_000),
    default=1,
    show_default=True,
    help="Drills that share the work.",
)
@click.option(
    "--sample",
    "n_sample",
    type=click.IntRange(2),
    help="Plan only so many parcels, drawn by chance, and tell how sure the sums are.",
)
@click.option("--passes", "with_passes", is_flag=True, help="Also write passes and headland rounds.")
@click.option("--dry-run", is_flag=True, help="Only tell what the file holds and what is left to do.")
@click.option(
    "--workers", type=click.IntRange(1, 512), help="Processes that plan.  [default: one a processor]"
)
@click.option(
    "--scheduler", metavar="ADDRESS", help="Plan on a Dask cluster instead, such as tcp://host:8786."
)
@quantity_option(
    "--time-limit", "time", "Longest time of one parcel, or of 50 together.  [default: 10 min]"
)
@search_option
@units_option
@json_option
@click.option("--force", is_flag=True, help="Clear away another region in DIR and begin anew.")
@reading_options
def command(
    source: str,
    job_path: Path,
    job_field: str | None,
    jobs_for: tuple[str, ...],
    folder: Path | None,
    by: tuple[str, ...],
    n_drills: int,
    n_sample: int | None,
    with_passes: bool,
    dry_run: bool,
    workers: int | None,
    scheduler: str | None,
    time_limit: float | None,
    search: SearchWord | None,
    units: System,
    as_json: bool,
    force: bool,
    terms: ReadingTerms,
    excluding: tuple[tuple[Path, ...], float],
) -> None:
    """Plan every parcel of a large file by itself, and add up acres, hours, drills and seed.

    FIELDS is GeoParquet of any size, or any other boundary file. A parcel that cannot be planned gets a code in
    its row; none stops the run. A run that was stopped goes on where it was, with the same command.

    \b
    fieldplan region county.parquet --job job.toml --out county --sample 500
    fieldplan region county.parquet --job job.toml --out county --by watershed
    fieldplan region county.parquet --job job.toml --out county --drills 3
    """
    if folder is None and not dry_run:
        raise UsageError.of("region-nowhere", about="--out")
    if workers and scheduler:
        raise UsageError.of("workers-and-scheduler", about="--scheduler")
    jobs = {"": load_job(job_path), **_jobs_for(job_field, jobs_for)}
    if search is not None:
        jobs = {value: with_working(job, "search", search=search) for value, job in jobs.items()}
    run = run_of(
        source,
        jobs,
        folder or Path(),
        terms=terms,
        job_field=job_field or "",
        exclusions=[
            *exclusion_files(excluding, terms),
            *(file for job in jobs.values() for file in exclusion_files(((), excluding[1]), terms, job)),
        ],
        n_sample=n_sample,
        with_passes=with_passes,
        by=by,
    )
    q = Quantities(units)
    if dry_run:
        outline = outline_of(run, by, has_folder=folder is not None)
        click.echo(
            json_text(outline_object(outline)) if as_json else document_text(dry_run_document(outline, q)),
            nl=False,
        )
        return
    assert folder is not None
    with begun(run, force=force):
        if scheduler is None and _n_left(run):
            get_ready()
        _with_progress(run, plan_rest(run, engine_of(workers, scheduler, time_limit)))
        found = region_of(run, by, n_drills)
    write_and_say(folder, region_writers(found, q), force=True)
    click.echo(
        json_text(region_object(found)) if as_json else document_text(region_document(found, q)), nl=False
    )


def _jobs_for(job_field: str | None, jobs_for: Iterable[str]) -> dict[str, Job]:
    """The job of each value of the attribute that names it."""
    jobs = {}
    for text in jobs_for:
        value, sign, path = text.rpartition("=")
        if not (sign and value.strip() and path.strip()):
            raise UsageError.of("job-for-unreadable", about="--job-for", given=text)
        jobs[value.strip()] = load_job(Path(path.strip()))
    if bool(jobs) != bool(job_field):
        raise UsageError.of("job-for-half", about="--job-field")
    return jobs


def _n_left(run: Run) -> int:
    """Rows that are not planned yet."""
    done = run.done()
    return sum(len(rows) for number, rows in enumerate(run.cuts) if number not in done)


def _with_progress(run: Run, planned: Iterator[int]) -> None:
    """Go through a run; on a terminal with parcels a second and the time that is left."""
    n_left = _n_left(run)
    if not n_left or not sys.stderr.isatty():
        for _ in planned:
            pass
        return
    start, n_done = time.monotonic(), 0

    def pace(_: object) -> str:
        return f"{n_done / max(1e-9, time.monotonic() - start):.1f} parcels/s" if n_done else ""

    with click.progressbar(
        length=n_left, label="Planning", file=sys.stderr, item_show_func=pace, show_pos=True
    ) as bar:
        for n in planned:
            n_done += n
            bar.update(n, n_done)
