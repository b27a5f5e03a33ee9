"""Boxes and buttons of a job that can only be looked at: there, readable, and out of use; and why."""

from __future__ import annotations

from nicegui.element import Element

from fieldplan.report.words.both_units import BothUnits
from fieldplan.report.words.sentences import sentence
from fieldplan.web.desk import Desk
from fieldplan.web.elements import plain


def held(desk: Desk, *, says: bool = False) -> Element:
    """A place for what changes the job, to be filled in a ``with`` block; out of use where the job cannot be changed.

    Parameters
    ----------
    says
        Whether it begins with the reason then.
    """
    if desk.read_only is None:
        return plain("div")
    made = plain("fieldset", "", "held", disabled=True)
    if says:
        with made:
            plain("legend", f"Read only. {sentence(desk.read_only, BothUnits())}")
    return made
