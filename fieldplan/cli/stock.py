"""``fieldplan stock``: a file of seed lots that jobs draw from and give back to."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from textwrap import wrap

import click

from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.cli.documents import ALSO_PDF, show
from fieldplan.cli.exclusions import exclusion_files
from fieldplan.cli.options import (
    boundary_argument,
    force_option,
    job_option,
    json_option,
    letterhead_option,
    out_option,
    paper_option,
    reading_options,
    today_option,
    units_option,
)
from fieldplan.cli.progress import with_progress
from fieldplan.errors import OutputError, UsageError
from fieldplan.jobfile.load import load_job
from fieldplan.jobfile.stock import COLUMNS, read_stock
from fieldplan.model.spelling import nearest
from fieldplan.model.stock import KINDS
from fieldplan.planner import plan_job
from fieldplan.records.entries import typed_entry
from fieldplan.records.lots_in_sequence import sequences
from fieldplan.records.stock import Entered, append, drawn_rows, undo
from fieldplan.report.data.stock import need_object, stock_csv, stock_object
from fieldplan.report.documents.stock import need_document, stock_document
from fieldplan.report.typeset import Paper
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities, System

_WRITTEN = ("what", "left", "entry")
"""Columns that a person does not type on the command line."""
stock_argument = click.argument("stock_path", metavar="STOCK.csv", type=click.Path(path_type=Path))


def _kinds() -> str:
    """Help on every kind of row, and the columns."""
    lines = ["Kinds of rows:", ""]
    for kind, about in KINDS.items():
        lines += ["\b", *wrap(f"{kind}: {about}", 76, subsequent_indent="    "), ""]
    columns = ", ".join(name for name in COLUMNS if name not in _WRITTEN)
    return "\n".join([*lines, "\b", *wrap(f"Columns: {columns}.", 76, subsequent_indent="    ")])


class _InOrder(click.Group):
    """A group that lists its commands in the order in which they are used."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names in the order of their registration."""
        del ctx
        return list(self.commands)


@click.group("stock", cls=_InOrder)
def command() -> None:
    """Keep a file of seed lots: bought, opened, left, tested, kept where.

    The file is a CSV like a passbook: a row for whatever came in, went out or changed, with what is then left. It may
    be edited and sorted in a spreadsheet; rows count by their days, and every sum is checked to half an ounce.

    \b
    fieldplan stock record stock.csv bought species="little bluestem" lot=LB-1 \\
        weight="50 lb" tested=2027-01-15 purity="90 %" germination="70 %" \\
        kept="shed, shelf 2"
    fieldplan stock need stock.csv farm.geojson --job farm.toml
    fieldplan stock draw stock.csv farm.geojson --job farm.toml --as "farm 2027"
    fieldplan stock list stock.csv
    """


@command.command("list", short_help="Print what is left, what to retest, and the sums.")
@stock_argument
@click.option("--csv", "as_csv", is_flag=True, help="Print CSV, one row for each lot.")
@today_option
@units_option
@json_option
@out_option(ALSO_PDF, "stock.pdf")
@paper_option
@letterhead_option
@force_option
def list_command(
    stock_path: Path,
    as_csv: bool,
    today: date,
    units: System,
    as_json: bool,
    folder: Path | None,
    paper: Paper,
    letterhead_path: Path | None,
    force: bool,
) -> None:
    """Print what is left of each lot, when it must be tested again, and what came in and went out."""
    stock = read_stock(stock_path)
    if as_csv:
        click.echo(stock_csv(stock), nl=False)
        return
    show(
        stock_document(stock, today, Quantities(units)),
        stock_object(stock),
        "stock",
        as_json=as_json,
        folder=folder,
        paper=paper,
        letterhead_path=letterhead_path,
        force=force,
    )


