"""``fieldplan progress``: how a job goes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path

import click

from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.cli.exclusions import exclusion_files
from fieldplan.cli.options import (
    boundary_argument,
    job_option,
    json_option,
    quantity_option,
    reading_options,
    today_option,
    units_option,
)
from fieldplan.cli.progress import with_progress
from fieldplan.errors import PlanError, QuantityError, UsageError
from fieldplan.jobfile.load import load_job
from fieldplan.model.plan import Plan
from fieldplan.model.progress import FieldAhead, FieldDone, SoFar
from fieldplan.model.work import spent_s
from fieldplan.planner import plan_job
from fieldplan.report.data.json_text import json_text
from fieldplan.report.data.progress import progress_object
from fieldplan.report.text.progress import progress_page
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.units import parse_quantity
from fieldplan.work.findings import BOOKING_CODES
from fieldplan.work.job import job_time
from fieldplan.work.progress import outlook


@click.command("progress")
@boundary_argument
@job_option
@quantity_option("--metered", "area", "Ground on the drill's meter so far.", required=True)
@quantity_option("--worked", "time", "Hours in the fields so far.", required=True)
@click.option(
    "--left",
    "left",
    metavar="SEED=MASS",
    multiple=True,
    help='What is left of a species or lot, in bags and boxes together, such as "oats=400 lb"; may be given several times.',
)
@click.option(
    "--done",
    "done",
    metavar="FIELD",
    multiple=True,
    help="A field that is done, where fields were not sown in the order of the plan; may be given several times.",
)
@click.option(
    "--days-left", type=click.IntRange(0, 366), help="Days that the booking still has, today counted."
)
@today_option
@units_option
@json_option
@reading_options
def command(
    boundary: Path,
    job_path: Path,
    metered: float,
    worked: float,
    left: tuple[str, ...],
    done: tuple[str, ...],
    days_left: int | None,
    today: date,
    units: System,
    as_json: bool,
    terms: ReadingTerms,
    excluding: tuple[tuple[Path, ...], float],
) -> None:
    """Say whether the seed will last, when the job will be done and whether to extend the booking.

    \b
    fieldplan progress farm.geojson --job farm.toml --metered "84 ac" --worked "21 h" \\
        --left "oats=11400 lb" --days-left 17
    """
    job = load_job(job_path)
    plan = plan_job(
        load_fields(boundary, terms, exclusion_files(excluding, terms, job)),
        job,
        progress=with_progress,
        today=today,
    )
    booking = (
        job.booking if job.booking.start is None else replace(job.booking, start=today, finish_by=None)
    )
    if not plan.driven:
        raise PlanError.of("nothing-drilled/to-compare")
    found = outlook(
        SoFar(metered_m2=metered, worked_s=worked, left_kg=_left(left, plan), done=_done(done, plan)),
        _ahead(plan),
        partial(_around_s, plan),
        plan.order,
        booking,
        plan.driven[0].gate_lonlat,
        days_left,
    )
    notes = [
        note for note in plan.notes if note.code not in BOOKING_CODES
    ]  # the days are those of the rest
    if as_json:
        click.echo(json_text(progress_object(found)), nl=False)
    else:
        click.echo(progress_page(found, Quantities(units), notes), nl=False)


def _ahead(plan: Plan) -> list[FieldAhead]:
    """What the plan says of each field."""
    return [
        FieldAhead(
            field_id=one.field.field_id,
            drilled_m2=one.coverage.audit.drilled_m2,
            field_s=one.time.field_s,
            sown_kg={(part.species, part.lot): part.sown_kg for part in one.deliveries},
        )
        for one in plan.driven
    ]


def _around_s(plan: Plan, done: Sequence[FieldDone]) -> float:
    """The moves still to make, from where the drill is through the fields that are not begun, and the
    clean-out.
    """
    shares = [so.share for so in done]
    here = [one for one, share in zip(plan.driven, shares, strict=True) if 0 < share < 1]
    here = here or [one for one, share in zip(plan.driven, shares, strict=True) if share == 1][-1:]
    ahead = [one for one, share in zip(plan.driven, shares, strict=True) if share == 0]
    moves_s = [plan.job.terms_for(one.field.field_id).move_s for one in (*here, *ahead)]
    around = job_time(0.0, [one.gate_lonlat for one in (*here, *ahead)], plan.job.working, moves_s)
    return spent_s(around.parts, "moving", "clean_out")


def _done(given: tuple[str, ...], plan: Plan) -> frozenset[str]:
    """Fields that are said to be done, by their ids."""
    known = [one.field.field_id for one in plan.driven]
    for name in given:
        if name not in known:
            raise UsageError.of("done-which", about="--done", given=name, known=tuple(known))
    return frozenset(given)


def _left(given: tuple[str, ...], plan: Plan) -> dict[tuple[str, str], float]:
    """What is left of each lot that was named, by its species, its lot or both."""
    found: dict[tuple[str, str], float] = {}
    for one in given:
        name, _, mass = one.rpartition("=")
        name = name.strip().casefold()
        lots = [
            (line.species, line.lot)
            for line in plan.order
            if name
            in (line.species.casefold(), line.lot.casefold(), f"{line.species} ({line.lot})".casefold())
        ]
        if not name or len(lots) != 1:
            known = tuple(
                f"{line.species} ({line.lot})" if line.lot else line.species for line in plan.order
            )
            raise UsageError.of(
                "left-which" if lots else "left-which/none", about="--left", given=one, known=known
            )
        if lots[0] in found:
            raise UsageError.of("left-twice", about="--left", given=one)
        try:
            found[lots[0]] = parse_quantity(mass, "mass")
        except QuantityError as error:
            raise UsageError.of("left-unreadable", about="--left", why=error.problems[0]) from None
        if found[lots[0]] < 0:
            raise UsageError.of("left-unlikely", about="--left")
    return found
