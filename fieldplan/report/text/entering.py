"""Commands on the pages of a season, as they can be copied and run."""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from pathlib import Path

from fieldplan.report.text.table import WIDTH
from fieldplan.report.words.plain import plain

_INDENT = 8


def store_words(season_path: Path, ledger_path: Path | None = None) -> str:
    """The season as commands name it, with its ledger if that was named.

    Examples
    --------
    >>> store_words(Path("spring 2027"), Path("a.ledger"))
    "'spring 2027' --ledger a.ledger"
    """
    ledger = "" if ledger_path is None else f" --ledger {shlex.quote(str(ledger_path))}"
    return plain(f"{shlex.quote(str(season_path))}{ledger}")


def command_lines(store: str, words: str, command: str = "record") -> Iterator[str]:
    """A command of the season on lines of its own; a line that goes on ends with a backslash.

    Parameters
    ----------
    store
        The season as commands name it (`store_words`).
    words
        What follows it.

    Examples
    --------
    >>> list(command_lines("spring", "done request=R07 share=50%"))
    ['        fieldplan season record spring done request=R07 share=50%']
    """
    line = f"fieldplan season {command} {store}"
    for word in _words(words):
        if len(line) + len(word) + 3 + _INDENT > WIDTH:
            yield f"{' ' * _INDENT}{line} \\"
            line = f"  {word}"
        else:
            line = f"{line} {word}"
    yield f"{' ' * _INDENT}{line}"


def _words(text: str) -> Iterator[str]:
    """The words of a command; what stands in quotes is one, and keeps them."""
    word = ""
    for part in text.split(" "):
        word = f"{word} {part}" if word else part
        if word.count('"') % 2 == 0:
            yield word
            word = ""
