"""The page of all jobs: open one, or begin one."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from urllib.parse import quote

from nicegui import ui

from fieldplan.errors import FieldplanError, Problem
from fieldplan.report.words.quantities import BothUnits
from fieldplan.web.draft import Draft
from fieldplan.web.elements import box, button, link, plain
from fieldplan.web.in_words import in_words
from fieldplan.web.jobs import Jobs, Listed


def build(jobs: Jobs, listed: Sequence[Listed]) -> None:
    """Build the page in the current client."""
    with plain("div", "", "desk start"):
        plain("h1", "fieldplan desk")
        plain(
            "p",
            "Plans the use of a rented no-till drill: from a map of the fields to what to book, buy and bring.",
        )
        with plain("div", "", "begin"):
            named = {"name": ""}
            box("Name of a new job", "", lambda text: named.update(name=text), when="input", maxlength=80)
            told = plain("p", "", "told", role="alert")

            def begin() -> None:
                name = named["name"].strip() or jobs.free_name(f"job of {datetime.now():%Y-%m-%d}")
                try:
                    if not jobs.is_there(name):
                        jobs.save(name, Draft(), revision=0)
                except FieldplanError as error:
                    told.text = said(error.problems)
                else:
                    ui.navigate.to(address(name))

            button("Begin", begin, "main")
        plain("h2", "Jobs")
        if not listed:
            plain("p", "None yet.")
        with plain("ul", "", "jobs"):
            for one in listed:
                with plain("li"):
                    link(one.name, address(one.name))
                    when = datetime.fromtimestamp(one.saved_s)
                    plain("span", f"saved {when:%Y-%m-%d %H:%M}", "when")


def address(name: str) -> str:
    """Where the page of a job is."""
    return f"/job/{quote(name, safe='')}"


def refused(problems: Sequence[Problem]) -> None:
    """Say why a job cannot be opened."""
    with plain("div", "", "desk start"):
        plain("h1", "This job cannot be opened")
        plain("p", said(problems), role="alert")
        link("All jobs", "/")


def said(problems: Sequence[Problem]) -> str:
    """Problems in words, with what to try."""
    q = BothUnits()
    return " ".join(in_words(one, q) for one in problems)
