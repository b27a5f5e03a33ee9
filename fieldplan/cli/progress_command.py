"""``fieldplan progress``: the work so far against the plan."""

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
from fieldplan.cli.retested import retested
from fieldplan.errors import InputError, PlanError, QuantityError, UsageError
from fieldplan.jobfile.forecast import spells
from fieldplan.jobfile.load import load_job
from fieldplan.jobfile.stock import read_stock
from fieldplan.model.job import Spell
from fieldplan.model.plan import Plan
from fieldplan.model.progress import FieldAhead, FieldDone, SoFar
from fieldplan.model.work import spent_s
from fieldplan.planner import changes_in_order, plan_job
from fieldplan.records.lots_in_sequence import for_the_rest
from fieldplan.report.data.json_text import json_text
from fieldplan.report.data.progress import progress_object
from fieldplan.report.text.progress import progress_page
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.typed_quantity import parse_quantity
from fieldplan.work.findings import BOOKING_CODES
from fieldplan.work.job import job_time
from fieldplan.work.progress import days_since, outlook


@click.command("progress")
@boundary_argument
@job_option
@quantity_option("--metered", "area", 'Area on the drill\'s meter so far, such as "84 ac".', required=True)
@quantity_option("--worked", "time", 'Hours worked in the fields so far, such as "21 h".', required=True)
@click.option(
    "--left",
    "left",
    metavar="SEED=MASS",
    multiple=True,
    help='Seed or carrier left, of a species, lot or carrier, in bags and boxes together, such as "oats=400 lb". Repeat for several.',
)
@click.option(
    "--stock",
    "stock_path",
    metavar="STOCK.csv",
    type=click.Path(path_type=Path),
    help="The stock file: lots to go on with where one falls short, and tags that were tested again.",
)
@click.option(
    "--tag",
    "tags",
    metavar="LOT=TAG",
    multiple=True,
    help='A new tag of a lot given with --left, such as "LB-1=purity 90 %, germination 61 %". Repeat for several.',
)
@click.option(
    "--done",
    "done",
    metavar="FIELD",
    multiple=True,
    help="A field that is done, if fields are not drilled in the order of the plan. Repeat for several.",
)
@click.option("--days-left", type=click.IntRange(0, 366), help="Days left in the booking, counting today.")
@click.option(
    "--forecast",
    metavar="TEXT",
    help='The forecast from today on, such as "wet until Thursday, dry until Sunday".',
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
    stock_path: Path | None,
    tags: tuple[str, ...],
    done: tuple[str, ...],
    days_left: int | None,
    forecast: str | None,
    today: date,
    units: System,
    as_json: bool,
    terms: ReadingTerms,
    excluding: tuple[tuple[Path, ...], float],
) -> None:
    """Work out if the seed will last, when the job will be done and whether to extend the booking.

    \b
    fieldplan progress farm.geojson --job farm.toml --metered "84 ac" \\
        --worked "21 h" --left "oats=11400 lb" --days-left 17 \\
        --forecast "wet until Thursday"
    """
    job = load_job(job_path)
    plan = plan_job(
        load_fields(boundary, terms, exclusion_files(excluding, terms, job)),
        job,
        progress=with_progress,
        today=today,
    )
    if not plan.driven:
        raise PlanError.of("nothing-drilled/to-compare")
    reported = _done(done, plan)
    fields = _ahead(plan, reported)
    booking, start, here = job.booking, job.booking.start, plan.driven[0].gate_lonlat
    if start is not None or forecast is not None:
        booking = replace(booking, start=today, finish_by=None, forecast=_spells(forecast, today))
    found = outlook(
        SoFar(metered_m2=metered, worked_s=worked, left_kg=_left(left, plan), done=reported),
        fields,
        partial(_around_s, plan, fields),
        plan.loads.accounts,
        booking,
        here,
        days_left,
    )
    if start is not None:
        found = replace(found, since=days_since(start, today, job.booking, here))
    stock = None if stock_path is None else read_stock(stock_path)
    found = replace(
        found, sequences=for_the_rest(found.lots, plan, stock, retested(tags, plan, found.lots))
    )
    # notes on the booking are of the whole job; the days here are those of the rest
    notes = [note for note in plan.notes if note.code not in BOOKING_CODES]
    if as_json:
        click.echo(json_text(progress_object(found)), nl=False)
    else:
        click.echo(progress_page(found, Quantities(units), notes), nl=False)


