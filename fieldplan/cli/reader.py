"""The units in which errors are reported: those of the command, once it has named them."""

from __future__ import annotations

from dataclasses import dataclass, field

import click

from fieldplan.report.words.both_units import BothUnits
from fieldplan.report.words.quantities import Quantities, System


@dataclass(slots=True)
class Reader:
    """The units for one run, handed to every command as its context's object: both US and metric until the
    command line names one.
    """

    quantities: Quantities = field(default_factory=BothUnits)


def units_callback(ctx: click.Context, param: click.Parameter, value: System) -> System:
    """Remember the units of a command, given or default."""
    del param
    if isinstance(ctx.obj, Reader):
        ctx.obj.quantities = Quantities(value)
    return value
