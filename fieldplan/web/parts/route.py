"""The map of a field with its passes, turns and stops, and its drive played."""

from __future__ import annotations

from fieldplan.web.desk import Desk
from fieldplan.web.elements import plain


def build(desk: Desk) -> None:
    """Build the part in the current container."""
    plain("p", desk.name)
