"""Reading the stock file: a CSV like a passbook, one row for whatever came in, went out or changed of a lot."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from fieldplan.errors import InputError, Problem, placed, problem
from fieldplan.facts import Measure, Value, fact
from fieldplan.files import Purpose, text_of
from fieldplan.jobfile.lists import Row, rows_in
from fieldplan.jobfile.schema import SCHEMA
from fieldplan.model.seed_law import SeedLaw, sold_through
from fieldplan.model.spelling import nearest
from fieldplan.model.stock import KINDS, OF_A_JOB, WEIGHED, Lot, LotOnShelf, Movement, Stock
from fieldplan.tables.names import species_name
from fieldplan.tables.seed_law import limit_counted
from fieldplan.typed_quantity import parse_quantity
from fieldplan.units import OUNCE_KG

STOCK_FILE = Purpose(
    what=fact("called/list", what="stock"), code="stock", max_bytes=50_000_000, of_text=fact("try/csv")
)
CLOSE_KG = OUNCE_KG / 2
"""How far sums may be off: a person reads and writes weights to the ounce."""
MAX_ROWS = 50_000
_Bad = Callable[[str, Problem], None]
_FLAGS = {"treated": {"yes": True, "true": True, "no": False, "false": False}}
_SHARES = ("purity", "germination", "hard", "dormant")
TAG = (
    *("purity", "germination", "hard", "dormant", "seeds_per_pound", "bulk_weight", "bag", "price"),
    *("treated", "box"),
)
"""Columns of a tag, named like the keys of ``[[mix.component]]``."""
COLUMNS: Mapping[str, Value] = {
    "day": "the day, such as 2027-04-20",
    "what": ", ".join(KINDS),
    "species": "such as little bluestem",
    "lot": "such as LB-1",
    "weight": 'with its unit, such as "50 lb" or "12 oz"',
    "left": "what is then left; written by fieldplan, and checked",
    "job": "for drawn and returned: the job, such as north slope 2027",
    "kept": "where it is kept, such as shed, shelf 2",
    "tested": "the day of the test on the tag, such as 2027-01-15",
    "group": "such as grasses, forbs or legumes",
    **{name: f"from the tag, as in [[mix.component]]: {name}" for name in TAG},
    "entry": "the number of the write; left empty by hand",
    "note": "anything",
}
NEEDED = ("day", "what", "species", "lot")


def read_stock(path: Path) -> Stock:
    """Read a stock file and add up what is left of each lot.

    Rows count by their days, those of one day in the order of the file: it may be sorted in a spreadsheet.

    Parameters
    ----------
    path
        A CSV with the columns `COLUMNS`, of which `NEEDED` must be there.

    Raises
    ------
    InputError
        With every cell that cannot be read, and every row after which less than nothing would be left, that gives
        back more than its job has, or whose ``left`` is half an ounce or more from the sum.
    """
    return stock_in(text_of(path, STOCK_FILE), path)


def stock_in(text: str, path: Path) -> Stock:
    """Add up the text of a stock file; the same as `read_stock`.

    Raises
    ------
    InputError
        As `read_stock`.
    """
    rows = rows_in(text, path, "stock", columns=COLUMNS, needed=NEEDED, maximum=MAX_ROWS)
    problems: list[Problem] = []
    movements = [found for row in rows if (found := _movement(path, row, problems)) is not None]
    if problems:
        raise InputError(tuple(problems))
    return stock_of(path, movements)


def stock_of(path: Path, movements: Iterable[Movement]) -> Stock:
    """Add up rows of a stock file.

    Raises
    ------
    InputError
        As `read_stock`, for sums that cannot be.
    """
    problems: list[Problem] = []
    sums: dict[Lot, _Sum] = {}
    ordered = tuple(sorted(movements, key=lambda one: (one.day, one.row)))
    for one in ordered:
        lot = sums.setdefault(one.key, _Sum(first_day=one.day))
        problems += [placed(fault, file=str(path), about=f"row {one.row}") for fault in lot.add(one)]
    if problems:
        raise InputError(tuple(problems))
    return Stock(path=path, movements=ordered, lots=tuple(lot.closed(key) for key, lot in sums.items()))


def lots_at_hand(path: Path) -> list[dict[str, object]]:
    """Lots with seed left as tables of a target, with what the stock file says of their tags.

    Raises
    ------
    InputError
        As `read_stock`.
    """
    return [
        as_component(lot)
        | {"at_hand": f"{lot.left_kg} kg"}
        | ({"group": lot.tag["group"]} if lot.tag.get("group") else {})
        for lot in read_stock(path).lots
        if lot.left_kg > CLOSE_KG
    ]


def as_component(lot: LotOnShelf) -> dict[str, object]:
    """A lot as a table of ``[[mix.component]]`` without its rate and price: what its tag says."""
    made: dict[str, object] = {"species": lot.species, "lot": lot.lot}
    for name in TAG:
        cell = lot.tag.get(name, "")
        if cell and name != "price":
            flags = _FLAGS.get(name)
            made[name] = cell if flags is None else flags.get(cell.casefold(), cell)
    if lot.tested is not None:
        made["tested"] = lot.tested
    return made


def retest_by(tested: date) -> date:
    """The last day on which seed may be sold across state lines by its test; states' own limits may differ."""
    months = limit_counted(SeedLaw()).months
    assert months is not None
    return sold_through(tested, months)


