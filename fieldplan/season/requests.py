"""Reading the clerk's list of requests: a CSV, one request a row; every bad cell is named by row and column."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TypeVar

from fieldplan.errors import InputError, Problem, placed, problem
from fieldplan.facts import fact
from fieldplan.jobfile.lists import Row, other_names, read_list
from fieldplan.model.notes import Note
from fieldplan.model.request import Request
from fieldplan.model.spelling import slips
from fieldplan.units import ACRE_M2, HORSEPOWER_W

Value = TypeVar("Value")
COLUMNS = {
    "request": "a unique id",
    "renter": "the renter's name",
    "renter_id": "an id of the renter, such as H12: two of one name are two",
    "ready": "the first day they can begin, such as 2027-05-03",
    "until": "the last day that works for them, such as 2027-05-28",
    "asked": "the day of asking, such as 2027-03-01",
    "fields": "a boundary file beside this list, such as north.geojson",
    "acres": "acres, where there is no boundary file, such as 24.5",
    "lat": "latitude of the place, such as 44.25",
    "lon": "longitude of the place, such as -95.75",
    "mix": "a mix of the drill's job file",
    "boxes": "kinds of boxes that the drill must have: grain, native, small",
    "tractor_hp": "PTO horsepower of the tractor, such as 75",
}
"""Columns with a meaning of their own. All others are facts for the rules."""
NEEDED = ("request", "renter", "ready", "until", "lat", "lon")
FIRST_YEAR, LAST_YEAR = 2000, 2100
NO_DATE = "request-row/no-date"
FEW_DATES = 3
"""So many cells of a column that are no dates are named one by one."""
MAX_ACRES, MAX_REQUESTS, LONGEST_CELL = 20_000.0, 2_000, 200


@dataclass(frozen=True, slots=True, kw_only=True)
class RequestsRead:
    """The rows of a list that can be read, and what is wrong with the others.

    Parameters
    ----------
    unread
        Ids of the requests in rows that cannot be read; empty for one without an id.
    """

    requests: tuple[Request, ...]
    problems: tuple[Problem, ...]
    unread: frozenset[str]


def read_requests(path: Path) -> tuple[Request, ...]:
    """Read a list of requests, in its order.

    Raises
    ------
    InputError
        With every problem found.
    """
    found = requests_read(path)
    if found.problems:
        raise InputError(found.problems)
    return found.requests


def requests_read(path: Path) -> RequestsRead:
    """Read what can be read of a list of requests, in its order.

    Raises
    ------
    InputError
        If it is no list, or lacks a column.
    """
    rows = read_list(path, "requests", columns=COLUMNS, needed=NEEDED, maximum=MAX_REQUESTS)
    problems: list[Problem] = []
    requests = []
    taken: dict[str, int] = {}
    unread: set[str] = set()
    for line in rows:
        row = _Row(path, line)
        request = row.request()
        if request and request.request_id in taken:
            row.bad(
                "request",
                problem("request-row/twice", given=request.request_id, row=taken[request.request_id]),
            )
        elif request:
            taken[request.request_id] = line.number
            requests.append(request)
        problems += row.problems
        if row.problems:
            unread.add(line.cells.get("request", ""))
    return RequestsRead(
        requests=tuple(requests), problems=tuple(_dates_by_column(problems)), unread=frozenset(unread)
    )


def _dates_by_column(problems: Sequence[Problem]) -> Iterator[Problem]:
    """The problems, with one for each column that has many cells that are no dates: its format is wrong, not its cells."""

    def column(one: Problem) -> str:
        return one.about.partition(", ")[2] if one.as_fact().code == NO_DATE else ""

    counts = Counter(map(column, problems))
    told: set[str] = set()
    for one in problems:
        name = column(one)
        if not name or counts[name] <= FEW_DATES:
            yield one
        elif name not in told:
            told.add(name)
            several = problem("request-row/no-dates", given=one.values["given"], n_more=counts[name] - 1)
            yield placed(several, file=one.file, about=one.about, cure=one.cure)


def request_of(path: Path, number: int, cells: Mapping[str, str]) -> Request:
    """A request from the cells of its row, as they were taken in before.

    Parameters
    ----------
    path
        The list that the row was in.
    number
        Its row.

    Raises
    ------
    InputError
        With every bad cell.
    """
    row = _Row(path, Row(number=number, cells=cells))
    request = row.request()
    if request is None:
        raise InputError(tuple(row.problems))
    return request


def column_notes(requests: Sequence[Request]) -> list[Note]:
    """Warnings on columns named almost like one of `COLUMNS` that is missing."""
    columns = dict.fromkeys(column for request in requests for column in request.facts)
    synonyms = [
        (named, known)
        for named, known in other_names("requests", COLUMNS).items()
        if named in columns and known not in columns
    ]
    return [
        Note(
            code="column-like",
            warning=True,
            values={"named": named, "known": known, "holds": COLUMNS[known]},
        )
        for named, known in (*slips(columns, COLUMNS), *synonyms)
    ]


class _Row:
    """Reads the cells of one row and collects what is wrong with them."""

    def __init__(self, path: Path, row: Row) -> None:
        self.problems: list[Problem] = []
        self._path, self._number, self._cells = path, row.number, row.cells
        if row.beyond:
            self.problems.append(
                placed(
                    problem("request-row/beyond", n_cells=row.beyond),
                    file=str(path),
                    about=f"row {row.number}",
                )
            )
        for name, cell in self._cells.items():
            if len(cell) > LONGEST_CELL:
                self.bad(name, problem("request-row/long", n_characters=len(cell)))

    def request(self) -> Request | None:
        """The request, or ``None`` if a cell of it is wrong."""
        ready, until = self._needed("ready", _day), self._needed("until", _day)
        name, renter = self._needed("request", str), self._needed("renter", str)
        lat, lon = self._needed("lat", _within(-90, 90)), self._needed("lon", _within(-180, 180))
        asked = self._given("asked", _day)
        fields, acres = self._given("fields", Path), self._given("acres", _within(0.01, MAX_ACRES))
        power = self._given("tractor_hp", _within(5, 1000))
        if (self._cells.get("fields", "") == "") == (self._cells.get("acres", "") == ""):
            near = [
                *slips(self._cells, COLUMNS),
                *((cell, other_names("requests", COLUMNS).get(cell, "")) for cell in self._cells),
            ]
            named = tuple(
                f'"{name}"'
                for name, known in near
                if known in ("acres", "fields") and known not in self._cells
            )
            self.bad("acres", problem("request-row/acres", named=named))
        if ready and until and until < ready:
            self.bad(
                "until", problem("request-row/ends-early", until_typed_day=until, ready_typed_day=ready)
            )
        if self.problems or ready is None or until is None or lat is None or lon is None:
            return None
        return Request(
            row=self._number,
            request_id=name or "",
            renter=renter or "",
            ready=ready,
            until=until,
            asked=asked,
            fields=self._path.parent / fields if fields else None,
            ground_m2=acres * ACRE_M2 if acres else None,
            place_lonlat=(lon, lat),
            mix=self._cells.get("mix") or None,
            pto_power_w=power * HORSEPOWER_W if power else None,
            boxes=self._given("boxes", _boxes) or frozenset(),
            facts=self._facts(),
            renter_id=self._cells.get("renter_id", ""),
        )

    def _facts(self) -> Mapping[str, str]:
        return dict(self._cells)

    def bad(self, column: str, problem: Problem) -> None:
        """Add what is wrong in a column to the problems."""
        where = f'row {self._number}, column "{column}"'
        holds = fact("column-holds", what=COLUMNS[column]) if column in COLUMNS else None
        self.problems.append(placed(problem, file=str(self._path), about=where, cure=holds))

    def _needed(self, column: str, parse: Callable[[str], Value]) -> Value | None:
        if not self._cells.get(column):
            self.bad(column, problem("request-row/empty"))
            return None
        return self._given(column, parse)

    def _given(self, column: str, parse: Callable[[str], Value]) -> Value | None:
        cell = self._cells.get(column, "")
        if not cell:
            return None
        try:
            return parse(cell)
        except InputError as error:
            for fault in error.problems:
                self.bad(column, fault)
            return None


def _day(cell: str) -> date:
    try:
        day = date.fromisoformat(cell if len(cell) == len("2027-05-10") and cell.count("-") == 2 else "")
    except ValueError:
        raise InputError.of(NO_DATE, given=_short(cell)) from None
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise InputError.of("request-row/far-date", given=_short(cell), first=FIRST_YEAR, last=LAST_YEAR)
    return day


def _boxes(cell: str) -> frozenset[str]:
    kinds = frozenset(cell.casefold().replace(",", " ").split())
    if not kinds <= {"grain", "native", "small"}:
        raise InputError.of("request-row/boxes", given=_short(cell))
    return kinds


def _within(low: float, high: float) -> Callable[[str], float]:
    def parse(cell: str) -> float:
        try:
            value = float(cell)
        except ValueError:
            raise InputError.of("request-row/no-number", given=_short(cell)) from None
        if not low <= value <= high:
            raise InputError.of("request-row/outside", given=_short(cell), low_plain=low, high_plain=high)
        return value

    return parse


def _short(cell: str) -> str:
    """As much of a cell as a message quotes."""
    return cell[:40]
