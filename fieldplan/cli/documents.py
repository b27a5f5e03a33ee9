"""A season's documents: printed, as JSON, and as PDF if a folder is given."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import click

from fieldplan.cli.written import write_and_say
from fieldplan.jobfile.letterhead import load_letterhead
from fieldplan.report.data.json_text import json_text
from fieldplan.report.documents.document import Document
from fieldplan.report.output import PaperAsked
from fieldplan.report.outputs import PAPERS, writers_of
from fieldplan.report.text.document import document_text
from fieldplan.report.typeset import Paper

ALSO_PDF = "Also write it as a PDF into this folder."


def show(
    document: Document,
    found: Mapping[str, object],
    name: str,
    *,
    as_json: bool,
    folder: Path | None,
    paper: Paper,
    force: bool,
    letterhead_path: Path | None = None,
) -> None:
    """Print a document, and write it as a PDF if a folder is given.

    Parameters
    ----------
    found
        The same document as the object that ``--json`` prints.
    name
        The name of the PDF, without its ending.
    as_json
        Print ``found`` instead of the text.
    force
        Overwrite a PDF of that name.
    letterhead_path
        A job file or a season's file whose letterhead the document gets.

    Raises
    ------
    UsageError
        If the PDF exists and ``force`` is not set.
    JobFileError
        If the file has no letterhead that can be read.
    """
    if letterhead_path is not None:
        document = replace(document, head=load_letterhead(letterhead_path))
    if folder is not None:
        write_and_say(
            folder, writers_of(PAPERS, PaperAsked(document=document, name=name, paper=paper)), force=force
        )
    click.echo(json_text(found) if as_json else document_text(document), nl=False)
