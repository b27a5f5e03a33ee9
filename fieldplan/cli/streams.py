"""Standard output and standard error: whatever their character set, and whatever becomes of them.

All that is printed goes through these streams, the command line library's own help and complaints too.
"""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TextIO

from fieldplan.cli.signs import escaped, legible
from fieldplan.errors import OutputError, why_unwritable


class ReaderGone(Exception):
    """Who read what is printed has closed the pipe: there is nobody left to tell."""


def take_streams() -> None:
    """Print through streams of this kind from now on.

    Raises
    ------
    OutputError
        If standard output is closed: what nobody can see must not pass for done.
    """
    closed = sys.stdout is None
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if (
            getattr(sys, name) is None
        ):  # else the next file that is opened takes its number, and is printed into
            setattr(sys, name, Path(os.devnull).open(mode, encoding="utf-8"))  # noqa: SIM115 - for as long as the program runs
    sys.stdout, sys.stderr = Printed(sys.stdout, must=True), Printed(sys.stderr, must=False)
    if closed:
        raise OutputError.of("stdout-unwritable/closed", nowhere=os.devnull)


class Printed(io.TextIOBase):
    """A text stream that puts signs plainer where its character set lacks them, and says in words when it
    takes no more.

    ``as_json`` is set when what is printed is JSON, which has escapes for such signs. ``errors`` and
    ``encoding`` answer the command line library, which would else bypass a stream for ASCII.
    """

    encoding = "utf-8"
    errors = "strict"

    def __init__(self, stream: TextIO, *, must: bool) -> None:
        """Print to a stream; ``must`` if the run has failed when it cannot."""
        self._stream, self._must, self.as_json = stream, must, False
        self._failure: Exception | None = None

    def write(self, text: str) -> int:
        """Write text so that the stream can hold it."""
        charset = self._stream.encoding or "utf-8"
        shown = escaped(text, charset) if self.as_json else legible(text, charset)
        if shown:
            self._do(lambda: self._stream.write(shown))
        return len(text)

    def flush(self) -> None:
        """Hand on what was written. That it failed is not told twice: the interpreter flushes once more at
        its end.
        """
        if self._failure is None:
            self._do(self._stream.flush)

    def isatty(self) -> bool:
        """Whether a person reads along."""
        return self._stream.isatty()

    def fileno(self) -> int:
        """The descriptor behind it."""
        return self._stream.fileno()

    def writable(self) -> bool:
        """Always."""
        return True

    def _do(self, what: Callable[[], object]) -> None:
        """Hand on to the stream, and once that failed say so to whoever writes: the first one may not have
        listened.
        """
        if self._failure is None:
            try:
                what()
            except BrokenPipeError:
                self._failure = ReaderGone()
            except OSError as problem:
                self._failure = OutputError.of("stdout-unwritable", why=why_unwritable(problem))
            if self._failure is not None:
                self._drop()
        if self._failure is not None and self._must:
            raise self._failure

    def _drop(self) -> None:
        """Let what is still on its way go nowhere, for the end of the program tries once more."""
        os.dup2(os.open(os.devnull, os.O_WRONLY), self._stream.fileno())
