"""``fieldplan season years``: several seasons in one report."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import click

from fieldplan.cli.documents import ALSO_PDF, show
from fieldplan.cli.offered import life_option, offered_by, price_option, upkeep_option
from fieldplan.cli.options import (
    force_option,
    json_option,
    out_option,
    paper_option,
    seasons_argument,
    units_option,
)
from fieldplan.cli.progress import with_seasons
from fieldplan.cli.season_papers import by_option, day_given, day_option
from fieldplan.office.office import open_office
from fieldplan.office.years import years_of
from fieldplan.report.data.years import years_object
from fieldplan.report.documents.years import years_document
from fieldplan.report.words.quantities import Quantities, System


@click.command("years", short_help="Report several seasons, and whether to buy a drill.")
@seasons_argument
@by_option
@price_option
@life_option
@upkeep_option
@day_option
@units_option
@json_option
@out_option(ALSO_PDF, "years.pdf")
@paper_option
@force_option
def years_command(
    season_paths: Sequence[Path],
    by: Sequence[str],
    price: str | None,
    life: float | None,
    upkeep: str | None,
    day_text: str | None,
    units: System,
    **printing: Any,
) -> None:
    """Report several seasons side by side: acres, days, rain, income and who was turned away, by year and by practice.

    Each season is also planned with all its requests known from the start, with its drills and with one more: what
    could have been served. With the price and the life of a drill the page says if one more would have paid.

    \b
    fieldplan season years 2025 2026 2027 --price 28000 --life 12
    """
    offered = offered_by(price, life, upkeep)
    offices = [open_office(path, None, must_be=True) for path in season_paths]
    as_of = day_given(day_text) or date.today()
    found = years_of(offices, as_of, [column.casefold() for column in by], offered, with_seasons)
    document = replace(years_document(found, Quantities(units)), head=offices[-1].program.terms.letterhead)
    show(document, years_object(found), "years", **printing)
