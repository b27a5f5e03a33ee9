"""``fieldplan season record`` adds entries to the ledger; ``fieldplan season ledger`` prints it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import UTC, date, datetime
from pathlib import Path
from textwrap import wrap

import click

from fieldplan.cli.options import json_option, season_argument, today_option_of
from fieldplan.cli.season_ledger import card_of, ledger_option
from fieldplan.cli.season_written import rows_text
from fieldplan.errors import OutputError, UsageError
from fieldplan.model.records import Entry
from fieldplan.office.agreed import with_days
from fieldplan.office.bills import ground_of
from fieldplan.office.office import Office, open_office, open_office_for
from fieldplan.office.required import required_of
from fieldplan.records.booking_kinds import SAID
from fieldplan.records.conflicts import Known, refuse_conflicts
from fieldplan.records.current_entries import current_entries
from fieldplan.records.entries import read_entries, typed_entry
from fieldplan.records.kinds import KINDS
from fieldplan.records.ledger import append, entries_of
from fieldplan.records.left_behind import left_behind
from fieldplan.records.seal import entries_since, seal_of
from fieldplan.records.warnings import WARNED_ABOUT, warnings
from fieldplan.report.data.json_text import json_text
from fieldplan.report.data.ledger import ledger_csv, ledger_object, seals_object
from fieldplan.report.text.ledger import ledger_page, seals_page
from fieldplan.report.words.plain import plain
from fieldplan.season.windows import working_days
from fieldplan.work.fee import facts_asked

MAX_UNREAD = 3
"""So many cells of the list that cannot be read are named one by one."""


def _kinds() -> str:
    """Help on every kind of entry and its facts."""
    lines = ["Kinds of entries and their facts:", ""]
    for kind, (about, facts) in KINDS.items():
        names = ", ".join(
            name if fact.needed and not (name == "day" and kind in SAID) else f"[{name}]"
            for name, fact in facts.items()
        )
        lines += [
            "\b",
            f"{kind}: {about}",
            *wrap(names, 74, initial_indent="    ", subsequent_indent="    "),
            "",
        ]
    return "\n".join(lines)


def known_of(office: Office, with_field: Collection[str]) -> Known:
    """What entries are checked against.

    Parameters
    ----------
    with_field
        Ids of requests whose fields are looked up.
    """
    program = office.program
    card = None if program.card_path is None else card_of(program)
    requests = office.every_request
    return Known(
        requests=frozenset(request.request_id for request in (*office.listed, *office.gone))
        | {name for name, row in office.standing.rows.items() if row.withdrawn},
        drills=frozenset(drill.name for drill in program.drills),
        opens=program.terms.opens,
        closes=program.terms.closes,
        working={drill.name: frozenset(working_days(drill, program)) for drill in program.drills},
        bill_facts={} if card is None else facts_asked(card),
        currency="" if card is None else card.currency,
        fields={
            request.request_id: frozenset(ground.field_id for ground in ground_of(request))
            for request in requests
            if request.fields and request.request_id in with_field
        },
        required=required_of(office),
    )


def _of_today(words: Collection[str], written: Sequence[Entry], today: date) -> str:
    """That an entry is of today, if it was typed without a day and has this one."""
    typed = any(word.partition("=")[0].strip().casefold() == "day" for word in words)
    return f", day={today}" if words and not typed and written[0].typed.get("day") == str(today) else ""


@click.command("record", short_help="Add entries to the ledger.", epilog=_kinds())
@season_argument
@click.argument("kind", metavar="[KIND]", required=False)
@click.argument("words", metavar="[FACT=VALUE]...", nargs=-1)
@click.option(
    "--from",
    "csv_path",
    metavar="ENTRIES.csv",
    type=click.Path(path_type=Path),
    help="Add all rows of a CSV file, or none.",
)
@today_option_of("The day of an entry that is typed without day=.  [default: today]")
@ledger_option
def record_command(
    season_path: Path,
    kind: str | None,
    words: tuple[str, ...],
    csv_path: Path | None,
    today: date,
    ledger_path: Path | None,
) -> None:
    """Record what happened in the store of the season.

    Entries are never rewritten. A new entry with corrects=12 replaces or strikes row 12. What cannot be true
    is refused, such as a drill with two renters or a meter that runs backwards; what looks like a slip gets
    a warning, and so does a day that is still to come. Every kind may also have [note] and [corrects]; facts
    in brackets may be left out. Answers, payments and the like are of today without day=; when a drill went out or came
    back, a field was sown or a day was lost must be said. A row of the list that cannot be read is no hindrance to
    entries about others.

    The store is one SQLite file. Keep it on a disk of this computer, not on a network drive, and copy it
    while no command runs. Several may use it at once: one writes at a time, and reading never waits.

    \b
    fieldplan season record season.toml out request=R05 drill="ten foot" \\
        day=2027-04-24 meter="1204.6 ac"
    fieldplan season record season.toml in request=R05 day=2027-04-27 \\
        meter="1213.7 ac" corrects=2
    fieldplan season record season.toml --from entries.csv
    """
    if (kind is None) == (csv_path is None):
        raise UsageError.of("record-what", known=tuple(KINDS))
    fresh = (
        (typed_entry(kind, words, today),)
        if kind is not None
        else read_entries(csv_path)
        if csv_path
        else ()
    )
    concerned = {name for entry in fresh if (name := entry.typed.get("request"))}
    office, unread = open_office_for(concerned, season_path, ledger_path)
    program = office.program
    drills = [drill.name for drill in program.drills]
    fresh = with_days(office, fresh)
    requests = office.every_request
    known = known_of(office, {entry.typed.get("request", "") for entry in fresh if "field" in entry.typed})
    checked = {entry.typed.get("request") for entry in fresh if entry.kind in WARNED_ABOUT}
    grounds = {
        request.request_id: ground_of(request) for request in requests if request.request_id in checked
    }
    wheres = [entry.where or f"this {entry.kind}" for entry in fresh]
    written = append(
        office.path,
        office.whose,
        fresh,
        datetime.now(UTC),
        lambda current, added: refuse_conflicts(current, added, wheres, known),
    )
    rows = rows_text(written)
    try:
        click.echo(f"Written to {plain(str(office.path))}: {rows}{_of_today(words, written, today)}.")
    except OutputError as error:  # a clerk told only of the failure would enter it again
        raise OutputError.of(
            "stdout-unwritable/entered", ledger=str(office.path), rows=rows, why=error.problems[0]
        ) from None
    entries = entries_of(office.path, office.whose)
    for left in left_behind(entries, written, drills):
        click.echo(plain(str(left)))
    for fault in unread[:MAX_UNREAD]:
        click.echo(f"Look again: {plain(fault.text)}", err=True)
    if len(unread) > MAX_UNREAD:
        click.echo(
            f"Look again: {len(unread) - MAX_UNREAD} more cells of the list cannot be read.", err=True
        )
    for warning in warnings(written, current_entries(entries), grounds, date.today()):
        click.echo(f"Look again: {plain(str(warning))}", err=True)


@click.command("ledger", short_help="Print the ledger.")
@season_argument
@ledger_option
@click.option("--csv", "as_csv", is_flag=True, help="Print CSV, one row for each entry.")
@click.option("--check", is_flag=True, help="Check the chain of entries instead of printing them.")
@click.option(
    "--seal",
    "seals",
    metavar="SEAL",
    multiple=True,
    help="Check against the seal of a printed paper, as it stands there. Repeat for several.",
)
@json_option
def ledger_command(
    season_path: Path,
    ledger_path: Path | None,
    as_csv: bool,
    check: bool,
    seals: tuple[str, ...],
    as_json: bool,
) -> None:
    """Print the ledger row by row, with the rows that were corrected or struck.

    Invoices, packets, board reports and letters carry the seal of the ledger: the number of its entries, and the head
    of their chain in short. With --seal it is checked whether these entries are still there, unchanged. That finds
    entries cut off at the end, and a chain that was made anew; a paper that somebody else keeps is the best witness.

    \b
    fieldplan season ledger spring
    fieldplan season ledger spring --check --seal 14-K3QX-7NBA-W2LD-PE5Q-3JTM
    """
    office = open_office(season_path, ledger_path, must_be=True)
    entries = office.entries
    if check or seals:
        found = [
            (seal, entries_since(seal, office.store.chain, str(office.path)))
            for seal in dict.fromkeys(seals)
        ]
        now = seal_of(office.store.chain)
        click.echo(
            json_text(seals_object(now, len(entries), found))
            if as_json
            else seals_page(str(office.path), now, len(entries), found),
            nl=False,
        )
        return
    renters = {request.request_id: request.renter for request in office.every_request}
    if as_csv:
        text = ledger_csv(entries)
    elif as_json:
        text = json_text(ledger_object(entries) | {"seal": seal_of(office.store.chain)})
    else:
        text = ledger_page(entries, renters, seal_of(office.store.chain))
    click.echo(text, nl=False)
