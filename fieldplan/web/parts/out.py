"""What to take along: every file of the plan by a button, papers looked at before they are printed, the job itself."""

from __future__ import annotations

import asyncio
from base64 import b64encode
from collections.abc import Awaitable, Callable
from datetime import datetime
from functools import partial
from html import escape
from pathlib import Path
from urllib.parse import quote

from nicegui import background_tasks, ui

from fieldplan.errors import FieldplanError
from fieldplan.report.output import Output, PlanAsked
from fieldplan.report.outputs import PLAN
from fieldplan.report.typeset import Paper
from fieldplan.report.words.quantities import System
from fieldplan.web.answer import Answer
from fieldplan.web.desk import Desk
from fieldplan.web.in_words import in_words
from fieldplan.web.jobs import Jobs
from fieldplan.web.made import ALL, asked, contents_of, job_files, made, output_named, paper_of
from fieldplan.web.parts.job.inputs import attributes, options
from fieldplan.web.parts.pane import Pane, Said

GROUPS: tuple[tuple[str, tuple[tuple[str, str, str], ...]], ...] = (
    (
        "Papers",
        (
            ("cover", "The cover", ""),
            ("sheet", "Field sheets", ""),
            ("setup", "Set-up cards", "PDF, a card for each mix"),
            ("loads", "Load list", "PDF, by trip and day"),
            ("labels", "Labels of the batches", ""),
            ("bag-labels", "Labels of the lots", ""),
            ("order", "Seed order", "spreadsheet"),
        ),
    ),
    (
        "To look at",
        (
            ("page", "The whole plan as a page", ""),
            ("svg", "Maps", "SVG, one for each field"),
            ("png", "Pictures of the maps", "PNG, one for each field"),
        ),
    ),
    (
        "For the cab, the phone and the calendar",
        (
            ("taskdata", "Task files of the cab", ""),
            ("gpx", "Lines for a handheld", "GPX: boundaries, a line for each block, stops and gates"),
            ("kml", "Map for a phone", "KML"),
            ("kmz", "Small map for a phone", "KMZ: the same as the KML, zipped"),
            ("calendar", "Days for a calendar", "the days of the booking"),
        ),
    ),
    (
        "For other programs",
        (
            ("gpkg", "Map layers", "GeoPackage"),
            ("geojson", "Map layers as GeoJSON", ""),
            ("fgb", "Map layers as FlatGeobuf", ""),
            ("parquet", "Map layers as GeoParquet", ""),
            ("fiboa", "Boundaries for exchange", "fiboa GeoJSON"),
            ("timeline", "Every leg of the way", "CSV"),
            ("json", "All figures", "JSON, in SI units"),
        ),
    ),
)
"""Outputs in the order in which they are offered, what a person calls each, and what it is, where the outputs' own words
would say its name again; one that is not listed is offered last."""
PAPERS: tuple[tuple[Paper, str], ...] = (("us-letter", "US letter"), ("a4", "A4"))
MOST_RECENT = 6


def build(desk: Desk) -> None:
    """Show the files of the desk's plan, and other jobs."""
    _Out(desk).show()