@dataclass(slots=True)
class _Sum:
    """What is known of a lot so far."""

    first_day: date
    bought_kg: float = 0.0
    drawn_kg: float = 0.0
    returned_kg: float = 0.0
    discarded_kg: float = 0.0
    counted_kg: float = 0.0
    opened: date | None = None
    tested: date | None = None
    kept: str = ""
    tag: dict[str, str] = field(default_factory=dict)
    by_job: dict[str, float] = field(default_factory=dict)

    @property
    def left_kg(self) -> float:
        return self.bought_kg + self.returned_kg + self.counted_kg - self.drawn_kg - self.discarded_kg

    def add(self, one: Movement) -> list[Problem]:
        """Add a row; what cannot be comes back."""
        faults = []
        match one.kind:
            case "bought":
                self.bought_kg += one.weight_kg
            case "drawn":
                self.drawn_kg += one.weight_kg
                self.by_job[one.job] = self.by_job.get(one.job, 0.0) + one.weight_kg
                self.opened = self.opened or one.day
            case "returned":
                self.returned_kg += one.weight_kg
                held = self.by_job.get(one.job, 0.0) - one.weight_kg
                self.by_job[one.job] = held
                if held < -CLOSE_KG:
                    faults.append(problem("stock-row/returned", job=one.job, more_kg=-held))
            case "discarded":
                self.discarded_kg += one.weight_kg
            case "counted":
                self.counted_kg += one.weight_kg - self.left_kg
            case "opened":
                self.opened = self.opened or one.day
            case "tested" | "moved":
                pass
        if one.tag.get("tested"):
            self.tested = date.fromisoformat(one.tag["tested"])
        self.kept = one.kept or self.kept
        self.tag |= {name: cell for name, cell in one.tag.items() if cell}
        if self.left_kg < -CLOSE_KG:
            faults.append(problem("stock-row/below-nothing", short_kg=-self.left_kg))
        if one.left_kg is not None and abs(one.left_kg - self.left_kg) >= CLOSE_KG:
            faults.append(
                problem(
                    "stock-row/left", said=Measure(one.left_kg, "_kg"), sum=Measure(self.left_kg, "_kg")
                )
            )
        return faults

    def closed(self, key: Lot) -> LotOnShelf:
        return LotOnShelf(
            species=key[0],
            lot=key[1],
            bought_kg=self.bought_kg,
            drawn_kg=self.drawn_kg,
            returned_kg=self.returned_kg,
            discarded_kg=self.discarded_kg,
            counted_kg=self.counted_kg,
            first_day=self.first_day,
            opened=self.opened,
            tested=self.tested,
            retest_by=None if self.tested is None else retest_by(self.tested),
            kept=self.kept,
            tag=dict(self.tag),
            by_job={job: kg for job, kg in self.by_job.items() if abs(kg) > 1e-9},
        )


