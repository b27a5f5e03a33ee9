"""Seed in stock, for a notebook."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fieldplan.api.plan import Plan
from fieldplan.api.reader import hints, quantities_in
from fieldplan.jobfile.stock import read_stock as read_model
from fieldplan.model.stock import Stock as StockModel
from fieldplan.records import stock as writing
from fieldplan.records.lots_in_sequence import sequences
from fieldplan.report.data.stock import need_object, stock_object
from fieldplan.report.documents.stock import stock_document
from fieldplan.report.text.document import document_text
from fieldplan.report.words.quantities import System

if TYPE_CHECKING:
    from pandas import DataFrame


class Stock:
    """The lots of a stock file as it was read; made by `read_stock`. What writes gives the stock as it is then.

    Attributes
    ----------
    model
        Lots and rows as data in SI.
    """

    def __init__(self, model: StockModel, units: System = "us") -> None:
        self.model, self._units, self._q = model, units, quantities_in(units)

    def lots(self) -> DataFrame:
        """A row a lot: weights in kg, days as text."""
        import pandas

        return pandas.DataFrame(self.to_dict()["lots"])

    def to_dict(self) -> dict[str, Any]:
        """What ``fieldplan stock list --json`` prints: nested dicts and lists, in SI."""
        return stock_object(self.model)

    def text(self, today: date | None = None) -> str:
        """The whole page that ``fieldplan stock list`` prints."""
        return document_text(stock_document(self.model, today or date.today(), self._q))

    def needed(self, plan: Plan, job: str = "job") -> dict[str, Any]:
        """What ``fieldplan stock need --json`` prints: which lots a plan sows in which order, and what to buy."""
        return need_object(sequences(self.model, plan.model), job)

    def record(self, what: str, **cells: str) -> Stock:
        """Add a row to the file, such as ``record("bought", day="2027-02-01", species="oats", lot="7", weight="50 lb")``.

        Raises
        ------
        InputError
            If the row cannot be; the file then stays as it was.
        """
        row: Mapping[str, str] = {"day": date.today().isoformat(), **cells, "what": what}
        with hints():
            return Stock(writing.append(self.model.path, [row]).stock, self._units)

    def draw(self, plan: Plan, job: str, day: date | None = None) -> Stock:
        """Take from the stock what a plan needs of it, and write that into the file.

        Raises
        ------
        UsageError
            If the job holds seed already, or the stock has nothing for it.
        InputError
            If the file was changed since.
        """
        with hints():
            needed = sequences(self.model, plan.model)
            rows = writing.drawn_rows(self.model, needed, job, day or date.today())
            return Stock(writing.append(self.model.path, rows).stock, self._units)

    def __repr__(self) -> str:
        n = len(self.model.lots)
        return f"{self.model.path.name}: {n} {'lot' if n == 1 else 'lots'}"


def read_stock(path: str | PathLike[str], *, units: System = "us") -> Stock:
    """Read a stock file and add up what is left of each lot.

    Parameters
    ----------
    path
        A CSV such as ``sample_fields/stock.csv``.
    units
        "us" or "metric": the units in which pages are written.

    Raises
    ------
    InputError
        With every cell that cannot be read and every sum that cannot be.

    Examples
    --------
    >>> import fieldplan
    >>> fieldplan.read_stock("stock.csv")
    stock.csv: 3 lots
    """
    with hints():
        return Stock(read_model(Path(path)), units)
