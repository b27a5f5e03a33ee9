"""``fieldplan season record`` and the papers that are sums of records: ledger, invoice, packet, board."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import click

from fieldplan.cli.options import force_option, json_option, paper_option, season_argument, units_option
from fieldplan.cli.season_papers import out_option, show
from fieldplan.errors import InputError, UsageError
from fieldplan.jobfile.rate_card import load_rate_card
from fieldplan.model.fee import RateCard
from fieldplan.model.records import Account, Entry, Ground
from fieldplan.model.season import Lending, Request
from fieldplan.records.accounts import accounts_of
from fieldplan.records.billing import bill_of
from fieldplan.records.board import board_of
from fieldplan.records.contradictions import Known, refuse_contradictions
from fieldplan.records.entries import read_entries, typed_entry
from fieldplan.records.kinds import KINDS
from fieldplan.records.ledger import append, entries_of
from fieldplan.records.packet import packet_of
from fieldplan.records.standing import standing
from fieldplan.report.bill import bill_document, bill_object
from fieldplan.report.board import board_document, board_object
from fieldplan.report.json_text import json_text
from fieldplan.report.ledger import ledger_csv, ledger_object, ledger_page
from fieldplan.report.packet import packet_document, packet_object
from fieldplan.report.plain import slug
from fieldplan.report.quantities import Quantities, System
from fieldplan.season.lending import load_lending
from fieldplan.season.lengths import boundary_of
from fieldplan.season.requests import read_requests

ledger_option = click.option("--ledger", "ledger_path", metavar="FILE", type=click.Path(path_type=Path),
                             help="The ledger; if not given, the season file's name with .ledger, beside it.")  # fmt: skip
day_option = click.option("--day", "day_text", metavar="YYYY-MM-DD", help="The day it is made out; today if not given.")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Book:
    """A season with its requests and the entries of its ledger that hold."""

    lending: Lending
    requests: tuple[Request, ...]
    entries: tuple[Entry, ...]

    @property
    def accounts(self) -> tuple[Account, ...]:
        return accounts_of(self.entries, self.requests)

    def account(self, request_id: str) -> Account:
        """The account of a request.

        Raises
        ------
        UsageError
            If there is no such request.
        """
        for one in self.accounts:
            if one.request.request_id == request_id:
                return one
        raise UsageError.of(
            "request-unknown", f'No request is called "{request_id}".', ", ".join(one.request_id for one in self.requests[:20])
        )


def _book(season_path: Path, ledger_path: Path | None) -> _Book:
    lending = load_lending(season_path)
    entries = entries_of(_ledger(season_path, ledger_path), _season(lending))
    return _Book(lending=lending, requests=read_requests(lending.requests_path), entries=standing(entries))


def _ledger(season_path: Path, ledger_path: Path | None) -> Path:
    return ledger_path or season_path.with_suffix(".ledger")


def _season(lending: Lending) -> str:
    """What a ledger is of: the season by its name and first day."""
    return f"{lending.terms.name} {lending.terms.opens}"


def _card(lending: Lending) -> RateCard:
    if lending.card_path is None:
        raise InputError.of("card-missing", f"{lending.path}: names no rate card.", 'rate_card = "rates.toml" in [season]')
    return load_rate_card(lending.card_path)


def _ground(request: Request) -> tuple[Ground, ...]:
    return tuple(
        Ground(field_id=one.field_id, mapped_m2=one.mapped_m2, plantable_m2=one.plantable_m2)
        for one in boundary_of(request).fields
    )


def _day(text: str | None) -> date:
    try:
        return date.today() if text is None else date.fromisoformat(text)
    except ValueError:
        raise UsageError.of("date-unreadable", f'--day "{text}" is no date.', "--day 2027-06-30") from None


def _kinds() -> str:
    """Help on every kind of entry and its facts."""
    lines = ["\b"]
    for kind, (about, facts) in KINDS.items():
        lines.append(f"{kind}: {about}")
        lines.append("    " + ", ".join(name if fact.needed else f"[{name}]" for name, fact in facts.items()))
    return "\n".join(lines)


@click.command("record", epilog=_kinds())
@season_argument
@click.argument("kind", metavar="[KIND]", required=False)
@click.argument("words", metavar="[FACT=VALUE]...", nargs=-1)
@click.option(
    "--from", "csv_path", metavar="ENTRIES.csv", type=click.Path(path_type=Path), help="Enter all rows of a CSV, or none."
)
@ledger_option
def record_command(
    season_path: Path, kind: str | None, words: tuple[str, ...], csv_path: Path | None, ledger_path: Path | None
) -> None:
    """Write down what happened, in a ledger that is only ever added to.

    A slip is put right by a new row that says which row it corrects.

    \b
    fieldplan season record season.toml out request=R05 drill="ten foot" day=2027-04-24 meter="1204.6 ac"
    fieldplan season record season.toml in request=R05 day=2027-04-27 meter="1213.1 ac" empty=yes
    fieldplan season record season.toml in request=R05 day=2027-04-27 meter="1213.7 ac" corrects=2
    fieldplan season record season.toml --from entries.csv
    """
    if (kind is None) == (csv_path is None):
        raise UsageError.of("record-what", "Say one kind of entry, or a list with --from.", f"kinds: {', '.join(KINDS)}")
    lending = load_lending(season_path)
    requests = read_requests(lending.requests_path)
    fresh = (typed_entry(kind, words),) if kind is not None else read_entries(csv_path) if csv_path else ()
    named = {one.typed.get("request", "") for one in fresh if "field" in one.typed}
    known = Known(
        requests=frozenset(one.request_id for one in requests), drills=frozenset(one.name for one in lending.drills),
        opens=lending.terms.opens, closes=lending.terms.closes,
        fields={one.request_id: frozenset(ground.field_id for ground in _ground(one)) for one in requests if one.fields and one.request_id in named},
    )  # fmt: skip
    wheres = [one.where or f"this {one.kind}" for one in fresh]
    path = _ledger(season_path, ledger_path)
    written = append(
        path, _season(lending), fresh, datetime.now(UTC), lambda there, new: refuse_contradictions(there, new, wheres, known)
    )
    rows = f"row {written[0].number}" if len(written) == 1 else f"rows {written[0].number} to {written[-1].number}"
    click.echo(f"Written to {path}: {rows}.")


@click.command("ledger")
@season_argument
@ledger_option
@click.option("--csv", "as_csv", is_flag=True, help="Print it as CSV, a row an entry.")
@json_option
def ledger_command(season_path: Path, ledger_path: Path | None, as_csv: bool, as_json: bool) -> None:
    """Show the ledger, row by row, with what was put right or struck."""
    entries = entries_of(_ledger(season_path, ledger_path), _season(load_lending(season_path)))
    shown = ledger_csv(entries) if as_csv else json_text(ledger_object(entries)) if as_json else ledger_page(entries)
    click.echo(shown, nl=False)


@click.command("invoice")
@season_argument
@click.argument("request_id", metavar="REQUEST")
@ledger_option
@day_option
@units_option
@json_option
@out_option
@paper_option
@force_option
def invoice_command(
    season_path: Path, request_id: str, ledger_path: Path | None, day_text: str | None, units: System, **shown: Any
) -> None:
    """Make out the invoice of a request by the season's rate card: acres mapped, drilled and billed kept apart.

    \b
    fieldplan season invoice season.toml R05
    """
    book = _book(season_path, ledger_path)
    account = book.account(request_id)
    bill = bill_of(account, _ground(account.request), _card(book.lending), _day(day_text))
    show(
        bill_document(bill, book.lending.terms.name, Quantities(units)),
        bill_object(bill),
        f"invoice-{slug(request_id)}.pdf",
        **shown,
    )


@click.command("packet")
@season_argument
@click.argument("request_id", metavar="REQUEST")
@ledger_option
@units_option
@json_option
@out_option
@paper_option
@force_option
def packet_command(season_path: Path, request_id: str, ledger_path: Path | None, units: System, **shown: Any) -> None:
    """Gather the proof for a cost-share payment: fields, acres, days, seed with its tags; complete, or what is missing.

    \b
    fieldplan season packet season.toml R05
    """
    book = _book(season_path, ledger_path)
    account = book.account(request_id)
    packet = packet_of(account, _ground(account.request))
    show(
        packet_document(packet, book.lending.terms.name, Quantities(units)),
        packet_object(packet),
        f"packet-{slug(request_id)}.pdf",
        **shown,
    )


@click.command("board")
@season_argument
@ledger_option
@click.option("--by", metavar="COLUMN", multiple=True, default=("practice",), show_default=True,
              help="Group acres by this column of the list of requests; may be given several times.")  # fmt: skip
@day_option
@units_option
@json_option
@out_option
@paper_option
@force_option
def board_command(
    season_path: Path, ledger_path: Path | None, by: Sequence[str], day_text: str | None, units: System, **shown: Any
) -> None:
    """Report the season to board and funder: acres, users, income and repairs, days lost, acres turned away.

    \b
    fieldplan season board season.toml --by practice --by county
    """
    book = _book(season_path, ledger_path)
    grounds: Mapping[str, Sequence[Ground]] = {one.request_id: _ground(one) for one in book.requests}
    card = _card(book.lending) if book.lending.card_path else None
    names = [drill.name for drill in book.lending.drills]
    board = board_of(book.entries, book.accounts, grounds, names, card, _day(day_text), [one.casefold() for one in by])
    show(board_document(board, book.lending.terms.name, Quantities(units)), board_object(board), "board.pdf", **shown)
