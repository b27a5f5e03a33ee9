"""Options that describe a drill that could be bought."""

from __future__ import annotations

from decimal import Decimal

import click

from fieldplan.errors import InputError, UsageError
from fieldplan.model.years import Offered
from fieldplan.records.reading import cost

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
    if price is None and life is None and upkeep is None:
        return None
    if price is None or life is None:
        raise UsageError.of("offered-in-part")
    if not 0 < life <= 100:
        raise UsageError.of("offered-life", given=f"{life:g}")

    def sum_of(name: str, given: str) -> Decimal:
        try:
            return cost(given)
        except InputError as error:
            raise UsageError.from_other(error, about=name) from None

    return Offered(
        price=sum_of("--price", price),
        life_years=life,
        upkeep=None if upkeep is None else sum_of("--upkeep", upkeep),
    )
