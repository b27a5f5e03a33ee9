"""``fieldplan compare``: the same fields with several drills, speeds, working days, starts, days booked, weather years or crews."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import click

from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.cli.exclusions import exclusion_files
from fieldplan.cli.options import (
    boundary_argument,
    date_of,
    json_option,
    reading_options,
    today_option,
    units_option,
)
from fieldplan.cli.progress import with_progress
from fieldplan.errors import InputError, QuantityError, UsageError
from fieldplan.jobfile.load import load_job
from fieldplan.jobfile.weather import published_for
from fieldplan.jobfile.weather_values import years
from fieldplan.model.job import BookingTerms, Job
from fieldplan.planner import plan_job
from fieldplan.report.data.compare import compare_object
from fieldplan.report.data.json_text import json_text
from fieldplan.report.text.compare import compare_page
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.typed_quantity import parse_quantity
from fieldplan.units import Kind
from fieldplan.work.crews import shared_out
from fieldplan.work.lent import lent_for


@click.command("compare")
@boundary_argument
@click.option(
    "--job",
    "job_paths",
    metavar="JOB.toml",
    multiple=True,
    required=True,
    type=click.Path(path_type=Path),
    help="A job file. Repeat for several.",
)
@click.option(
    "--speed",
    "speeds",
    metavar="SPEED",
    multiple=True,
    help='Also plan each job at this field speed, such as "5 mph". Repeat for several.',
)
@click.option(
    "--day",
    "days",
    metavar="TIME",
    multiple=True,
    help='Also plan each job with working days this long, such as "10 h". Repeat for several.',
)
@click.option(
    "--start",
    "starts",
    metavar="YYYY-MM-DD",
    multiple=True,
    help="Also plan each job with this start. Repeat for several.",
)
@click.option(
    "--book",
    "booked",
    metavar="DAYS",
    type=click.IntRange(1, 366),
    multiple=True,
    help="Also give odds and cost of having the drill for this many days. Repeat for several.",
)
@click.option(
    "--weather-years",
    "spans",
    metavar="YEARS",
    multiple=True,
    help='Also count odds over these years of the weather record, such as "1991-2020". Repeat for several.',
)
@click.option(
    "--crews",
    type=click.IntRange(2, 20),
    multiple=True,
    help="Also plan each job with this many crews, each with such a drill. Repeat for several.",
)
@units_option
@today_option
@json_option
@reading_options
def command(
    boundary: Path,
    job_paths: tuple[Path, ...],
    speeds: tuple[str, ...],
    days: tuple[str, ...],
    starts: tuple[str, ...],
    booked: tuple[int, ...],
    spans: tuple[str, ...],
    crews: tuple[int, ...],
    units: System,
    today: date,
    as_json: bool,
    terms: ReadingTerms,
    excluding: tuple[tuple[Path, ...], float],
) -> None:
    """Compare drills, speeds, working days, starts, days booked, weather years or crews, side by side.

    \b
    fieldplan compare farm.geojson --job ten-foot.toml --job fifteen-foot.toml
    fieldplan compare farm.geojson --job farm.toml --speed "5 mph" --day "12 h"
    fieldplan compare farm.geojson --job farm.toml --book 3 --book 4 --book 5
    """
    named = []
    for path in job_paths:
        job = load_job(path)
        fields = load_fields(boundary, terms, exclusion_files(excluding, terms, job))
        variants = [(path.name, job)]
        variants += [(f"{path.name} at {text}", _at_speed(job, text)) for text in speeds]
        variants += [(f"{path.name}, {text} days", _with_day(job, text)) for text in days]
        variants += [(f"{path.name} from {text}", _from(job, text)) for text in starts]
        variants += [(f"{path.name}, weather of {text}", _of_years(job, text)) for text in spans]
        planned = [
            (name, plan_job(fields, variant, progress=with_progress, today=today))
            for name, variant in variants
        ]
        lent = [(f"{path.name}, {n} days booked", lent_for(planned[0][1], n)) for n in booked]
        named += planned + lent + [(f"{path.name}, {n} crews", shared_out(planned[0][1], n)) for n in crews]
    if as_json:
        click.echo(json_text(compare_object(named)), nl=False)
    else:
        click.echo(compare_page(named, boundary.name, Quantities(units)), nl=False)


def _at_speed(job: Job, text: str) -> Job:
    speed = _parsed("--speed", text, "speed")
    return _changed(
        "--speed", lambda: replace(job, working=replace(job.working, field_speed_m_per_s=speed))
    )


def _with_day(job: Job, text: str) -> Job:
    day_s = _parsed("--day", text, "time")
    return _changed("--day", lambda: replace(job, booking=replace(job.booking, day_s=day_s)))


def _from(job: Job, text: str) -> Job:
    start = date_of("--start", text)
    return _changed("--start", lambda: replace(job, booking=_of_state(replace(job.booking, start=start))))


def _of_state(booking: BookingTerms) -> BookingTerms:
    """The booking with what the survey of its state reports for its start."""
    known = booking.published
    if not booking.state:
        return booking
    stands = known is not None and known.stands
    published = published_for(booking.state, booking.start, stands=stands)
    prob = published.prob if stands and published is not None else booking.fieldwork_day_prob
    return replace(booking, published=published, fieldwork_day_prob=prob)


def _of_years(job: Job, text: str) -> Job:
    weather = job.booking.weather
    if weather is None:
        raise UsageError.of("no-weather-record", about="--weather-years")
    try:
        span = years(text)
    except InputError as error:
        raise UsageError.from_other(error, about="--weather-years") from None
    return replace(job, booking=replace(job.booking, weather=replace(weather, years=span)))


def _changed(option: str, change: Callable[[], Job]) -> Job:
    """The job with an option's value; a value out of range is reported as the option's."""
    try:
        return change()
    except InputError as error:
        raise UsageError(
            tuple(replace(problem, about=option, key="") for problem in error.problems)
        ) from None


def _parsed(option: str, text: str, kind: Kind) -> float:
    try:
        return parse_quantity(text, kind)
    except QuantityError as error:
        raise UsageError.from_other(error, about=option) from None
