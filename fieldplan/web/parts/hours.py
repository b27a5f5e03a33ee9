"""Where the hours go."""

from __future__ import annotations

from fieldplan.web.desk import Desk
from fieldplan.web.elements import plain


def build(desk: Desk) -> None:
    """Build the part in the current container."""
    plain("p", desk.name)
