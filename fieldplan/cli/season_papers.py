"""Papers from the ledger of a season: ``fieldplan season invoice``, ``packet`` and ``board``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
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
    season_argument,
    units_option,
)
from fieldplan.cli.season_ledger import Book, card_of, ledger_option, open_book
from fieldplan.errors import UsageError
from fieldplan.jobfile.days import EARLIEST_YEAR, LATEST_YEAR
from fieldplan.model.records import Ground
from fieldplan.office.bill_letters import late_at_once
from fieldplan.office.bills import ground_of
from fieldplan.office.office import open_office
from fieldplan.office.years import years_of
from fieldplan.records.board import board_of
from fieldplan.records.packet import packet_of
from fieldplan.report.data.bill import bill_object
from fieldplan.report.data.board import board_object
from fieldplan.report.data.packet import packet_object
from fieldplan.report.data.years import purchase_object
from fieldplan.report.documents.bill import bill_document
from fieldplan.report.documents.board import board_document
from fieldplan.report.documents.document import Document
from fieldplan.report.documents.packet import packet_document
from fieldplan.report.documents.years import demand_part, purchase_part
from fieldplan.report.words.plain import plain, slug
from fieldplan.report.words.quantities import Quantities, System

by_option = click.option(
    "--by",
    metavar="COLUMN",
    multiple=True,
    default=("practice",),
    show_default=True,
    help="Group acres by this column of the list of requests. Repeat for several.",
)
day_option = click.option(
    "--day", "day_text", metavar="YYYY-MM-DD", help="Count entries up to this day.  [default: today]"
)


@click.command("invoice", short_help="Write the invoice for a request.")
@season_argument
@click.argument("request_id", metavar="REQUEST")
@ledger_option
@day_option
@units_option
@json_option
@out_option(ALSO_PDF)
@paper_option
@force_option
def invoice_command(
    season_path: Path,
    request_id: str,
    ledger_path: Path | None,
    day_text: str | None,
    units: System,
    **printing: Any,
) -> None:
    """Write the invoice for a request by the rate card of the season.

    Acres on the map, acres on the drill's meter and acres billed are three figures, and all are shown.

    \b
    fieldplan season invoice season.toml R05
    """
    book = open_book(season_path, ledger_path, day_given(day_text))
    account = book.account(request_id)
    bill = book.bill(account, card_of(book.program))
    doubt = late_at_once(bill, book.invoices(request_id))
    if doubt is not None:
        click.echo(f"Look again: {plain(str(doubt))}.", err=True)
    show(
        _headed(bill_document(bill, book.program.terms.name, Quantities(units)), book),
        bill_object(bill) | {"seal": book.seal},
        f"invoice-{slug(request_id)}",
        **printing,
    )


@click.command("packet", short_help="Gather the proof for a cost-share payment.")
@season_argument
@click.argument("request_id", metavar="REQUEST")
@ledger_option
@units_option
@json_option
@out_option(ALSO_PDF)
@paper_option
@force_option
def packet_command(
    season_path: Path, request_id: str, ledger_path: Path | None, units: System, **printing: Any
) -> None:
    """Gather the proof for a cost-share payment: fields, acres, days, and seed with its tags.

    The first lines tell if the packet is complete, or what is missing.

    \b
    fieldplan season packet season.toml R05
    """
    book = open_book(season_path, ledger_path, date.max)
    account = book.account(request_id)
    packet = packet_of(account, ground_of(account.request))
    show(
        _headed(packet_document(packet, book.program.terms.name, Quantities(units)), book),
        packet_object(packet) | {"seal": book.seal},
        f"packet-{slug(request_id)}",
        **printing,
    )


@click.command("board", short_help="Report the season to board and funder.")
@season_argument
@ledger_option
@by_option
@price_option
@life_option
@upkeep_option
@day_option
@units_option
@json_option
@out_option(ALSO_PDF, "board.pdf")
@paper_option
@force_option
def board_command(
    season_path: Path,
    ledger_path: Path | None,
    by: Sequence[str],
    price: str | None,
    life: float | None,
    upkeep: str | None,
    day_text: str | None,
    units: System,
    **printing: Any,
) -> None:
    """Report the season to board and funder.

    Acres, users, income, repairs, days lost and acres turned away: every total is a sum of entries. With the price and
    the life of a drill the page also says if one more would have paid; season years says it of several seasons.

    \b
    fieldplan season board season.toml --by practice --by county
    """
    offered = offered_by(price, life, upkeep)
    book = open_book(season_path, ledger_path, day_given(day_text))
    grounds: Mapping[str, Sequence[Ground]] = {
        request.request_id: ground_of(request) for request in book.requests
    }
    card = card_of(book.program) if book.program.card_path else None
    names = [drill.name for drill in book.program.drills]
    board = board_of(
        book.entries,
        book.accounts,
        grounds,
        names,
        card,
        book.as_of,
        [column.casefold() for column in by],
        book.works,
    )
    q = Quantities(units)
    document, made = board_document(board, book.program.terms.name, q), board_object(board)
    if offered is not None:
        office = open_office(season_path, ledger_path, must_be=True)
        found = years_of([office], book.as_of, (), offered)
        parts = (*document.parts, demand_part(found, q), purchase_part(found, q))
        document, made = replace(document, parts=parts), {**made, "one_more_drill": purchase_object(found)}
    show(
        _headed(document, book),
        made | {"seal": book.seal},
        "board",
        **printing,
    )


def _headed(document: Document, book: Book) -> Document:
    """The document under the letterhead of the district, with the seal of the ledger."""
    return replace(document, head=book.program.terms.letterhead, seal=book.seal)


def day_given(text: str | None) -> date | None:
    """The day that the option ``--day`` names, if it was given.

    Raises
    ------
    UsageError
        If it is no date, or an unlikely one.
    """
    if text is None:
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise UsageError.of("date-unreadable", about="--day", given=text) from None
    if not EARLIEST_YEAR <= day.year <= LATEST_YEAR:
        raise UsageError.of(
            "date-unlikely", about="--day", given=text, earliest=str(EARLIEST_YEAR), latest=str(LATEST_YEAR)
        )
    return day
