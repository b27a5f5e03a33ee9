"""``fieldplan fee``: what a job costs by a rate card."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import click

from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.cli.exclusions import exclusion_files
from fieldplan.cli.options import json_option, reading_options, today_option, units_option
from fieldplan.cli.progress import with_progress
from fieldplan.errors import UsageError
from fieldplan.jobfile.load import load_job
from fieldplan.jobfile.rate_card import load_rate_card
from fieldplan.model.fee import Acres, JobFacts
from fieldplan.planner import plan_job
from fieldplan.report.data.fee import fee_object
from fieldplan.report.data.json_text import json_text
from fieldplan.report.text.fee import fee_page
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.quantities import Quantities, System, counted
from fieldplan.units import ACRE_M2, HOUR_S
from fieldplan.work.cost import ground_of
from fieldplan.work.fee import charges_that_apply, fee_of


def _number(name: str, text: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    return click.option(name, type=float, metavar="N", help=text)


@click.command("fee")
@click.argument("card_path", metavar="CARD.toml", type=click.Path(path_type=Path))
@click.argument("boundary", metavar="[FIELDS]", required=False, type=click.Path(path_type=Path))
@click.option(
    "--job",
    "job_path",
    metavar="JOB.toml",
    type=click.Path(path_type=Path),
    help="With FIELDS: acres, days and hours come from their plan.",
)
@_number("--map-acres", "Acres on the map.")
@_number("--meter-acres", "Acres on the drill's meter.")
@_number("--sown-acres", "Acres to sow: on the map, less what is left out.")
@_number("--days", "Days that the drill is out.")
@_number("--hours", "Hours that the drill works.")
@_number("--miles", "Miles of delivery.")
@_number("--paid-after", "Days until the bill is paid.")
@click.option(
    "--when",
    "conditions",
    metavar="NAME=VALUE",
    multiple=True,
    help="A fact that the card asks for, such as area=outside; may be given several times.",
)
@today_option
@units_option
@json_option
@reading_options
def command(
    card_path: Path,
    boundary: Path | None,
    job_path: Path | None,
    map_acres: float | None,
    meter_acres: float | None,
    sown_acres: float | None,
    days: float | None,
    hours: float | None,
    miles: float | None,
    paid_after: float | None,
    conditions: tuple[str, ...],
    today: date,
    units: System,
    as_json: bool,
    terms: ReadingTerms,
    excluding: tuple[tuple[Path, ...], float],
) -> None:
    """Say what a job costs by a district's rate card.

    \b
    fieldplan fee rates.toml --meter-acres 25 --days 2
    fieldplan fee rates.toml farm.geojson --job farm.toml --when area=outside
    """
    if (boundary is None) != (job_path is None):
        raise UsageError.of("fee-half")
    given = {"map": map_acres, "meter": meter_acres, "to sow": sown_acres}
    numbers = {
        "--map-acres": map_acres,
        "--meter-acres": meter_acres,
        "--sown-acres": sown_acres,
        "--days": days,
        "--hours": hours,
        "--miles": miles,
        "--paid-after": paid_after,
    }
    for option, value in numbers.items():
        if value is not None and not (math.isfinite(value) and 0 <= value <= 1e6):
            raise UsageError.of("number-unlikely", about=option, given=f"{value:.10g}")
    card = load_rate_card(card_path)
    acres: dict[Acres, float] = {}
    facts_given = _facts(conditions)
    about = "As said on the command line."
    warnings: list[str] = []
    if boundary is not None and job_path is not None:
        job = load_job(job_path)
        plan = plan_job(
            load_fields(boundary, terms, exclusion_files(excluding, terms, job)),
            job,
            progress=with_progress,
            today=today,
        )
        acres = {kind: ground / ACRE_M2 for kind, ground in ground_of(plan.fields).items()}
        days = plan.booking.suggested_days if days is None else days
        hours = plan.job_time.field_s / HOUR_S if hours is None else hours
        miles = job.cost.miles if miles is None else miles
        facts_given = {**job.cost.conditions, **facts_given}
        days_text = "no days to book" if days is None else counted(days, "day")
        about = (
            f"Planned for {boundary.name} with {job_path.name}: {days_text}, {hours:.1f} h in the fields."
        )
        warnings = warning_lines(plan.notes, Quantities(units))
    acres |= {kind: value for kind, value in given.items() if value is not None}  # type: ignore[misc]
    facts = JobFacts(
        acres=acres, days=days, hours=hours, miles=miles, paid_after_days=paid_after, conditions=facts_given
    )
    unknown = []
    if boundary is not None and days is None:  # a booking that cannot be had
        unknown = [charge.name for charge in charges_that_apply(card, facts) if charge.unit == "day"]
        card = replace(card, charges=tuple(charge for charge in card.charges if charge.unit != "day"))
        warnings += (
            [f"Warning: not in the sum, as there are no days to book: {', '.join(unknown)}."]
            if unknown
            else []
        )
    fee = fee_of(card, facts)
    if paid_after is None and any(charge.paid_within_days or charge.each_days for charge in card.charges):
        about += (
            " When it is paid was not said (--paid-after): lines for prompt and late payment are left out."
        )
    if as_json:
        click.echo(json_text(fee_object(card, fee) | {"unknown": unknown}), nl=False)
    else:
        click.echo(fee_page(card, fee, [*warnings, about], Quantities(units)), nl=False)


def _facts(conditions: tuple[str, ...]) -> dict[str, str]:
    facts: dict[str, str] = {}
    for condition in conditions:
        name, equals, value = condition.partition("=")
        if not (name.strip() and equals and value.strip()):
            raise UsageError.of("when-unreadable", about="--when", given=condition)
        if name.strip().casefold() in (known.casefold() for known in facts):
            raise UsageError.of("when-twice", about="--when", given=name.strip())
        facts[name.strip()] = value.strip()
    return facts
