"""``fieldplan season record`` writes down what happened; ``fieldplan season ledger`` shows it."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import click

from fieldplan.cli.options import json_option, season_argument
from fieldplan.cli.season_ledger import card_of, ground_of, ledger_option
from fieldplan.errors import OutputError, UsageError
from fieldplan.records.confirmed import ledger_path_of, season_of
from fieldplan.records.conflicts import Known, refuse_conflicts
from fieldplan.records.current_entries import current_entries
from fieldplan.records.entries import read_entries, typed_entry
from fieldplan.records.kinds import KINDS
from fieldplan.records.ledger import append, entries_of
from fieldplan.records.warnings import WARNED_ABOUT, warnings
from fieldplan.report.data.json_text import json_text
from fieldplan.report.data.ledger import ledger_csv, ledger_object
from fieldplan.report.text.ledger import ledger_page
from fieldplan.report.words.plain import plain
from fieldplan.season.program import load_program
from fieldplan.season.requests import read_requests
from fieldplan.season.windows import working_days
from fieldplan.work.fee import facts_asked


def _kinds() -> str:
    """Help on every kind of entry and its facts."""
    lines = [
        "Every kind may have [note], and [corrects]: the row of the ledger that it puts right or strikes.",
        "",
        "\b",
    ]
    for kind, (about, facts) in KINDS.items():
        lines.append(f"{kind}: {about}")
        lines.append(
            "    " + ", ".join(name if fact.needed else f"[{name}]" for name, fact in facts.items())
        )
    return "\n".join(lines)


@click.command("record", short_help="Write down what happened.", epilog=_kinds())
@season_argument
@click.argument("kind", metavar="[KIND]", required=False)
@click.argument("words", metavar="[FACT=VALUE]...", nargs=-1)
@click.option(
    "--from",
    "csv_path",
    metavar="ENTRIES.csv",
    type=click.Path(path_type=Path),
    help="Enter all rows of a CSV, or none.",
)
@ledger_option
def record_command(
    season_path: Path,
    kind: str | None,
    words: tuple[str, ...],
    csv_path: Path | None,
    ledger_path: Path | None,
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
        raise UsageError.of("record-what", known=tuple(KINDS))
    program = load_program(season_path)
    requests = read_requests(program.requests_path)
    fresh = (typed_entry(kind, words),) if kind is not None else read_entries(csv_path) if csv_path else ()
    named = {one.typed.get("request", "") for one in fresh if "field" in one.typed}
    card = None if program.card_path is None else card_of(program)
    known = Known(
        requests=frozenset(request.request_id for request in requests),
        drills=frozenset(drill.name for drill in program.drills),
        opens=program.terms.opens,
        closes=program.terms.closes,
        working={drill.name: frozenset(working_days(drill, program)) for drill in program.drills},
        bill_facts={} if card is None else facts_asked(card),
        currency="" if card is None else card.currency,
        fields={
            request.request_id: frozenset(ground.field_id for ground in ground_of(request))
            for request in requests
            if request.fields and request.request_id in named
        },
    )
    about = {one.typed.get("request") for one in fresh if one.kind in WARNED_ABOUT}
    grounds = {
        request.request_id: ground_of(request) for request in requests if request.request_id in about
    }
    wheres = [one.where or f"this {one.kind}" for one in fresh]
    path = ledger_path_of(season_path, ledger_path)
    written = append(
        path,
        season_of(program),
        fresh,
        datetime.now(UTC),
        lambda there, new: refuse_conflicts(there, new, wheres, known),
    )
    rows = (
        f"row {written[0].number}"
        if len(written) == 1
        else f"rows {written[0].number} to {written[-1].number}"
    )
    try:
        click.echo(f"Written to {plain(str(path))}: {rows}.")
    except OutputError as error:  # who is told of the failure alone would write it down again
        raise OutputError.of(
            "stdout-unwritable/entered", ledger=str(path), rows=rows, why=error.problems[0]
        ) from None
    for warning in warnings(
        written, current_entries(entries_of(path, season_of(program))), grounds, date.today()
    ):
        click.echo(f"Look again: {plain(str(warning))}", err=True)


@click.command("ledger", short_help="Show what was written down.")
@season_argument
@ledger_option
@click.option("--csv", "as_csv", is_flag=True, help="Print it as CSV, a row an entry.")
@json_option
def ledger_command(season_path: Path, ledger_path: Path | None, as_csv: bool, as_json: bool) -> None:
    """Show the ledger, row by row, with what was put right or struck."""
    program = load_program(season_path)
    entries = entries_of(ledger_path_of(season_path, ledger_path), season_of(program))
    renters = {
        read_request.request_id: read_request.renter
        for read_request in read_requests(program.requests_path)
    }
    shown = (
        ledger_csv(entries)
        if as_csv
        else json_text(ledger_object(entries))
        if as_json
        else ledger_page(entries, renters)
    )
    click.echo(shown, nl=False)
