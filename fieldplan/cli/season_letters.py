"""``fieldplan season letters`` and ``templates``: what renters are told in writing, and in which words."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterator, Sequence
from datetime import UTC, date, datetime
from pathlib import Path

import click

from fieldplan.cli.options import (
    force_option,
    json_option,
    out_option,
    paper_option,
    season_argument,
    units_option,
)
from fieldplan.cli.progress import with_requests
from fieldplan.cli.season_ledger import ledger_option
from fieldplan.cli.season_papers import day_given, day_option
from fieldplan.cli.season_plan import ATTEMPTS
from fieldplan.cli.season_written import say_entered
from fieldplan.cli.written import write_and_say
from fieldplan.errors import UsageError
from fieldplan.model.letters import LETTER_KINDS, Letter, LetterKind
from fieldplan.model.records import Entry
from fieldplan.office.entered import enter
from fieldplan.office.letters import entry_of, mail_of
from fieldplan.office.office import Office, open_office
from fieldplan.records.seal import seal_of
from fieldplan.report.data.json_text import json_text
from fieldplan.report.data.letters import mail_object
from fieldplan.report.files import write_files
from fieldplan.report.letters.page import LetterPage, page_of
from fieldplan.report.letters.read import template_writers, templates_of
from fieldplan.report.paper.letter import letter_files
from fieldplan.report.text.letter import letter_text, mail_page
from fieldplan.report.typeset import Paper
from fieldplan.report.words.plain import plain, slug
from fieldplan.report.words.quantities import Quantities, System

MAX_NAMED = 20


@click.command("letters", short_help="Write the letters that are due, all invoices too.")
@season_argument
@click.argument("kinds", metavar="[LETTER]...", nargs=-1, type=click.Choice(LETTER_KINDS))
@click.option(
    "--request",
    "only",
    metavar="REQUEST",
    multiple=True,
    help="Write letters about this request only. Repeat for several.",
)
@click.option(
    "--ahead",
    "ahead_days",
    metavar="DAYS",
    type=click.IntRange(0, 90),
    default=7,
    show_default=True,
    help="Remind of a pick-up so many days before it.",
)
@click.option("--text", "as_text", is_flag=True, help="Print the letters instead of their list.")
@day_option
@ledger_option
@units_option
@json_option
@out_option("Write them into this folder, each as PDF and as text, and enter them in the ledger.")
@paper_option
def letters_command(
    season_path: Path,
    kinds: tuple[LetterKind, ...],
    only: tuple[str, ...],
    ahead_days: int,
    as_text: bool,
    day_text: str | None,
    ledger_path: Path | None,
    units: System,
    as_json: bool,
    folder: Path | None,
    paper: Paper,
) -> None:
    """Write the letters that are due by the ledger; without --out, list them.

    \b
    confirmation  A booking was confirmed.
    moved         Its days are others than those of the letter before.
    cancellation  A booking that a letter told of was cancelled.
    offer         Days are free again: to the first of the waiting list.
    pick-up       A reminder some days before the first day.
    invoice       All drills are back; again if a return was corrected.
    payment       The invoice is overdue; again after as many days.
    season-end    The season is over: one for each renter.

    Without a LETTER all kinds are written, such as all invoices of a season in one run. Each letter is a file of its own,
    and an entry in the ledger: it is not written twice. Strike its entry, and it is due again. No file is ever replaced.

    The words are templates that you can replace: fieldplan season templates writes them out, and templates =
    "templates" in the season's file names the folder that has yours.

    \b
    fieldplan season letters spring
    fieldplan season letters spring --out letters
    fieldplan season letters spring invoice payment --out letters
    """
    day, q = day_given(day_text) or date.today(), Quantities(units)
    for attempt in range(1, ATTEMPTS + 1):
        office = open_office(season_path, ledger_path, must_be=True)
        _refuse_unknown(only, office)
        terms = office.program.terms
        templates = templates_of(office.program.templates)
        mail = mail_of(office, day, kinds or LETTER_KINDS, only, ahead_days, with_requests)
        seal = seal_of(office.store.chain)
        pages = [page_of(letter, templates[letter.kind], terms, seal, q) for letter in mail.letters]
        if folder is None or not pages:
            names: list[str] = []
            break
        names = list(_free_names(mail.letters, folder, office.entries))
        try:
            _write_and_enter(office, mail.letters, pages, names, folder, paper)
            break
        except UsageError as error:
            if attempt == ATTEMPTS or error.problems[0].code != "store-moved-on":
                raise
    files = [f"{name}.pdf" for name in names]
    if as_json:
        text = json_text(mail_object(mail, pages, files, seal))
    elif as_text:
        text = "\f\n".join(letter_text(page) for page in pages)
    else:
        text = mail_page(mail, files, terms.name, q, written=folder is not None)
    click.echo(text, nl=False)


def _refuse_unknown(only: Collection[str], office: Office) -> None:
    known = tuple(request.request_id for request in office.every_request)
    for name in only:
        if name not in known:
            raise UsageError.of("request-unknown/asked", given=name, known=known[:MAX_NAMED])


def _free_names(letters: Sequence[Letter], folder: Path, entries: Sequence[Entry]) -> Iterator[str]:
    """A name for the files of each letter that neither the folder nor the ledger has."""
    taken = {str(entry.facts.get("file", "")) for entry in entries if entry.kind == "letter"}
    for letter in letters:
        begin = f"{letter.day.isoformat()}-{letter.kind}-{slug(letter.request.request_id)}"
        name, number = begin, 1
        while f"{name}.pdf" in taken or any(
            os.path.lexists(folder / f"{name}.{ending}") for ending in ("pdf", "txt")
        ):
            number += 1
            name = f"{begin}-{number}"
        taken.add(f"{name}.pdf")
        yield name


def _write_and_enter(
    office: Office,
    letters: Sequence[Letter],
    pages: Sequence[LetterPage],
    names: Sequence[str],
    folder: Path,
    paper: Paper,
) -> None:
    """Write the files and enter the letters; where they cannot be entered, the files are taken away again."""
    writers = {
        file: writer
        for page, name in zip(pages, names, strict=True)
        for file, writer in letter_files(page, name, paper).items()
    }
    fresh = [entry_of(letter, f"{name}.pdf") for letter, name in zip(letters, names, strict=True)]
    write_and_say(folder, writers, force=False)
    try:
        written = enter(office, fresh, now=datetime.now(UTC))
    except BaseException:
        for file in writers:
            (folder / file).unlink(missing_ok=True)
        raise
    say_entered(office.path, written)


@click.command("templates", short_help="Write out the words of letters, to be edited.")
@click.argument("folder", metavar="[DIR]", type=click.Path(path_type=Path), default="templates")
@force_option
def templates_command(folder: Path, force: bool) -> None:
    """Write the templates of letters into the folder DIR: "templates" if none is given.

    Each is plain text with named fields in braces, such as {renter}; remarks at its top list the fields of that letter.
    A template that you delete is that of the program again. They are checked before a letter is written.

    \b
    fieldplan season templates spring/templates
    """
    paths = write_files(folder, template_writers(), force=force)
    click.echo(
        f"Wrote {len(paths)} templates into {plain(str(folder))}. Edit them, and name the folder in the season's file, under "
        f'[season]: templates = "{plain(folder.name)}"'
    )
