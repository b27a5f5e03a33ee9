"""``fieldplan calibrate``: what to catch, and what the catch says."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from fieldplan.cli.mixes import mix_named, mix_option
from fieldplan.cli.options import json_option, quantity_option, units_option
from fieldplan.errors import InputError, Problem, UsageError
from fieldplan.facts import fact
from fieldplan.jobfile.load import load_job
from fieldplan.jobfile.rates import rate
from fieldplan.model.calibration import Calibration, Catch, CatchTarget
from fieldplan.model.job import Job
from fieldplan.model.machine import ChartPoint
from fieldplan.report.data.calibration import calibration_object
from fieldplan.report.data.json_text import json_text
from fieldplan.report.text.calibration import calibration_page
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.seed.budget import seed_budget
from fieldplan.seed.calibration import (
    catch_kg,
    caught_rate_kg_per_m2,
    charted,
    ground_of_turns_m,
    next_setting,
)
from fieldplan.tables import read as tables

MIN_CATCH_M, MAX_CATCH_M = 1.0, 10_000.0
MAX_SLIP_FRAC = 0.9


@click.command("calibrate")
@click.option(
    "--job",
    "job_path",
    metavar="JOB.toml",
    type=click.Path(path_type=Path),
    help="Take drill and rates from this job file.",
)
@mix_option
@click.option(
    "--rate",
    "rate_text",
    metavar="RATE",
    help='Without a job file: the bulk rate, such as "25 lb/ac bulk".',
)
@quantity_option("--spacing", "length", "Without a job file: the distance between rows.")
@click.option("--rows", type=click.IntRange(1, 200), help="Without a job file: the rows of the drill.")
@quantity_option(
    "--distance",
    "length",
    'The way of the catch in the field.  [default: "100 ft", or "30 m" with --units metric]',
)
@click.option("--turns", type=float, help="Turns of the drive wheel or crank instead of a way.")
@quantity_option(
    "--wheel", "length", "Way of one turn, if the job file does not say it (wheel_circumference)."
)
@quantity_option("--slip", "share", "Slip of the drive wheel in the field.")
@click.option("--box", metavar="NAME", help="The box that was caught from, if the mix uses several.")
@quantity_option("--caught", "mass", "What was caught, without the container.")
@click.option("--tubes", type=click.IntRange(1, 200), help="From how many rows it was caught.")
@click.option("--setting", type=float, help="The setting that it was caught at.")
@click.option("--range", "gear_range", metavar="NAME", help="The gear range of the rate chart.")
@units_option
@json_option
def command(units: System, as_json: bool, **given: Any) -> None:
    """Say what to catch from each row, and from a catch the real rate, its error and the next setting.

    \b
    fieldplan calibrate --job job.toml --distance "150 ft"
    fieldplan calibrate --job job.toml --box grain --caught "212 g" --tubes 4 --setting 38
    fieldplan calibrate --rate "25 lb/ac bulk" --spacing "7.5 in" --rows 16 --turns 20 --wheel "8 ft"
    """
    q = Quantities(units)
    found = _calibration(q, **given)
    if as_json:
        click.echo(json_text(calibration_object(found)), nl=False)
    else:
        click.echo(calibration_page(found, q), nl=False)


def _calibration(
    q: Quantities,
    job_path: Path | None,
    mix_name: str | None,
    rate_text: str | None,
    spacing: float | None,
    rows: int | None,
    distance: float | None,
    turns: float | None,
    wheel: float | None,
    slip: float | None,
    box: str | None,
    caught: float | None,
    tubes: int | None,
    setting: float | None,
    gear_range: str | None,
) -> Calibration:
    if (job_path is None) == (rate_text is None):
        raise UsageError.of("calibrate-what")
    _require_used(job_path, mix_name, spacing, rows, turns, wheel, box, caught, tubes, setting, gear_range)
    chart: tuple[ChartPoint, ...] = ()
    if job_path is not None:
        job = load_job(job_path)
        for line in warning_lines(job.notes, q):
            click.echo(line, err=True)
        spacing_m, rows = job.drill.row_spacing_m, job.drill.rows
        wheel = job.drill.wheel_circumference_m if wheel is None else wheel
        rates, chart = _rates(job, mix_name), job.drill.chart
    else:
        if spacing is None or rows is None:
            raise UsageError.of("calibrate-drill")
        spacing_m, rates = spacing, [("–", "seed", _bulk_rate(str(rate_text)))]
    distance_m = _ground(
        q.catch_m if distance is None and turns is None else distance, turns, wheel, slip or 0.0
    )
    targets = tuple(
        CatchTarget(
            box=name,
            contents=contents,
            rate_kg_per_m2=kg_per_m2,
            row_kg=catch_kg(kg_per_m2, spacing_m, distance_m),
            drill_kg=catch_kg(kg_per_m2, spacing_m, distance_m, rows),
        )
        for name, contents, kg_per_m2 in rates
    )
    result = None
    if caught is not None:
        target = _target(targets, box)
        if tubes is None or tubes > rows:
            raise UsageError.of("tubes-not-said", about="--caught", n_rows=rows)
        real = caught_rate_kg_per_m2(caught, spacing_m, distance_m, tubes)
        if real <= 0:
            raise UsageError.of("caught-nothing", about="--caught")
        following, no_setting = (
            (None, None) if setting is None else _next(setting, target, real, chart, gear_range)
        )
        result = Catch(
            wanted_kg_per_m2=target.rate_kg_per_m2,
            real_kg_per_m2=real,
            setting=setting,
            next_setting=following,
            no_setting=no_setting,
            kg=caught,
            tubes=tubes,
            near_enough_frac=tables.machinery_figure("catch near enough", "%")[0] / 100,
        )
    return Calibration(
        row_spacing_m=spacing_m,
        rows=rows,
        distance_m=distance_m,
        turns=turns,
        slip_frac=slip or 0.0,
        targets=targets,
        caught=result,
        sources=(tables.source("osha-1928"), tables.source("p3112"), tables.source("vce-418-121")),
    )


def _rates(job: Job, mix_name: str | None) -> list[tuple[str, str, float]]:
    """Box, contents and rate of seed and carrier for each box of a mix, for one sowing."""
    budget = seed_budget("", mix_named(job, mix_name), job.drill, 0.0, job.working.sowings)
    return [
        (
            box.box,
            " + ".join(
                [
                    *(component.species for component in box.components),
                    *([box.carrier] if box.carrier_kg_per_m2 else []),
                ]
            ),
            box.load_kg_per_m2,
        )
        for box in budget.boxes
    ]


def _bulk_rate(text: str) -> float:
    try:
        found = rate(text if "bulk" in text.lower() else f"{text} bulk")
    except InputError as error:
        if "pls" in text.lower():
            raise UsageError.of("rate-unreadable/not-bulk", about="--rate") from None
        raise UsageError.of("rate-unreadable/option", about="--rate", why=error.problems[0]) from None
    if found.basis != "bulk":
        raise UsageError.of("rate-not-bulk", about="--rate")
    return found.value


def _ground(
    distance_m: float | None, turns: float | None, wheel_m: float | None, slip_frac: float
) -> float:
    if turns is None:
        if slip_frac:
            raise UsageError.of("slip-without-turns", about="--slip")
        if distance_m is None or not MIN_CATCH_M <= distance_m <= MAX_CATCH_M:
            raise UsageError.of(
                "distance-unlikely", about="--distance", least_m=MIN_CATCH_M, most_m=MAX_CATCH_M
            )
        return distance_m
    if distance_m is not None:
        raise UsageError.of("turns-and-distance")
    if wheel_m is None:
        raise UsageError.of("wheel-unknown", about="--turns")
    if not 0 <= slip_frac < MAX_SLIP_FRAC:
        raise UsageError.of("slip-unlikely", about="--slip", most_frac=MAX_SLIP_FRAC)
    return ground_of_turns_m(turns, wheel_m, slip_frac)


def _target(targets: tuple[CatchTarget, ...], box: str | None) -> CatchTarget:
    names = tuple(target.box for target in targets)
    found = [target for target in targets if box in (None, target.box)]
    if box is not None and not found:
        raise UsageError.of("box-unknown/caught", box=box, known=names)
    if len(found) != 1:
        raise UsageError.of("box-not-said/caught", known=names)
    return found[0]


def _next(
    setting: float, target: CatchTarget, real: float, chart: tuple[ChartPoint, ...], gear_range: str | None
) -> tuple[float | None, Problem | None]:
    """The next setting, or why the chart gives none."""
    known = any(one.seed.casefold() == target.contents.casefold() for one in chart)
    try:
        lines = charted(chart, target.contents, gear_range) if known or gear_range is not None else []
        return next_setting(setting, target.rate_kg_per_m2, real, lines), None
    except InputError as error:
        return None, error.problems[0]


def _require_used(
    job_path: Path | None,
    mix_name: str | None,
    spacing: float | None,
    rows: int | None,
    turns: float | None,
    wheel: float | None,
    box: str | None,
    caught: float | None,
    tubes: int | None,
    setting: float | None,
    gear_range: str | None,
) -> None:
    """Options that would change nothing are refused, and so is what no drill has."""
    idle = [
        (job_path is not None, "--spacing", spacing, fact("idle/in-job")),
        (job_path is not None, "--rows", rows, fact("idle/in-job")),
        (job_path is None, "--mix", mix_name, fact("idle/without-job")),
        (turns is None, "--wheel", wheel, fact("idle/without", option="--turns")),
        *(
            (caught is None, name, value, fact("idle/without", option="--caught"))
            for name, value in (
                ("--box", box),
                ("--tubes", tubes),
                ("--setting", setting),
                ("--range", gear_range),
            )
        ),
        (setting is None, "--range", gear_range, fact("idle/without", option="--setting")),
    ]
    for holds, name, value, why in idle:
        if holds and value is not None:
            raise UsageError.of("option-idle", about=name, why=why)
    for name, value, low, high in (("--spacing", spacing, 0.02, 3.0), ("--wheel", wheel, 0.2, 12.0)):
        if value is not None and not low <= value <= high:
            raise UsageError.of("option-range", about=name, least_m=low, most_m=high)
    for name, number, top in (("--turns", turns, 10_000.0), ("--setting", setting, 1e5)):
        if number is not None and not 0 < number <= top:
            raise UsageError.of("option-range/number", about=name, n_most=top)
