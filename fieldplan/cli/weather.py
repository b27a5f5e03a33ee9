"""``fieldplan weather``: what a daily weather record says of fieldwork days."""

from __future__ import annotations

from pathlib import Path

import click

from fieldplan.cli.documents import ALSO_PDF, show
from fieldplan.cli.explained import Explained, Rows
from fieldplan.cli.options import (
    force_option,
    json_option,
    letterhead_option,
    out_option,
    paper_option,
    units_option,
)
from fieldplan.errors import JobFileError
from fieldplan.jobfile.check import Checker
from fieldplan.jobfile.weather import weather_of
from fieldplan.report.data.record_study import study_object
from fieldplan.report.documents.weather import weather_document
from fieldplan.report.typeset import Paper
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.work.record_study import record_study
from fieldplan.work.weather_notes import study_notes

SECTIONS: dict[str, Rows] = {
    "Records": (
        (
            "layouts",
            "GHCN-Daily: .dly, a value a row, a day a row, or as ordered; or a table with columns such as "
            "date, rain_mm, tmax_c, tmin_c. Units are never guessed: where the file does not say them, give --record-units.",
        ),
        (
            "missing",
            "What failed a check, is presumed zero or lies within a total of several days is missing, and missing is never "
            "dry. A year with over 5 % of the days missing is left out.",
        ),
    ),
    "Rules": (
        ("rain, three-day rain", "Published limits of rain on the day, in two days and in three."),
        (
            "soil water",
            "A published water balance of the plough layer; it needs --drainage and temperatures.",
        ),
        ("your own", '--rule "none on a day with over 0.1 in, nor for 2 days after 0.5 in"'),
    ),
}


@click.command("weather", cls=Explained, sections=SECTIONS)
@click.argument("record", type=click.Path(path_type=Path))
@click.option("--record-units", metavar="UNITS", help='What it is in: "mm, C", "in, F" or "tenths".')
@click.option("--station", metavar="ID", help="The station to read, if there are several.")
@click.option(
    "--rule", metavar="RULE", help="The rule that tells fieldwork days. [default: the most reliable]"
)
@click.option(
    "--drainage", metavar="CLASS", help="Drainage of the soil, coarse or medium, for a water balance."
)
@click.option("--survey", metavar="PLACE", help="The survey that sets how many days there are.")
@click.option("--years", metavar="YEARS", help='Years to use, such as "1991-2020".')
@click.option("--lat", "lat_deg", type=click.FloatRange(-66, 66), help="Latitude, for a water balance.")
@units_option
@json_option
@out_option(ALSO_PDF, "weather.pdf")
@paper_option
@letterhead_option
@force_option
def command(
    record: Path,
    record_units: str | None,
    station: str | None,
    rule: str | None,
    drainage: str | None,
    survey: str | None,
    years: str | None,
    lat_deg: float | None,
    units: System,
    as_json: bool,
    folder: Path | None,
    paper: Paper,
    letterhead_path: Path | None,
    force: bool,
) -> None:
    """Tell fieldwork days from a daily weather record, and how far its odds can be trusted.

    \b
    fieldplan weather station.csv
    fieldplan weather station.csv --drainage medium --lat 44.3 --survey Nebraska
    """
    given = {
        "units": record_units,
        "station": station,
        "rule": rule,
        "drainage": drainage,
        "survey": survey,
        "years": years,
    }
    table = {key: value for key, value in given.items() if value is not None}
    checker = Checker()
    weather = weather_of(record.name, record.parent, table, record, checker)
    if checker.problems or weather is None:
        raise JobFileError(tuple(checker.problems))
    study = record_study(weather, lat_deg)
    notes = tuple(study_notes(weather, study.record))
    show(
        weather_document(study, notes, Quantities(units)),
        study_object(study, notes),
        "weather",
        as_json=as_json,
        folder=folder,
        paper=paper,
        letterhead_path=letterhead_path,
        force=force,
    )
