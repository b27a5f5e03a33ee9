"""``fieldplan season renters`` and ``forget``: what is known of renters, and how to take it out."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import click

from fieldplan.cli.documents import ALSO_PDF, show
from fieldplan.cli.options import (
    force_option,
    json_option,
    out_option,
    paper_option,
    season_argument,
    units_option,
)
from fieldplan.cli.season_ledger import ledger_option
from fieldplan.cli.season_papers import day_given, day_option
from fieldplan.cli.season_written import rows_text
from fieldplan.errors import UsageError
from fieldplan.model.records import Fresh
from fieldplan.model.standing import Person
from fieldplan.office.entered import enter
from fieldplan.office.office import open_office
from fieldplan.office.renters import naming, renters_of
from fieldplan.report.data.renters import renters_object
from fieldplan.report.documents.renters import renters_document
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities, System

MAX_NAMED = 20


@click.command("renters", short_help="List renters: rented, owed, deposits, standing.")
@season_argument
@ledger_option
@day_option
@units_option
@json_option
@out_option(ALSO_PDF, "renters.pdf")
@paper_option
@force_option
def renters_command(
    season_path: Path, ledger_path: Path | None, day_text: str | None, units: System, **printing: Any
) -> None:
    """List renters over seasons: what they rented, what they owe, their deposits and their standing.

    Two of one name are two: the column renter_id of the list of requests tells them apart, and finds a renter
    again in the seasons that the season's file names as earlier = ["../2026"].

    \b
    fieldplan season renters spring
    """
    as_of = day_given(day_text) or date.today()
    office = open_office(season_path, ledger_path, must_be=True)
    renters = renters_of(office, as_of)
    document = renters_document(renters, office.program.terms.name, as_of, Quantities(units))
    show(
        replace(document, head=office.program.terms.letterhead),
        renters_object(renters),
        "renters",
        **printing,
    )


@click.command("forget", short_help="Take a renter's name and telephone number out.")
@season_argument
@click.argument("renter_id", metavar="RENTER_ID")
@ledger_option
def forget_command(season_path: Path, renter_id: str, ledger_path: Path | None) -> None:
    """Take a renter's name and telephone number out of the store, for good.

    All entries stay, with the id alone: sums and rentals do not change. What else names the person is listed:
    rows of your list of requests, words that somebody typed into an entry, and files that were written.

    \b
    fieldplan season forget spring H12
    """
    office = open_office(season_path, ledger_path, must_be=True)
    there = office.people.get(renter_id)
    if there is None:
        raise UsageError.of("renter-unknown", given=renter_id, known=tuple(office.people)[:MAX_NAMED])
    named = naming(office, there)
    fresh = Fresh(kind="forgotten", typed={"renter": renter_id, "day": date.today().isoformat()})
    gone = Person(renter_id=renter_id, taken_out=True)
    carried = [
        replace(one, digest="")
        for one in office.store.beside.carried.values()
        if one.renter_id == renter_id
    ]
    written = enter(office, [fresh], [gone], carried)
    click.echo(
        f"Taken out of {plain(str(office.path))}: name and telephone number of {plain(renter_id)} ({rows_text(written)})."
    )
    if named["rows"]:
        rows = ", ".join(map(str, named["rows"]))
        click.echo(
            f"The list of requests still has them, in row {rows}: take them out there, and put the id in their place."
        )
    if named["entries"]:
        rows = ", ".join(map(str, named["entries"]))
        click.echo(f"Words typed into entries may name the person, and no entry is rewritten: row {rows}.")
    click.echo(
        "Calendars, sheets and papers that were written before still have them: write them again or delete them."
    )