class _Out:
    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.paper: Paper | None = None
        self.leaves: dict[str, str] = {}
        self.asked: tuple[Answer, System, Paper, PlanAsked] | None = None
        self._alone = asyncio.Lock()
        self._wanted: set[tuple[str, str]] = set()

    def show(self) -> None:
        """Build the pane and listen."""
        self.leaves = self._leaves()
        papers, *held = (f'<div id="{leaf}">{html}</div>' for leaf, html in self.leaves.items())
        told = '<div id="o-said" role="status"></div><dialog id="o-frame" class="frame" aria-label="Papers"></dialog>'
        self.pane = Pane(f'<div class="out">{papers}{told}{"".join(held)}</div>', self.said)
        self.desk.listen("answer", self.refresh)
        self.desk.listen("draft", self.refresh)
        self.desk.listen("units", self.refresh)

    def refresh(self) -> None:
        """Send what changed."""
        now = self._leaves()
        changed = {leaf: html for leaf, html in now.items() if self.leaves.get(leaf) != html}
        self.leaves = now
        self.pane.put(changed)

    def said(self, said: Said) -> None:
        """Do what was pressed."""
        do, value, parts = str(said.get("do", "")), said.get("value"), said.get("parts")
        if do == "left" and said.get("id") == "o-paper" and isinstance(parts, dict):
            self.paper = "a4" if parts.get("text") == "a4" else "us-letter"
        elif do in ("make", "look") and isinstance(value, str):
            self._in_turn((do, value), lambda: self._make(value, look=do == "look"))
        elif do == "take-along":
            self._in_turn((do, ""), self._take_along)
        elif do == "duplicate" and isinstance(parts, dict):
            self._in_turn((do, ""), lambda: self._duplicate(str(parts.get("text", "")).strip()))

    def _in_turn(self, wanted: tuple[str, str], make: Callable[[], Awaitable[None]]) -> None:
        """Make what was pressed after what was pressed before; what is waited for already is made once."""

        async def made_in_turn() -> None:
            try:
                async with self._alone:
                    await make()
            finally:
                self._wanted.discard(wanted)

        if wanted not in self._wanted:
            self._wanted.add(wanted)
            background_tasks.create(made_in_turn())

    # ------------------------------------------------------------------ files

    async def _make(self, name: str, *, look: bool) -> None:
        if not self._is_ready() or (name != ALL and output_named(name) is None):
            return
        self._say(f"Making {self._called(name)} …")
        try:
            if look:
                papers = await asyncio.to_thread(lambda: contents_of(name, self._asked()))
            else:
                file = await asyncio.to_thread(lambda: made(name, self._asked(), self.desk.name or "job"))
        except FieldplanError as error:
            q = self.desk.q
            words = " ".join(in_words(one, q) for one in error.problems)
            self._say(f"{self._called(name)} cannot be made: {words}")
            return
        except Exception:
            self._say(f"{self._called(name)} cannot be made: this is a fault of fieldplan.")
            raise
        with self.pane:
            if look:
                contents = [
                    [title, b64encode(content).decode("ascii")] for title, content in papers.items()
                ]
                self.pane.run_method("frame", "o-frame", "application/pdf", contents)
                self._say(f"Shown: {', '.join(papers)}.")
            else:
                ui.download.content(file.content, file.name, file.kind)
                self._say(f"{file.name} is in your downloads.")

    async def _take_along(self) -> None:
        if self.desk.folder is None:
            return
        self._say("Putting the job together …")
        try:
            file = await asyncio.to_thread(job_files, self.desk.draft, self.desk.folder, self.desk.name)
        except FieldplanError as error:
            self._say(str(error))
            return
        with self.pane:
            ui.download.content(file.content, file.name, file.kind)
        self._say(f"{file.name} is in your downloads.")

    def _asked(self) -> PlanAsked:
        answer, paper = self.desk.answer, self.paper or paper_of(self.desk.units)
        assert answer is not None
        known = self.asked
        if known is None or known[0] is not answer or known[1:3] != (self.desk.units, paper):
            known = (answer, self.desk.units, paper, asked(answer, self.desk.units, paper))
        self.asked = known
        return known[3]

    def _is_ready(self) -> bool:
        return self.desk.up_to_date and self.desk.answer is not None and self.desk.answer.plan is not None

    def _called(self, name: str) -> str:
        return (
            "All files"
            if name == ALL
            else next((label for _, each in GROUPS for one, label, _ in each if one == name), name)
        )

    def _say(self, words: str) -> None:
        self.pane.put({"o-said": f"<p>{escape(words)}</p>"})

    # ------------------------------------------------------------------ jobs

    async def _duplicate(self, wanted: str) -> None:
        if self.desk.folder is None:
            return
        desk, jobs = self.desk, Jobs(self.desk.folder.parent)
        draft, units, variants = desk.draft, desk.units, desk.variants
        try:
            new = await asyncio.to_thread(jobs.duplicate, desk.name, wanted or desk.name)
            there = await asyncio.to_thread(jobs.take_up, new)
            save = partial(jobs.save, new, draft, revision=there.revision, units=units, variants=variants)
            await asyncio.to_thread(save)  # what was typed last may not have been in the files yet
        except FieldplanError as error:
            self._say(str(error))
            return
        with self.pane:
            ui.navigate.to(f"/job/{quote(new, safe='')}")

    # ------------------------------------------------------------------ what is shown

    def _leaves(self) -> dict[str, str]:
        return {"o-papers": self._paper(), "o-files": self._files(), "o-job": _job(self.desk)}

    def _paper(self) -> str:
        paper = self.paper or paper_of(self.desk.units)
        shape = attributes({"id": "o-paper-in", "data-in": "text"})
        return f'<div data-box="o-paper"><label for="o-paper-in">Size of paper</label> <select{shape}>{options(PAPERS, paper)}</select></div>'

    def _files(self) -> str:
        ready = self._is_ready()
        why = "" if ready else '<p class="known">As soon as there is a plan its files can be made.</p>'
        if self.desk.answer is None or self.desk.answer.plan is None:
            return why
        listed = {name for _, each in GROUPS for name, _, _ in each}
        others = tuple((one.name, one.name, "") for one in PLAN if one.name not in listed)
        groups = "".join(
            _group(title, each, ready=ready) for title, each in (*GROUPS, ("Others", others)) if each
        )
        shape = attributes(
            {
                "type": "button",
                "data-do": "make",
                "data-value": f'"{ALL}"',
                "disabled": not ready,
                "id": "o-all",
            }
        )
        return f"{why}{groups}<p><button{shape}>All of them, zipped</button></p>"


