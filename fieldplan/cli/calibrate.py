"""``fieldplan calibrate``: what to catch, and the real rate from a catch."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from fieldplan.cli.mixes import mix_named, mix_option
from fieldplan.cli.options import json_option, quantity_option, units_option
from fieldplan.errors import InputError, UsageError
from fieldplan.facts import fact
from fieldplan.jobfile.load import load_job
from fieldplan.jobfile.rates import rate
from fieldplan.model.budget import BoxBudget
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
@quantity_option("--spacing", "length", 'Without a job file: the row spacing, such as "7.5 in".')
@click.option("--rows", type=click.IntRange(1, 200), help="Without a job file: the rows of the drill.")
@quantity_option(
    "--distance",
    "length",
    'Distance of the catch in the field.  [default: "100 ft", or "30 m" with --units metric]',
)
@click.option("--turns", type=float, help="Turns of the drive wheel or crank, instead of a distance.")
@quantity_option("--wheel", "length", "Distance in one turn, if the job file has no wheel_circumference.")
@quantity_option("--slip", "share", 'Slip of the drive wheel in the field, such as "6 %".')
@click.option("--box", metavar="NAME", help="The box you caught from, if the mix uses several.")
@quantity_option("--caught", "mass", 'What you caught, without the container, such as "212 g".')
@click.option("--tubes", type=click.IntRange(1, 200), help="Number of rows you caught from.")
@click.option("--setting", type=float, help="The setting of the drill during the catch.")
@click.option("--range", "gear_range", metavar="NAME", help="The gear range in the rate chart.")
@units_option
@json_option
def command(units: System, as_json: bool, **given: Any) -> None:
    """Work out what to catch from each row, and from a catch the real rate, its error and the next setting.

    \b
    fieldplan calibrate --job job.toml --distance "150 ft"
    fieldplan calibrate --job job.toml --box grain --caught "212 g" \\
        --tubes 4 --setting 38
    fieldplan calibrate --rate "25 lb/ac bulk" --spacing "7.5 in" --rows 16 \\
        --turns 20 --wheel "8 ft"
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
    catch = None
    if caught is not None:
        target = _target(targets, box)
        if tubes is None or tubes > rows:
            raise UsageError.of("tubes-not-said", about="--caught", n_rows=rows)
        catch = _catch(target, caught, caught_rate_kg_per_m2(caught, spacing_m, distance_m, tubes), tubes)
        if setting is not None:
            catch = _with_setting(catch, setting, target, chart, gear_range)
    return Calibration(
        row_spacing_m=spacing_m,
        rows=rows,
        distance_m=distance_m,
        turns=turns,
        slip_frac=slip or 0.0,
        targets=targets,
        caught=catch,
        sources=(tables.source("osha-1928"), tables.source("p3112"), tables.source("vce-418-121")),
    )


def _rates(job: Job, mix_name: str | None) -> list[tuple[str, str, float]]:
    """Box, contents and rate of seed and carrier for each box of a mix, for one sowing."""
    budget = seed_budget("", mix_named(job, mix_name), job.drill, 0.0, job.working.sowings)
    return [(box.box, " + ".join(_contents(box)), box.load_kg_per_m2) for box in budget.boxes]


def _contents(box: BoxBudget) -> list[str]:
    """The species in a box, and its carrier if it has one."""
    carrier = [box.carrier] if box.carrier_kg_per_m2 else []
    return [*(component.species for component in box.components), *carrier]


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


def _catch(target: CatchTarget, caught_kg: float, rate_kg_per_m2: float, tubes: int) -> Catch:
    """A catch beside its target."""
    if rate_kg_per_m2 <= 0:
        raise UsageError.of("caught-nothing", about="--caught")
    return Catch(
        wanted_kg_per_m2=target.rate_kg_per_m2,
        real_kg_per_m2=rate_kg_per_m2,
        setting=None,
        next_setting=None,
        no_setting=None,
        kg=caught_kg,
        tubes=tubes,
        near_enough_frac=tables.machinery_figure("catch near enough", "%")[0] / 100,
    )


def _with_setting(
    catch: Catch,
    setting: float,
    target: CatchTarget,
    chart: tuple[ChartPoint, ...],
    gear_range: str | None,
) -> Catch:
    """The catch with the setting that it was made at, and the next setting or why the chart gives none."""
    has_seed = any(point.seed.casefold() == target.contents.casefold() for point in chart)
    try:
        points = charted(chart, target.contents, gear_range) if has_seed or gear_range is not None else []
        following = next_setting(setting, target.rate_kg_per_m2, catch.real_kg_per_m2, points)
    except InputError as error:
        return replace(catch, setting=setting, no_setting=error.problems[0])
    return replace(catch, setting=setting, next_setting=following)


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
    """Refuse options that would change nothing, and values that no drill has."""
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
