"""A season of rentals, for a notebook."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fieldplan.api.reader import hints, quantities_in
from fieldplan.api.result import Result
from fieldplan.api.tables import as_toml
from fieldplan.model.letters import LETTER_KINDS, LetterKind
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.request import Request
from fieldplan.model.season import Season as SeasonModel
from fieldplan.model.standing import Checked, Since
from fieldplan.office.letters import mail_of
from fieldplan.office.office import office_of
from fieldplan.office.planning import planned
from fieldplan.records.seal import seal_of
from fieldplan.report.data.season_json import season_object
from fieldplan.report.data.season_since import offers_object, since_object
from fieldplan.report.files import write_files
from fieldplan.report.html.cell import season_cell
from fieldplan.report.letters.page import page_of
from fieldplan.report.letters.read import templates_of
from fieldplan.report.output import SeasonAsked
from fieldplan.report.outputs import SEASON, writers_of
from fieldplan.report.text.letter import letter_text
from fieldplan.report.text.season_page import season_in_short, season_page, season_title
from fieldplan.report.typeset import Paper
from fieldplan.report.words.quantities import System
from fieldplan.season.durations import Progress
from fieldplan.season.program import load_program, program_of
from fieldplan.season.requests import read_requests
from fieldplan.season.waiting_list import waiting_list

if TYPE_CHECKING:
    from pandas import DataFrame

_BOOKING = (
    "drill",
    "renter",
    "first_day",
    "last_day",
    "days",
    "ground_m2",
    "job_s",
    "waiting_days",
    "tow_m",
    "collect_from",
    "shares_with",
    "confirmed",
    "odds_prob",
    "reason",
)


class Season:
    """A season as its file describes it, with its list of requests; made by `read_season`.

    Attributes
    ----------
    model
        The terms of the season and its drills, as data.
    requests
        The requests, in the order of the list.
    """

    def __init__(self, model: RentalProgram, requests: Sequence[Request], units: System = "us") -> None:
        quantities_in(units)
        self.model, self.requests, self._units = model, tuple(requests), units

    def plan(self, *, ledger: str | PathLike[str] | None = None, progress: Progress = iter) -> SeasonPlan:
        """Give every request a drill and days, or a reason why not.

        Parameters
        ----------
        ledger
            The store of the season; if not given, the one beside the season's file, if there is one.
            Bookings that it has as confirmed stay where they are. Nothing is entered in it.
        progress
            Wraps the requests while their days are counted, such as a progress bar.

        Raises
        ------
        InputError
            If a request or the ledger cannot be used.
        MissingExtra
            If the solver is not installed.
        """
        path = None if ledger is None else Path(ledger)
        with hints():
            office = office_of(self.model, self.requests, path, must_be=ledger is not None)
            found = planned(office, date.today(), progress=progress)
        return SeasonPlan(found.season, self._units, found.since, found.checks)

    def letters(
        self,
        kinds: Sequence[LetterKind] = LETTER_KINDS,
        *,
        day: date | None = None,
        ledger: str | PathLike[str] | None = None,
    ) -> DataFrame:
        """The letters that are due, a row a letter, with its title and its text; nothing is written or entered.

        Parameters
        ----------
        kinds
            Kinds of letters, such as "invoice".
        day
            The day on which they are written; today if not given.
        ledger
            The store of the season; if not given, the one beside the season's file.

        Raises
        ------
        InputError
            If there is no store, or a template of the district cannot be used.
        """
        import pandas

        with hints():
            office = office_of(
                self.model, self.requests, None if ledger is None else Path(ledger), must_be=True
            )
            mail = mail_of(office, day or date.today(), kinds)
            templates = templates_of(self.model.templates)
            seal = seal_of(office.store.chain)
            pages = [
                page_of(letter, templates[letter.kind], self.model.terms, seal, quantities_in(self._units))
                for letter in mail.letters
            ]
        rows = [
            (letter.kind, letter.request.request_id, letter.called, page.title, letter_text(page))
            for letter, page in zip(mail.letters, pages, strict=True)
        ]
        return pandas.DataFrame(rows, columns=["letter", "request", "renter", "title", "text"])

    def offers(self, *, ledger: str | PathLike[str] | None = None) -> DataFrame:
        """Whom to phone about days that are free again, a row an offer, in the order of phoning.

        Parameters
        ----------
        ledger
            The store of the season; if not given, the one beside the season's file.

        Raises
        ------
        InputError
            If there is no store.
        """
        import pandas

        with hints():
            office = office_of(
                self.model, self.requests, None if ledger is None else Path(ledger), must_be=True
            )
            found = offers_object(waiting_list(self.model, office.requests, office.standing))
        columns = [
            "request",
            "renter",
            "drill",
            "days",
            "odds_prob",
            "served_now",
            "earlier_days",
            "freed_by",
        ]
        return pandas.DataFrame(found["offers"], columns=columns)

    def __repr__(self) -> str:
        drills = ", ".join(drill.name for drill in self.model.drills)
        return f"{season_title(self.model)}\n  {len(self.requests)} requests; drills: {drills}"


class SeasonPlan(Result):
    """Who has which drill when; made by `Season.plan`.

    Attributes
    ----------
    model
        Bookings, refusals and the proof of the schedule, as data.
    since
        What changed in the list of requests since the store took it in, what the clerk is asked, and what moved.
    checks
        What must be in order before a drill goes out, by request; the hand-over sheets carry it.
    """

    def __init__(
        self,
        model: SeasonModel,
        units: System = "us",
        since: Since | None = None,
        checks: Mapping[str, Sequence[Checked]] | None = None,
    ) -> None:
        super().__init__(model.notes, units)
        self.model, self.since, self.checks = model, since or Since(), checks or {}

    def bookings(self) -> DataFrame:
        """A row a booking with the request as its index: lengths in m, areas in m², times in s, days as dates."""
        import pandas

        rows = [booking | _ends(booking["days"]) for booking in self.to_dict()["bookings"]]
        index = pandas.Index([row["request"] for row in rows], name="request", dtype="object")
        frame = pandas.DataFrame(rows, columns=list(_BOOKING)).set_index(index)
        ends = ["first_day", "last_day"]
        return frame.assign(days=[len(days) for days in frame["days"]]).astype(
            dict.fromkeys(ends, "datetime64[ns]")
        )

    def refused(self) -> DataFrame:
        """A row a request that is not served, with the reason, and changes that would get it a booking."""
        import pandas

        columns = ["request", "renter", "reason", "changes"]
        return pandas.DataFrame(self.to_dict()["refused"], columns=columns).set_index("request")

    def to_dict(self) -> dict[str, Any]:
        """What ``fieldplan season plan --json`` prints: nested dicts and lists, in SI."""
        return season_object(self.model) | {"since": since_object(self.since)}

    def text(self) -> str:
        """The whole page that ``fieldplan season plan`` prints."""
        return season_page(self.model, self._q, self.since)

    def write(
        self,
        folder: str | PathLike[str],
        *,
        units: System | None = None,
        paper: Paper = "us-letter",
        phones: bool = False,
        force: bool = False,
    ) -> list[Path]:
        """Write the files that ``fieldplan season plan --out`` writes: all of them, or none.

        Parameters
        ----------
        folder
            Made if it is not there.
        units
            "us" or "metric", if other than those of the season.
        paper
            "us-letter" or "a4".
        phones
            Put telephone numbers into the calendars.
        force
            Overwrite files that are there.

        Returns
        -------
        list of Path
            The files written.

        Raises
        ------
        UsageError
            If a file is there already and ``force`` is not set.
        MissingExtra
            If a library that is needed is not installed.
        """
        with self._on_paper(paper, units) as q:
            asked = SeasonAsked(season=self.model, q=q, paper=paper, phones=phones, checks=self.checks)
            return write_files(Path(folder), writers_of(SEASON, asked), force=force)

    def __repr__(self) -> str:
        return f"{season_title(self.model.program)}\n{season_in_short(self.model, self._q)}"

    def _repr_html_(self) -> str:
        return season_cell(self.model, self._q)


SeasonSource = str | PathLike[str] | Mapping[str, Any] | Season


def read_season(season: SeasonSource, *, units: System = "us") -> Season:
    """Read and check a season's file, the job files of its drills and its list of requests.

    Parameters
    ----------
    season
        The path of a file such as ``sample_fields/season.toml``, of the folder of a ``season.toml``, or a mapping with the same tables and keys;
        files that a mapping names, such as the list of requests and the job files of the drills, are looked
        for in the current folder. A `Season` comes back in the units asked for.
    units
        "us" or "metric": the units in which results describe themselves.

    Raises
    ------
    JobFileError
        With every problem of the season's file and of the job files that it names.
    InputError
        With every bad cell of the list of requests.
    TypeError
        If it is none of these, or a key of the mapping is no text.

    Examples
    --------
    >>> import fieldplan
    >>> season = fieldplan.read_season("season.toml")
    >>> season
    Thistle Flats spring (invented): Mon 19 Apr 2027 to Sat 19 Jun 2027
      16 requests; drills: ten foot, prairie
    """
    if isinstance(season, Season):
        return Season(season.model, season.requests, units)
    with hints():
        if isinstance(season, Mapping):
            program = program_of(as_toml(season), Path("season"))
        elif isinstance(season, str | PathLike):
            path = Path(season)
            program = load_program(path / "season.toml" if path.is_dir() else path)
        else:
            raise TypeError(f"season must be a path, a mapping or a Season, not {type(season).__name__}")
        return Season(program, read_requests(program.requests_path), units)


def _ends(days: Sequence[str]) -> dict[str, str]:
    return {"first_day": days[0], "last_day": days[-1]}
