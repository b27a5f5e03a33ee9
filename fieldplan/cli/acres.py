"""``fieldplan acres``: acreage alone."""

from __future__ import annotations

from pathlib import Path

import click

from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.cli.exclusions import exclusion_files
from fieldplan.cli.options import boundary_argument, json_option, reading_options, units_option
from fieldplan.report.data.acres import acres_json
from fieldplan.report.text.acres import acres_page
from fieldplan.report.words.quantities import Quantities, System


@click.command("acres")
@boundary_argument
@units_option
@json_option
@reading_options
def command(
    boundary: Path,
    units: System,
    as_json: bool,
    terms: ReadingTerms,
    excluding: tuple[tuple[Path, ...], float],
) -> None:
    """Measure the acres of fields, and show how other ways of measuring go wrong.

    Real acres are measured on the curved surface of the Earth. Beside them stands what Web Mercator (the
    system of most web maps) and the file's own coordinates would give, and by how much they are off.

    \b
    fieldplan acres fields.geojson
    """
    fields = load_fields(boundary, terms, exclusion_files(excluding, terms))
    click.echo(acres_json(fields) if as_json else acres_page(fields, Quantities(units)), nl=False)