def _spells(forecast: str | None, today: date) -> tuple[Spell, ...]:
    if forecast is None:
        return ()
    try:
        return spells(forecast, today)
    except InputError as error:
        raise UsageError.from_other(error, about="--forecast") from None


def _ahead(plan: Plan, reported: frozenset[str]) -> list[FieldAhead]:
    """Area, time, seed and box changes of each field, as planned; those reported as done were sown first."""
    ids = [planned.field.field_id for planned in plan.driven]
    order = sorted(ids, key=lambda field_id: field_id not in reported)
    changes = changes_in_order(plan, order)
    return [
        FieldAhead(
            field_id=planned.field.field_id,
            drilled_m2=planned.coverage.audit.drilled_m2,
            field_s=planned.time.field_s,
            sown_kg={(part.species, part.lot): part.sown_kg for part in planned.deliveries},
            mix=planned.seed.mix,
            boxes=planned.seed.boxes,
            changes=changes[planned.field.field_id],
        )
        for planned in plan.driven
    ]


def _around_s(plan: Plan, fields: Sequence[FieldAhead], done: Sequence[FieldDone]) -> float:
    """Time of the moves and box changes still to make, from where the drill is through the fields not begun,
    and of the clean-out.
    """
    with_share = list(zip(plan.driven, (field.share for field in done), strict=True))
    begun = [planned for planned, share in with_share if 0 < share < 1]
    last_done = [planned for planned, share in with_share if share == 1][-1:]
    ahead = [planned for planned, share in with_share if share == 0]
    stops = [*(begun or last_done), *ahead]
    moves_s = [plan.job.terms_for(planned.field.field_id).move_s for planned in stops]
    changing_s = sum(field.changing_s for field, part in zip(fields, done, strict=True) if part.share == 0)
    gates = [planned.gate_lonlat for planned in stops]
    around = job_time(0.0, gates, plan.job.working, moves_s, changing_s)
    return spent_s(around.parts, "changing", "moving", "clean_out")


def _done(given: tuple[str, ...], plan: Plan) -> frozenset[str]:
    """The ids of the fields that are done."""
    known = [planned.field.field_id for planned in plan.driven]
    for name in given:
        if name not in known:
            raise UsageError.of("done-which", about="--done", given=name, known=tuple(known))
    return frozenset(given)


def _left(given: tuple[str, ...], plan: Plan) -> dict[tuple[str, str], float]:
    """The mass left of each lot, by species and lot; the user names a lot by either or both."""
    found: dict[tuple[str, str], float] = {}
    for text in given:
        name, _, mass = text.rpartition("=")
        name = name.strip().casefold()
        lots = [
            (line.species, line.lot)
            for line in plan.loads.accounts
            if name
            in (line.species.casefold(), line.lot.casefold(), f"{line.species} ({line.lot})".casefold())
        ]
        if not name or len(lots) != 1:
            known = tuple(
                f"{line.species} ({line.lot})" if line.lot else line.species for line in plan.loads.accounts
            )
            raise UsageError.of(
                "left-which" if lots else "left-which/none", about="--left", given=text, known=known
            )
        if lots[0] in found:
            raise UsageError.of("left-twice", about="--left", given=text)
        try:
            found[lots[0]] = parse_quantity(mass, "mass")
        except QuantityError as error:
            raise UsageError.of("left-unreadable", about="--left", why=error.problems[0]) from None
        if found[lots[0]] < 0:
            raise UsageError.of("left-unlikely", about="--left")
    return found
