"""Money, places and headings as text: what reads the same in either units."""

from __future__ import annotations

from decimal import Decimal

_CENT = 0.005
"""Sums that differ by less read the same."""


def place_text(lonlat: tuple[float, float]) -> str:
    """A place as people read it: latitude, longitude, to about a metre."""
    lon = lonlat[0] if abs(lonlat[0]) <= 180 else (lonlat[0] + 180) % 360 - 180
    return f"{lonlat[1]:.5f}, {lon:.5f}"


def heading_text(heading_deg: float, digits: int = 0) -> str:
    """Degrees of a heading that is driven either way: from 0 to under 180, also as rounded."""
    return f"{round(heading_deg, digits) % 180:.{digits}f}"


def money_text(amount: Decimal | float, currency: str, *, exact: bool = False) -> str:
    """An amount with its currency as it was written: a sign before, a code after; to the cent, or in its
    own digits.
    """
    shown = f"{abs(amount):,}" if exact else f"{abs(amount):,.2f}"
    minus = "−" if amount < 0 else ""
    return f"{minus}{shown} {currency}" if currency.isalpha() else f"{minus}{currency}{shown}"


def money_range(low: float, high: float, currency: str) -> str:
    """A sum, or from the least to the most where they differ by a cent or more."""
    return (
        money_text(low, currency)
        if high - low < _CENT
        else f"{money_text(low, currency)} – {money_text(high, currency)}"
    )
