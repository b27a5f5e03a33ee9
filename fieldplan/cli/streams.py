"""Standard output and standard error, for any character set, and when they fail.

Everything printed goes through these streams, and so do the help and errors of the command line library.
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
    """The program that read the output has closed the pipe: nobody is left to tell."""


def take_streams() -> None:
    """Put streams of this kind in place of ``sys.stdout`` and ``sys.stderr``.

    Raises
    ------
    OutputError
        If standard output is closed: a result that nobody can see is not done.
    """
    closed = sys.stdout is None
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        # without this, the next file opened would take the stream's number and be printed into
        if getattr(sys, name) is None:
            setattr(sys, name, Path(os.devnull).open(mode, encoding="utf-8"))  # noqa: SIM115 - for as long as the program runs
    sys.stdout, sys.stderr = Printed(sys.stdout, must=True), Printed(sys.stderr, must=False)
    if closed:
        raise OutputError.of("stdout-unwritable/closed", nowhere=os.devnull)


class Printed(io.TextIOBase):
    """A text stream that prints plainer signs for those that its character set lacks, and raises an error in
    words when it takes no more.

    ``as_json`` is set when JSON is printed, which has escapes for such signs. ``errors`` and ``encoding``
    are for the command line library, which would otherwise bypass a stream for ASCII.
    """

    encoding = "utf-8"
    errors = "strict"

    def __init__(self, stream: TextIO, *, must: bool) -> None:
        """Print to a stream; ``must`` if the run fails when it cannot."""
        self._stream, self._must, self.as_json = stream, must, False
        self._failure: Exception | None = None

    def write(self, text: str) -> int:
        """Write text in signs that the stream has; the number of characters taken.

        Raises
        ------
        OutputError
            If the stream takes no more and the run depends on it.
        ReaderGone
            If the reading end of the pipe is closed.
        """
        charset = self._stream.encoding or "utf-8"
        fitted = escaped(text, charset) if self.as_json else legible(text, charset)
        if fitted:
            self._do(lambda: self._stream.write(fitted))
        return len(text)

    def flush(self) -> None:
        """Hand on what was written. A failure is not raised twice, for the interpreter flushes once more when
        it ends.
        """
        if self._failure is None:
            self._do(self._stream.flush)

    def isatty(self) -> bool:
        """Whether the stream is a terminal."""
        return self._stream.isatty()

    def fileno(self) -> int:
        """The file descriptor of the stream."""
        return self._stream.fileno()

    def writable(self) -> bool:
        """Always."""
        return True

    def _do(self, what: Callable[[], object]) -> None:
        """Hand on to the stream. Once that has failed, every write raises: the first caller may have ignored
        it.
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
        """Send what is still buffered to nowhere, for the end of the program tries to write it once more."""
        os.dup2(os.open(os.devnull, os.O_WRONLY), self._stream.fileno())