def _movement(path: Path, row: Row, problems: list[Problem]) -> Movement | None:
    """A row, or ``None`` with what is wrong with its cells recorded."""
    before = len(problems)

    def bad(column: str, fault: Problem) -> None:
        problems.append(placed(fault, file=str(path), about=f'row {row.number}, column "{column}"'))

    cells = {name: row.cells.get(name, "") for name in COLUMNS}
    if row.beyond:
        problems.append(
            placed(
                problem("request-row/beyond", n_cells=row.beyond), file=str(path), about=f"row {row.number}"
            )
        )
    for name in NEEDED:
        if not cells[name] and name != "lot":  # seed without a lot number is one lot
            bad(name, problem("request-row/empty"))
    kind = next((kind for kind in KINDS if kind == cells["what"].casefold()), None)
    if cells["what"] and kind is None:
        near = nearest(cells["what"], tuple(KINDS)) or ""
        bad("what", problem("stock-row/what", given=cells["what"][:40], near=near, known=tuple(KINDS)))
    days = {name: _day(name, cells[name], bad) for name in ("day", "tested") if cells[name]}
    for name in TAG:
        if cells[name]:
            _check_tag(name, cells[name], bad)
    weights = {name: _weight(name, cells[name], bad) for name in ("weight", "left") if cells[name]}
    if kind in WEIGHED and not cells["weight"]:
        bad("weight", problem("request-row/empty"))
    if kind in OF_A_JOB and not cells["job"]:
        bad("job", problem("request-row/empty"))
    entry = cells["entry"]
    if entry and not (entry.isascii() and entry.isdigit() and len(entry) < 10):
        bad("entry", problem("stock-row/entry", given=entry[:40]))
    day = days.get("day")
    if len(problems) > before or kind is None or day is None:
        return None
    return Movement(
        row=row.number,
        entry=int(entry or 0),
        day=day,
        kind=kind,
        species=species_name(cells["species"]),
        lot=cells["lot"],
        weight_kg=(weights.get("weight") or 0.0) if kind in WEIGHED else 0.0,
        left_kg=weights.get("left"),
        job=cells["job"],
        kept=cells["kept"],
        metric=cells["weight"].casefold().endswith("g"),
        tag={name: cells[name] for name in (*TAG, "tested", "group")},
    )


def _day(name: str, cell: str, bad: _Bad) -> date | None:
    try:
        found = date.fromisoformat(cell)
    except ValueError:
        bad(name, problem("request-row/no-date", given=cell[:40]))
        return None
    if not 1990 <= found.year <= 2100:
        bad(name, problem("request-row/far-date", given=cell[:40], first=1990, last=2100))
        return None
    return found


def _weight(name: str, cell: str, bad: _Bad) -> float | None:
    try:
        found = parse_quantity(cell, "mass")
    except InputError as error:
        for fault in error.problems:
            bad(name, fault)
        return None
    if not 0 <= found <= 1e6:
        bad(name, problem("stock-row/weight", given=cell[:40]))
        return None
    return found


def _check_tag(name: str, cell: str, bad: _Bad) -> None:
    if name in _FLAGS:
        if cell.casefold() not in _FLAGS[name]:
            bad(name, problem("stock-row/yes-no", given=cell[:40]))
        return
    try:
        found = SCHEMA["mix.component"][name].parse(cell)
    except InputError as error:
        for fault in error.problems:
            bad(name, fault)
        return
    if name in _SHARES and not 0 <= found <= 1:
        bad(name, problem("stock-row/share", given=cell[:40]))
