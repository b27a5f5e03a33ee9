"""Boxes that keep what is being typed while the page around them changes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from nicegui.element import Element

from fieldplan.web.elements import plain

Typed = Callable[[str], Any]


def typed_box(
    label: str, value: str, typed: Typed, *, empties: bool = False, hint: str = "", **props: Any
) -> Element:
    """A box with its label; tells what was typed when Enter is pressed or the box is left.

    Its first value is an attribute, not a property, which the page's library would set again, whatever has been
    typed meanwhile, each time that anything on the page changes.

    Parameters
    ----------
    empties
        Only Enter tells, and empties the box.
    hint
        What to type, below the box.
    """
    name = plain("label", label)
    made = plain("input", type="text", autocomplete="off", **props)
    made.props["^value"] = value
    name.props["for"] = made.html_id
    if hint:
        made.props["aria-describedby"] = plain("small", hint).html_id
    if empties:
        made.on(
            "keydown.enter",
            lambda said: typed(str(said.args)),
            js_handler="(e) => { emit(e.target.value); e.target.value = ''; }",
        )
    else:
        made.on("change", lambda said: typed(str(said.args)), js_handler="(e) => emit(e.target.value)")
    return made


def unlabeled_box(name: str, value: str, typed: Typed) -> Element:
    """A box in a table, called by what its row and column are."""
    made = plain("input", type="text", autocomplete="off", aria_label=name)
    made.props["^value"] = value
    made.on("change", lambda said: typed(str(said.args)), js_handler="(e) => emit(e.target.value)")
    return made
