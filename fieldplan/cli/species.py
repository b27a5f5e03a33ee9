"""``fieldplan species``: what is published of a species."""

from __future__ import annotations

import click

from fieldplan.cli.options import json_option, units_option
from fieldplan.report.data.species import species_json
from fieldplan.report.text.species import species_page
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.seed.known import species_facts


@click.command("species")
@click.argument("names", metavar="NAME...", nargs=-1, required=True)
@units_option
@json_option
def command(names: tuple[str, ...], units: System, as_json: bool) -> None:
    """Show what is published of a species: counts, depth, box, season, each figure with its source.

    NAME is a common, scientific or other name, or a federal plant symbol; a variety may follow, and it may be
    misspelled. What no source was found for is listed as asked for, never guessed.

    \b
    fieldplan species switchgrass
    fieldplan species "Panicum virgatum" "sideoats grama"
    """
    found = [species_facts(name) for name in names]
    if as_json:
        click.echo(species_json(found), nl=False)
        return
    click.echo(species_page(found, Quantities(units)), nl=False)
