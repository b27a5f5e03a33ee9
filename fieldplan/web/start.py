"""The page of all jobs: open one, or begin one."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from datetime import datetime
from pathlib import PurePath
from urllib.parse import quote

from nicegui import ui

from fieldplan.errors import FieldplanError, Problem
from fieldplan.report.words.both_units import BothUnits
from fieldplan.web.arrived import Arrived, label_of
from fieldplan.web.draft import Draft
from fieldplan.web.elements import box, button, link, plain
from fieldplan.web.in_words import in_words
from fieldplan.web.jobs import Jobs, Listed
from fieldplan.web.parts.where import post
from fieldplan.web.parts.where.drop_box import DropBox, unsent


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
        _files(jobs)
        plain("h2", "Jobs")
        if not listed:
            plain("p", "None yet.")
        with plain("ul", "", "jobs"):
            for one in listed:
                with plain("li"):
                    link(one.name, address(one.name))
                    when = datetime.fromtimestamp(one.saved_s)
                    plain("span", f"saved {when:%Y-%m-%d %H:%M}", "when")


def _files(jobs: Jobs) -> None:
    """The choice of files that a new job begins with."""
    client = ui.context.client

    async def take(arrived: tuple[Arrived, ...]) -> None:
        try:
            name = await asyncio.to_thread(_begun, jobs, arrived)
        except FieldplanError as error:
            told.text = said(error.problems)
        else:
            post.leave_for(name, arrived)
            with client:
                ui.navigate.to(address(name))

    where = post.address_for(take)
    client.on_delete(lambda: post.close(where))
    with plain("div", "", "begin"):
        label = plain("label", "Or open files: boundaries, a job file, or both, loose or zipped")
        chosen = DropBox(where)
        label.props["for"] = chosen.html_id
        told = plain("p", "", "told", role="alert")
    chosen.on("refused", lambda event: told.set_text(said([unsent(event.args)])))


def _begun(jobs: Jobs, arrived: Sequence[Arrived]) -> str:
    """A new empty job, called as the job file among its files is, or else as the first of them."""
    names = [label_of(one.name) for one in arrived]
    first = next((name for name in names if name.lower().endswith(".toml")), names[0] if names else "")
    name = jobs.free_name(PurePath(first).stem)
    jobs.save(name, Draft(), revision=0)
    return name


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
