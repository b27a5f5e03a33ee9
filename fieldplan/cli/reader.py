"""Who is told what went wrong: in the units that the command was asked for, as far as it came to say so."""

from __future__ import annotations

from dataclasses import dataclass, field

import click

from fieldplan.report.words.quantities import BothUnits, Quantities, System


@dataclass(slots=True)
class Reader:
    """The reader of one run, handed down to every command as its context's object: in both units until one
    says which.
    """

    quantities: Quantities = field(default_factory=BothUnits)


def units_callback(ctx: click.Context, param: click.Parameter, value: System) -> System:
    """Remember the units that a command was asked for, or has by default."""
    del param
    if isinstance(ctx.obj, Reader):
        ctx.obj.quantities = Quantities(value)
    return value
