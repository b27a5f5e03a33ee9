"""Several seasons in one report, for a notebook."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fieldplan.api.reader import hints
from fieldplan.api.result import Result
from fieldplan.api.season import SeasonSource, read_season
from fieldplan.errors import UsageError
from fieldplan.model.years import Years
from fieldplan.office.offered import offered_by
from fieldplan.office.office import office_of
from fieldplan.office.years import Progress, years_of
from fieldplan.report.data.years import years_object
from fieldplan.report.documents.document import Document
from fieldplan.report.documents.years import years_document
from fieldplan.report.files import write_files
from fieldplan.report.output import PaperAsked
from fieldplan.report.outputs import PAPERS, writers_of
from fieldplan.report.text.document import document_text
from fieldplan.report.typeset import Paper
from fieldplan.report.words.quantities import Quantities, System

if TYPE_CHECKING:
    from pandas import DataFrame

Sum = Decimal | float | str
_LISTS = ("turned_away", "unable", "by", "could_serve", "one_more_drill")
"""What of a season is no single figure, and stands in `SeasonYears.to_dict` alone or spread over columns."""


class SeasonYears(Result):
    """Several seasons side by side; made by `season_years`.

    Attributes
    ----------
    model
        The seasons, the earliest first, as data.
    """

    def __init__(self, model: Years, letterhead: Sequence[str] = (), units: System = "us") -> None:
        super().__init__((), units)
        self.model, self._letterhead = model, tuple(letterhead)

    def seasons(self) -> DataFrame:
        """A row a season with its name as the index: areas in m², sums of money as text, days counted."""
        import pandas

        rows = [
            {key: value for key, value in season.items() if key not in _LISTS}
            | {f"could_serve_{key}": value for key, value in season["could_serve"].items()}
            | {f"one_more_{key}": value for key, value in season["one_more_drill"].items()}
            for season in self.to_dict()["seasons"]
        ]
        return pandas.DataFrame(rows).set_index("name").astype({"opens": "datetime64[ns]"})

    def by(self, column: str = "practice") -> DataFrame:
        """A row a season and group of requests: areas in m², sums of money as text.

        Parameters
        ----------
        column
            A column of the lists of requests, one of those that `season_years` was asked for.

        Raises
        ------
        KeyError
            If it was not asked for that column.
        """
        import pandas

        rows = [
            {"season": season["name"], column: line["name"]}
            | {key: value for key, value in line.items() if key != "name"}
            for season in self.to_dict()["seasons"]
            for line in season["by"][column.casefold()]
        ]
        return pandas.DataFrame(rows)

    def to_dict(self) -> dict[str, Any]:
        """What ``fieldplan season years --json`` prints: nested dicts and lists, in SI."""
        return years_object(self.model)

    def text(self) -> str:
        """The whole page that ``fieldplan season years`` prints."""
        return document_text(self._document(self._q))

    def write(
        self,
        folder: str | PathLike[str],
        *,
        units: System | None = None,
        paper: Paper = "us-letter",
        force: bool = False,
    ) -> list[Path]:
        """Write the PDF that ``fieldplan season years --out`` writes.

        Parameters
        ----------
        folder
            Made if it is not there.
        units
            "us" or "metric", if other than those of the result.
        paper
            "us-letter" or "a4".
        force
            Overwrite a file that is there.

        Returns
        -------
        list of Path
            The files written.

        Raises
        ------
        UsageError
            If the file is there already and ``force`` is not set.
        MissingExtra
            If a library that is needed is not installed.
        """
        with self._on_paper(paper, units) as q:
            asked = PaperAsked(document=self._document(q), name="years", paper=paper)
            return write_files(Path(folder), writers_of(PAPERS, asked), force=force)

    def _document(self, q: Quantities) -> Document:
        return replace(years_document(self.model, q), head=self._letterhead)

    def __repr__(self) -> str:
        return years_document(self.model, self._q).title


def season_years(
    seasons: Sequence[SeasonSource],
    *,
    day: date | None = None,
    by: Sequence[str] = ("practice",),
    price: Sum | None = None,
    life_years: float | None = None,
    upkeep: Sum | None = None,
    units: System = "us",
    progress: Progress = iter,
) -> SeasonYears:
    """Report several seasons side by side from their ledgers, and whether one more drill would have paid.

    Each season is also planned with all its requests known from the start, with its drills and with one more.

    Parameters
    ----------
    seasons
        Each as `read_season` takes it. Its ledger lies beside its file.
    day
        Entries up to this day count; today if not given.
    by
        Columns of the lists of requests to group by.
    price
        What a drill costs that could be bought, in the currency of the rate cards.
    life_years
        How many years it lasts.
    upkeep
        What its upkeep costs in a year.
    units
        "us" or "metric": the units in which the result describes itself.
    progress
        Wraps the seasons while they are planned, such as a progress bar.

    Raises
    ------
    JobFileError, InputError
        With what is wrong with a season or its list, and if a season has no ledger.
    UsageError
        If no season is given, or one twice; if the rate cards have several currencies; if a drill has a price and no life.
    MissingExtra
        If the solver is not installed.
    """
    with hints():
        offered = offered_by(
            None if price is None else str(price), life_years, None if upkeep is None else str(upkeep)
        )
        read = [read_season(season, units=units) for season in seasons]
        if not read:
            raise UsageError.of("years-none")
        offices = [office_of(one.model, one.requests, None, must_be=True) for one in read]
        found = years_of(
            offices, day or date.today(), [column.casefold() for column in by], offered, progress
        )
        return SeasonYears(found, read[-1].model.terms.letterhead, units)
