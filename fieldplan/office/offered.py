"""A drill that could be bought, as a person describes it."""

from __future__ import annotations

from decimal import Decimal

from fieldplan.errors import InputError, UsageError
from fieldplan.model.years import Offered
from fieldplan.records.reading import cost

Names = tuple[str, str, str]


def offered_by(
    price: str | None,
    life_years: float | None,
    upkeep: str | None,
    names: Names = ("price", "life_years", "upkeep"),
) -> Offered | None:
    """The drill that price, life and upkeep describe; ``None`` if none of them is given.

    Parameters
    ----------
    price, upkeep
        Sums as typed, the upkeep in a year.
    life_years
        Years that it lasts.
    names
        What whoever gave them calls the three.

    Raises
    ------
    UsageError
        If one of price and life lacks the other, or a figure cannot be.
    """
    if price is None and life_years is None and upkeep is None:
        return None
    if price is None or life_years is None:
        raise UsageError.of("offered-in-part")
    if not 0 < life_years <= 100:
        raise UsageError.of("offered-life", name=names[1], given=life_years)
    return Offered(
        price=_sum(price, names[0]),
        life_years=life_years,
        upkeep=None if upkeep is None else _sum(upkeep, names[2]),
    )


def _sum(given: str, name: str) -> Decimal:
    try:
        return cost(given)
    except InputError as error:
        raise UsageError.from_other(error, about=name) from None