def _group(title: str, each: tuple[tuple[str, str, str], ...], *, ready: bool) -> str:
    rows = "".join(
        _row(label, says or output.words, output, ready=ready)
        for name, label, says in each
        if (output := output_named(name)) is not None
    )
    return f"<h3>{escape(title)}</h3><ul class='files'>{rows}</ul>"


def _row(label: str, says: str, output: Output[PlanAsked], *, ready: bool) -> str:
    able = ready and output.installed

    def button(do: str, words: str) -> str:
        shape: dict[str, str | bool] = {
            "type": "button",
            "data-do": do,
            "data-value": f'"{output.name}"',
            "disabled": not able,
            "aria-label": f"{words}: {label}",
            "id": f"o-{do}-{output.name}",
        }
        return f"<button{attributes(shape)}>{words}</button>"

    look = button("look", "Look at it") if output.words.startswith("PDF") else ""
    lacking = (
        "" if output.installed else f" Needs the extra {escape(output.extra or '')} of the installation."
    )
    return f'<li><b>{escape(label)}</b> <span class="known">{escape(says)}.{lacking}</span> {look}{button("make", "Download")}</li>'


def _job(desk: Desk) -> str:
    """The job itself: where it lies, a copy of it, and other jobs."""
    if desk.folder is None:
        return ""
    how = "The job is saved as you type, in" if desk.read_only is None else "The job lies in"
    place = f"<p>{how} <code>{escape(str(desk.folder))}</code>. There the command line plans it with the same numbers: <code>fieldplan plan fields.gpkg --job job.toml</code></p>"
    copy = (
        '<div id="o-copy"><label for="o-copy-name">Name of a copy of this job</label> '
        f"<input{attributes({'id': 'o-copy-name', 'data-in': 'text', 'maxlength': '80', 'autocomplete': 'off'})}>"
        f"<button{attributes({'type': 'button', 'data-do': 'duplicate', 'data-with': 'o-copy', 'id': 'o-copy-do'})}>Copy it and open the copy</button></div>"
    )
    along = f"<p><button{attributes({'type': 'button', 'data-do': 'take-along', 'id': 'o-along'})}>Download the job: its map, its job file and the files that it names</button></p>"
    return f"<h3>The job</h3>{place}{along}{copy}{_recent(desk.folder, desk.name)}"


def _recent(folder: Path, name: str) -> str:
    others = [one for one in Jobs(folder.parent).listed() if one.name != name][:MOST_RECENT]
    items = "".join(
        f'<li><a href="/job/{quote(one.name, safe="")}">{escape(one.name)}</a> <span class="known">saved {datetime.fromtimestamp(one.saved_s):%Y-%m-%d %H:%M}</span></li>'
        for one in others
    )
    return f"<h3>Other jobs</h3><ul>{items}</ul>" if items else ""