@command.command("record", short_help="Add a row.", epilog=_kinds())
@stock_argument
@click.argument("kind", metavar="KIND")
@click.argument("words", metavar="[COLUMN=VALUE]...", nargs=-1)
@today_option
def record_command(stock_path: Path, kind: str, words: tuple[str, ...], today: date) -> None:
    """Add a row to the stock file; a file that is not there is begun.

    Without day= it is today. A row after which less than nothing would be left, or with which a job would give back
    more than it drew, is refused, and the file stays as it was.

    \b
    fieldplan stock record stock.csv returned species=oats lot=QF-2214 \\
        weight="31 lb" job="farm 2027"
    fieldplan stock record stock.csv tested species="little bluestem" \\
        lot=LB-1 tested=2028-01-20 germination="61 %"
    """
    typed = dict(typed_entry(kind, words).typed)
    for name in typed:
        if name not in COLUMNS or name in _WRITTEN:
            known = tuple(column for column in COLUMNS if column not in _WRITTEN)
            raise UsageError.of(
                "stock-fact/unknown", name=name, known=known, about=nearest(name, known) or name
            )
    row = {"day": today.isoformat(), **typed, "what": kind.casefold()}
    row.setdefault("species", "")
    _say(append(stock_path, [row]), stock_path)


@command.command("need", short_help="Say which lots a job sows, and what to buy.")
@stock_argument
@boundary_argument
@job_option
@today_option
@units_option
@json_option
@out_option(ALSO_PDF, "seed-needed.pdf")
@paper_option
@force_option
@reading_options
def need_command(
    stock_path: Path,
    boundary: Path,
    job_path: Path,
    today: date,
    units: System,
    as_json: bool,
    folder: Path | None,
    paper: Paper,
    force: bool,
    terms: ReadingTerms,
    excluding: tuple[tuple[Path, ...], float],
) -> None:
    """Say which lots a job sows in which order, at which rates, and what must be bought.

    The lot that the job file names comes first. Where it falls short, other lots of the species follow, those opened
    first, at the same rate of live seed: the page gives their rate by bulk weight and how far it is from the planned
    one. A tag that was tested again (fieldplan stock record … tested) counts instead of the job file's.
    """
    job = load_job(job_path)
    stock = read_stock(stock_path)
    fields = load_fields(boundary, terms, exclusion_files(excluding, terms, job))
    needed = sequences(stock, plan_job(fields, job, progress=with_progress, today=today))
    show(
        replace(need_document(needed, job_path.name, Quantities(units)), head=job.drill.letterhead),
        need_object(needed, job_path.name),
        "seed-needed",
        as_json=as_json,
        folder=folder,
        paper=paper,
        force=force,
    )


@command.command("draw", short_help="Take from the stock what a job needs.")
@stock_argument
@boundary_argument
@job_option
@click.option(
    "--as", "job_name", metavar="NAME", required=True, help='What to call the job, such as "farm 2027".'
)
@today_option
@units_option
@json_option
@reading_options
def draw_command(
    stock_path: Path,
    boundary: Path,
    job_path: Path,
    job_name: str,
    today: date,
    units: System,
    as_json: bool,
    terms: ReadingTerms,
    excluding: tuple[tuple[Path, ...], float],
) -> None:
    """Take from the stock what a job needs of it, as `fieldplan stock need` says, and write it into the file.

    What comes back is recorded with `fieldplan stock record STOCK.csv returned … job=NAME`.
    """
    job = load_job(job_path)
    stock = read_stock(stock_path)
    fields = load_fields(boundary, terms, exclusion_files(excluding, terms, job))
    needed = sequences(stock, plan_job(fields, job, progress=with_progress, today=today))
    entered = append(stock_path, drawn_rows(stock, needed, job_name, today))
    show(
        need_document(needed, job_name, Quantities(units), entered.entry),
        need_object(needed, job_name, entered.entry),
        "seed-needed",
        as_json=as_json,
        folder=None,
        paper="us-letter",
        force=False,
    )


@command.command("undo", short_help="Take back the last write.")
@stock_argument
def undo_command(stock_path: Path) -> None:
    """Take back the rows of the last write; rows added by hand are left alone."""
    entry, n_rows = undo(stock_path)
    click.echo(
        f"Took back entry {entry} of {plain(str(stock_path))}: {n_rows} {'row' if n_rows == 1 else 'rows'}."
    )


def _say(entered: Entered, path: Path) -> None:
    row = entered.rows[-1]
    left = f", left {row['left']}" if row.get("left") else ""
    what = f"{row['what']} {row['species']} {row.get('lot', '')}".strip()
    try:
        click.echo(f"Written to {plain(str(path))} as entry {entered.entry}: {plain(what)}{left}.")
    except OutputError as error:  # told only of the failure, a person would enter it again
        raise OutputError.of(
            "stdout-unwritable/entered",
            ledger=str(path),
            rows=f"entry {entered.entry}",
            why=error.problems[0],
        ) from None
