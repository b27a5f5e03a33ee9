"""Money, places and headings as text: what reads the same in either units."""

from __future__ import annotations

from decimal import Decimal

_CENT = 0.005
"""Sums that differ by less read the same."""


def place_text(lonlat: tuple[float, float]) -> str:
    """A place as people read it: latitude, longitude, to about a meter.

    Parameters
    ----------
    lonlat
        Longitude and latitude in degrees; longitudes beyond 180 are turned back into -180 to 180.

    Examples
    --------
    >>> place_text((264.27496, 44.6165))
    '44.61650, -95.72504'
    """
    lon = lonlat[0] if abs(lonlat[0]) <= 180 else (lonlat[0] + 180) % 360 - 180
    return f"{lonlat[1]:.5f}, {lon:.5f}"


def heading_text(heading_deg: float, digits: int = 0) -> str:
    """Degrees of a heading that is driven in both directions: from 0 to under 180, also when rounded.

    Examples
    --------
    >>> heading_text(271.2)
    '91'
    >>> heading_text(179.7)
    '0'
    """
    return f"{round(heading_deg, digits) % 180:.{digits}f}"


def money_text(amount: Decimal | float, currency: str, *, exact: bool = False) -> str:
    """An amount with its currency as it was written: a sign before it, a code behind it.

    Parameters
    ----------
    amount
        The sum of money.
    currency
        A sign such as "$" or a code such as "EUR".
    exact
        Give the amount in its own digits instead of to the cent.

    Examples
    --------
    >>> money_text(3034.76, "$")
    '$3,034.76'
    >>> money_text(-5, "EUR")
    '−5.00 EUR'
    """
    digits = f"{abs(amount):,}" if exact else f"{abs(amount):,.2f}"
    minus = "−" if amount < 0 else ""
    return f"{minus}{digits} {currency}" if currency.isalpha() else f"{minus}{currency}{digits}"


def money_range(low: float, high: float, currency: str) -> str:
    """A sum, or a range of sums where they differ by a cent or more.

    Examples
    --------
    >>> money_range(367.02, 545.29, "$")
    '$367.02 – $545.29'
    """
    if high - low < _CENT:
        return money_text(low, currency)
    return f"{money_text(low, currency)} – {money_text(high, currency)}"
