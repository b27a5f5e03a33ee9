"""``fieldplan check``: what a boundary file holds, and whether a plan can be made from it."""

from __future__ import annotations

from pathlib import Path

import click

from fieldplan.boundary.load import examine
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.cli.check_help import SECTIONS
from fieldplan.cli.exclusions import exclusion_files
from fieldplan.cli.explained import Explained
from fieldplan.cli.options import boundary_argument, json_option, reading_options, units_option
from fieldplan.errors import BoundaryError
from fieldplan.report.data.check import check_json
from fieldplan.report.text.check import check_page
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities, System


@click.command("check", cls=Explained, sections=SECTIONS)
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
    """List what a boundary file holds, what was mended, and what is in the way of a plan.

    FIELDS is a GeoJSON, GeoPackage, Shapefile, KML, KMZ, FlatGeobuf, GML or DXF file, a GPX track, a CSV
    with a column of WKT, a File Geodatabase, or GeoParquet (which needs the extra "scale"), loose or in a zip
    file. Nothing is guessed, and nothing is left out without a word.

    The exit code is 0 if `fieldplan plan` accepts the file with the same options, and 3 if not. What is in
    the way is listed among the findings.

    Of a field's attributes count: id, name, mix, priority, gate, exclusions, edge and pattern, as explained below.
    Exclusions with cross = "lifted" may be driven over, lifted.

    \b
    fieldplan check fields.zip
    fieldplan check fields.dxf --crs EPSG:26915 --exclusions wet.kml
    """
    found = examine(boundary, terms, exclusion_files(excluding, terms))
    click.echo(check_json(found) if as_json else check_page(found, Quantities(units)), nl=False)
    if found.problems:
        codes = ", ".join(dict.fromkeys(problem.code for problem in found.problems))
        click.echo(plain(f"Error: {boundary} cannot be planned ({codes})."), err=True)
        click.get_current_context().exit(BoundaryError.exit_code)
