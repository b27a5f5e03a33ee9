"""Plain elements of a page: what they are called in HTML, with our own style sheet, and nothing else."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterable
from typing import Any, Literal

from nicegui import ui
from nicegui.element import Element
from nicegui.elements.mixins.text_element import TextElement

Pressed = Callable[[], Awaitable[None] | None]
Typed = Callable[[str], Awaitable[None] | None]


def plain(tag: str, text: str = "", classes: str = "", **props: Any) -> TextElement:
    """An element with text, and attributes; ``_`` in their names is written as "-", and one at the end left out.

    A value of ``True`` is an attribute without a value, ``False`` none.

    Examples
    --------
    ``plain("label", "Rows", for_="c5")``, ``plain("p", "Saved", role="status", aria_live="polite")``
    """
    element = TextElement(tag=tag, text=text)
    for name, value in props.items():
        if value is not False:
            element.props[name.rstrip("_").replace("_", "-")] = "" if value is True else value
    if classes:
        element.classes(classes)
    return element


def button(text: str, pressed: Pressed, classes: str = "", **props: Any) -> TextElement:
    """A button."""
    made = plain("button", text, classes, type="button", **props)
    made.on("click", lambda _: pressed(), args=[])
    return made


def pressed_as(element: Element, *, on: bool) -> None:
    """Show whether a button that switches something is on."""
    element.props["aria-pressed"] = "true" if on else "false"


def link(text: str, target: str, classes: str = "", **props: Any) -> TextElement:
    """A link within this program."""
    return plain("a", text, classes, href=target, **props)


def box(
    label: str,
    value: str,
    typed: Typed,
    *,
    kind: str = "text",
    when: Literal["input", "change"] = "change",
    **props: Any,
) -> TextElement:
    """A box to type into, with its label; the box.

    Parameters
    ----------
    typed
        Is told what was typed: at once (``when="input"``), or when the person leaves the box or presses Enter.
    """
    name = plain("label", label)
    made = plain("input", type=kind, value=value, autocomplete="off", **props)
    name.props["for"] = made.html_id
    on_value(made, when, typed)
    return made


def choice(
    label: str, options: Iterable[tuple[str, str]], value: str, chosen: Typed, **props: Any
) -> Element:
    """A list to choose from, with its label; the list.

    Parameters
    ----------
    options
        Value and text of each.
    """
    name = plain("label", label)
    made = plain("select", **props)
    name.props["for"] = made.html_id
    fill(made, options, value)
    on_value(made, "change", chosen)
    return made


def fill(made: Element, options: Iterable[tuple[str, str]], value: str) -> None:
    """Give a list other options."""
    made.clear()
    with made:
        for one, text in options:
            plain("option", text, value=one, selected=one == value)


def on_value(element: Element, event: str, told: Typed) -> None:
    """Tell what an input has when its event comes."""
    element.on(event, lambda said: told(str(said.args)), js_handler="(e) => emit(e.target.value)")


def fragment(content: str = "", tag: str = "div", classes: str = "") -> ui.html:
    """HTML that this program has made and escaped itself; set its ``content`` to change it."""
    made = ui.html(content, sanitize=False, tag=tag)
    if classes:
        made.classes(classes)
    return made


def place_of(title: str) -> str:
    """The id of a part of the page, by its title.

    >>> place_of("The job")
    'part-the-job'
    """
    return f"part-{'-'.join(title.casefold().split())}"


def section(title: str, classes: str = "") -> Element:
    """A part of the page with its heading, to be filled in a ``with`` block; the name of the region is the heading.

    Links lead to it by its title: see `place_of`.
    """
    made = plain("section", "", f"part {classes}".strip(), id=place_of(title))
    with made:
        heading = plain("h2", title)
    made.props["aria-labelledby"] = heading.html_id
    return made
