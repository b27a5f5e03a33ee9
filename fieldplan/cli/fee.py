"""``fieldplan fee``: what a job costs by a rate card."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

import click

from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.cli.exclusions import exclusion_files
from fieldplan.cli.explained import Explained, Rows
from fieldplan.cli.options import json_option, reading_options, today_option, units_option
from fieldplan.cli.progress import with_progress
from fieldplan.errors import UsageError
from fieldplan.jobfile.load import load_job
from fieldplan.jobfile.rate_card import load_rate_card
from fieldplan.model.fee import Acres, JobFacts, RateCard
from fieldplan.model.job import Job
from fieldplan.model.plan import Plan
from fieldplan.planner import plan_job
from fieldplan.report.data.fee import fee_object
from fieldplan.report.data.json_text import json_text
from fieldplan.report.text.fee import fee_page
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.units import ACRE_M2, HOUR_S
from fieldplan.work.cost import ground_of
from fieldplan.work.fee import charges_that_apply, fee_of

SECTIONS: dict[str, Rows] = {
    "What a rate card may hold": (
        ("acres", 'The acres billed: "map", "meter" (counted by the drill) or "to sow" (plantable).'),
        (
            "rate",
            '"$14/ac", "$25/day", "$75/h", "$0.65/mi", or "$50" for each use; below zero for a rebate.',
        ),
        ("tiers", "A rate up to 20 acres, another beyond, and so on."),
        (
            "tiers_apply",
            'Must say "whole job" or "extra acres": cards are read both ways, and 41 acres can cost less '
            "than 40. With fraction a card says where a part of an acre falls.",
        ),
        ("least, least_acres, least_days", "The minimum charge, the minimum acres or days billed."),
        ("free", "What is not charged for, such as 3 days."),
        ("share, of, up_to", "A percentage of other charges, up to so many acres if you like."),
        ("paid_within, each", "Prompt payment and late payment."),
        (
            "when, one_of",
            "A charge that holds only for some jobs (--when), or one of several alternatives.",
        ),
        (
            "due, terms",
            'In [rate_card], for invoices: due = "30 days" after the return, and terms = ["…"] in your own words.',
        ),
        (
            "days_free",
            'In [rate_card]: days that charges by the day leave out, such as ["Sunday", 2027-05-31, "days off", '
            '"days lost", "days down"]. Without it every calendar day out is billed.',
        ),
        ("kind", '"deposit": held, and given back.'),
    ),
}
_MOST = 1e6
"""No number of acres, days, hours or miles of one job is larger."""


def _number(name: str, text: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    return click.option(name, type=float, metavar="N", callback=_likely_number, help=text)


def _likely_number(ctx: click.Context, param: click.Parameter, value: float | None) -> float | None:
    del ctx
    if value is not None and not (math.isfinite(value) and 0 <= value <= _MOST):
        raise UsageError.of("number-unlikely", about=param.opts[0], given=f"{value:.10g}")
    return value


@click.command("fee", cls=Explained, sections=SECTIONS)
@click.argument("card_path", metavar="CARD.toml", type=click.Path(path_type=Path))
@click.argument("boundary", metavar="[FIELDS]", required=False, type=click.Path(path_type=Path))
@click.option(
    "--job",
    "job_path",
    metavar="JOB.toml",
    type=click.Path(path_type=Path),
    help="With FIELDS: plan this job for its acres, days and hours.",
)
@_number("--map-acres", "Acres on the map.")
@_number("--meter-acres", "Acres on the drill's meter.")
@_number("--sown-acres", "Plantable acres: on the map, less what is excluded.")
@_number("--days", "Days that the drill is out.")
@_number("--hours", "Hours that the drill works.")
@_number("--miles", "Miles of delivery.")
@_number("--paid-after", "Days until the bill is paid.")
@click.option(
    "--when",
    "conditions",
    metavar="NAME=VALUE",
    multiple=True,
    help="A fact that the card asks for, such as area=outside. Repeat for several.",
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
    """Work out what a job costs by a district's rate card.

    Give acres and days, or plan a job: what you give counts before what the plan finds.

    \b
    fieldplan fee rates.toml --meter-acres 25 --days 2
    fieldplan fee rates.toml farm.geojson --job farm.toml --when area=outside
    """
    if (boundary is None) != (job_path is None):
        raise UsageError.of("fee-half")
    card = load_rate_card(card_path)
    given: dict[Acres, float | None] = {"map": map_acres, "meter": meter_acres, "to sow": sown_acres}
    facts = JobFacts(
        acres={kind: acres for kind, acres in given.items() if acres is not None},
        days=days,
        hours=hours,
        miles=miles,
        paid_after_days=paid_after,
        conditions=_facts(conditions),
    )
    about = "As given on the command line."
    warnings: list[str] = []
    unknown: list[str] = []
    if boundary is not None and job_path is not None:
        job = load_job(job_path)
        fields = load_fields(boundary, terms, exclusion_files(excluding, terms, job))
        plan = plan_job(fields, job, progress=with_progress, today=today)
        facts = _with_plan(facts, plan, job)
        about = _about(facts, boundary.name, job_path.name)
        warnings = warning_lines(plan.notes, Quantities(units))
        if facts.days is None:
            card, unknown = _without_days(card, facts)
    if unknown:
        warnings.append(f"Warning: not in the sum, as there are no days to book: {', '.join(unknown)}.")
    fee = fee_of(card, facts)
    if paid_after is None and any(charge.paid_within_days or charge.each_days for charge in card.charges):
        about += " Without --paid-after, charges for prompt and late payment are left out."
    if as_json:
        click.echo(json_text(fee_object(card, fee) | {"unknown": unknown}), nl=False)
    else:
        click.echo(fee_page(card, fee, [*warnings, about], Quantities(units)), nl=False)


def _with_plan(given: JobFacts, plan: Plan, job: Job) -> JobFacts:
    """The facts of a plan, but for those that were given."""
    planned = {kind: ground_m2 / ACRE_M2 for kind, ground_m2 in ground_of(plan.fields).items()}
    return replace(
        given,
        acres={**planned, **given.acres},
        days=plan.booking.suggested_days if given.days is None else given.days,
        hours=plan.job_time.field_s / HOUR_S if given.hours is None else given.hours,
        miles=job.cost.miles if given.miles is None else given.miles,
        conditions={**job.cost.conditions, **given.conditions},
    )


def _about(facts: JobFacts, boundary_name: str, job_name: str) -> str:
    days = "no days to book" if facts.days is None else counted(facts.days, "day")
    return f"Planned for {boundary_name} with {job_name}: {days}, {facts.hours:.1f} h in the fields."


def _without_days(card: RateCard, facts: JobFacts) -> tuple[RateCard, list[str]]:
    """The card without its charges by the day, for a booking that cannot be had, and their names."""
    by_day = [charge.name for charge in charges_that_apply(card, facts) if charge.unit == "day"]
    return replace(card, charges=tuple(charge for charge in card.charges if charge.unit != "day")), by_day


def _facts(conditions: tuple[str, ...]) -> Mapping[str, str]:
    facts: dict[str, str] = {}
    for condition in conditions:
        name, equals, value = condition.partition("=")
        if not (name.strip() and equals and value.strip()):
            raise UsageError.of("when-unreadable", about="--when", given=condition)
        if name.strip().casefold() in (known.casefold() for known in facts):
            raise UsageError.of("when-twice", about="--when", given=name.strip())
        facts[name.strip()] = value.strip()
    return facts
