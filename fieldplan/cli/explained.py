"""Commands whose help explains more than their options."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import click

Rows = Sequence[tuple[str, str]]
"""What is explained, and the explanation: two columns of the help."""


class Explained(click.Command):
    """A command whose help ends with sections of its own.

    Parameters
    ----------
    sections
        The rows of each section, under its heading.
    """

    def __init__(self, *args: Any, sections: Mapping[str, Rows], **given: Any) -> None:
        super().__init__(*args, **given)
        self.sections = sections

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the options, then the sections."""
        super().format_options(ctx, formatter)
        write_sections(formatter, self.sections)


def write_sections(formatter: click.HelpFormatter, sections: Mapping[str, Rows]) -> None:
    """Write sections of two columns, wrapped to the width of the terminal."""
    for heading, rows in sections.items():
        with formatter.section(heading):
            formatter.write_dl(rows)
