"""Buttons of the form: what they do, where, and with which value."""

from __future__ import annotations

import json
from html import escape

from fieldplan.web.parts.job.inputs import attributes
from fieldplan.web.parts.job.said import Offer
from fieldplan.web.tables import Place


def button(
    do: str, words: str, place: Place = (), *, value: str = "", box: str = "", near: str = ""
) -> str:
    """A button.

    Parameters
    ----------
    do, words
        What it does, as the page tells it, and what it says.
    place, value, box
        The table, the value and the id of the box that it is about.
    near
        The id of the element whose inputs are told along.
    """
    shape = {
        "data-with": near,
        "type": "button",
        "data-do": do,
        "data-place": json.dumps(place) if place else "",
        "data-value": json.dumps(value) if value else "",
        "data-id": box,
    }
    return f"<button{attributes(shape)}>{escape(words)}</button>"


def take(box_id: str, offer: Offer, label: str, do: str = "") -> str:
    """The button of an offer beside a box; its name says the box too."""
    shape = {
        "type": "button",
        "data-do": do or ("mean" if offer.confirms else "take"),
        "data-id": box_id,
        "data-value": "" if offer.confirms or do else json.dumps(offer.value, default=str),
        "aria-label": f"{offer.words}: {label}" if label else "",
    }
    return f"<button{attributes(shape)}>{escape(offer.words)}</button>"
