"""Options that describe a drill that could be bought."""

from __future__ import annotations

import click

from fieldplan.model.years import Offered
from fieldplan.office import offered

price_option = click.option(
    "--price", metavar="SUM", help="The price of a drill that you could buy, such as 28000."
)
life_option = click.option(
    "--life", metavar="YEARS", type=float, help="The years that you expect it to last."
)
upkeep_option = click.option(
    "--upkeep", metavar="SUM", help="What you expect its upkeep to cost in a year.  [default: not counted]"
)


def offered_by(price: str | None, life: float | None, upkeep: str | None) -> Offered | None:
    """The drill that the options describe, if they do.

    Raises
    ------
    UsageError
        If one of price and life lacks the other, or a figure cannot be.
    """
    return offered.offered_by(price, life, upkeep, names=("--price", "--life", "--upkeep"))
