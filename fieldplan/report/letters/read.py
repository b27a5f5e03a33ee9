"""The templates of a district: those in its folder, and for the others those that come with the program."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from importlib.resources import files
from pathlib import Path

from fieldplan.errors import InputError, Problem, problem
from fieldplan.files import Purpose, text_of
from fieldplan.model.letters import LETTER_KINDS, LetterKind
from fieldplan.model.spelling import nearest
from fieldplan.report.files import Writer
from fieldplan.report.letters.template import Template, explained, template_of

ENDING = ".txt"
TEMPLATE_FILE = Purpose(what="template of a letter", code="template", max_bytes=100_000)


def shipped(kind: LetterKind) -> str:
    """The text of a template that comes with the program."""
    return files("fieldplan.report.letters").joinpath(f"{kind}{ENDING}").read_text(encoding="utf-8")


_FOR: Mapping[LetterKind, str] = {
    "confirmation": "A booking was confirmed.",
    "moved": "The days of a booking are others than those of the letter before.",
    "cancellation": "A booking that a letter told of was cancelled.",
    "offer": "Days are free again; it goes to the first of the waiting list.",
    "pick-up": "A reminder some days before the first day.",
    "invoice": "All drills are back.",
    "payment": "The invoice is overdue.",
    "season-end": "The season is over; it goes to each renter who had a drill.",
}


def template_writers() -> dict[str, Writer]:
    """Writers of the templates that come with the program, with remarks on how to edit them, by file name."""
    return {
        f"{kind}{ENDING}": partial(_write, explained(kind, shipped(kind), _FOR)) for kind in LETTER_KINDS
    }


def _write(text: str, path: Path) -> None:
    path.write_text(text, encoding="utf-8")


def templates_of(folder: Path | None) -> Mapping[LetterKind, Template]:
    """The template of each kind of letter, all of them checked.

    Parameters
    ----------
    folder
        Where the district keeps its own, each named for its kind; ``None`` if it has none.

    Raises
    ------
    InputError
        With everything that is wrong with any of them, and if there is no such folder.
    """
    problems: list[Problem] = []
    own = {} if folder is None else _named(folder, problems)
    found: dict[LetterKind, Template] = {}
    for kind in LETTER_KINDS:
        path = own.get(kind)
        try:
            text = shipped(kind) if path is None else text_of(path, TEMPLATE_FILE)
            found[kind] = template_of(kind, text, f"{kind}{ENDING}" if path is None else str(path))
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(tuple(problems))
    return found


def _named(folder: Path, problems: list[Problem]) -> dict[str, Path]:
    """The files of templates in a folder, by kind; a text file that is named for no kind is a problem."""
    try:
        there = sorted(folder.iterdir())
    except (OSError, ValueError):
        raise InputError.of("templates-no-folder", file=str(folder)) from None
    found: dict[str, Path] = {}
    for path in there:
        if path.suffix.casefold() != ENDING or path.name.startswith("."):
            continue
        kind = path.stem.casefold()
        if kind in LETTER_KINDS:
            found[kind] = path
        else:
            near = nearest(kind, LETTER_KINDS) or ""
            problems.append(
                problem(
                    "template-kind",
                    file=str(path),
                    near=f"{near}{ENDING}" if near else "",
                    known=() if near else tuple(f"{one}{ENDING}" for one in LETTER_KINDS),
                )
            )
    return found
