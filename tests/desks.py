"""Jobs for the planning page, and a server of it whose page has one knob more: run as a program it serves a folder."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shapely import affinity

from fieldplan.boundary.exclusions import exclusions_of_job
from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.jobfile.load import load_job, read_toml
from fieldplan.web.draft import Draft, Drawn
from fieldplan.web.jobs import Jobs
from fieldplan.web.written import drawn_of, without_exclusion_keys

if TYPE_CHECKING:
    from collections.abc import Iterator

    from fieldplan.web.desk import Desk

SAMPLES = Path(__file__).resolve().parent.parent / "sample_fields"
TODAY = date(2027, 4, 1)


def sample_draft(job: str, fields: str) -> Draft:
    """The draft that a sample job and a sample boundary file come to."""
    terms = ReadingTerms()
    exclusions = exclusions_of_job(load_job(SAMPLES / job), terms, 0.0)
    boundary = load_fields(SAMPLES / fields)
    tables = read_toml(SAMPLES / job)
    return Draft(ground=drawn_of(boundary, exclusions), tables=without_exclusion_keys(tables))


def sample_job(jobs: Jobs, name: str, job: str = "farm.toml", fields: str = "farm.geojson") -> Draft:
    """A sample as a job of the page, with the files that it names beside it; its draft."""
    draft = sample_draft(job, fields)
    jobs.save(name, draft, revision=0)
    jobs.put_beside(name, {file.name: file for file in (SAMPLES / "rates.toml", SAMPLES / "station.csv")})
    return draft


def small_draft(n_fields: int, *, side_deg: float = 0.002) -> Draft:
    """So many small squares, no two alike, with the job of the farm."""
    from shapely import box

    square = box(-95.0, 44.0, -95.0 + side_deg, 44.0 + side_deg * 0.75)
    fields = []
    for n in range(n_fields):
        moved = affinity.translate(square, 0.006 * (n % 8), 0.005 * (n // 8))
        turned = affinity.rotate(moved, 3.0 * n, "centroid")
        ground = affinity.scale(turned, 1.0 + 0.01 * n, 1.0, origin="centroid")
        fields.append(Drawn(key=f"f{n}", layer="fields", geometry=ground, attributes={"id": f"p{n + 1}"}))
    tables = dict(read_toml(SAMPLES / "farm.toml"))
    tables["cost"] = {key: value for key, value in tables["cost"].items() if key != "rate_card"}
    return Draft(ground=tuple(fields), tables=tables)


def with_hours(draft: Draft, text: str) -> Draft:
    """The draft with other hours a day: what a field is driven by stays."""
    booking = {**draft.tables["booking"], "hours_per_day": text}
    return replace(draft, tables={**draft.tables, "booking": booking})


def with_corner_moved(draft: Draft) -> Draft:
    """The draft with its first field a yard longer: it has to be covered anew, the others not."""
    first = draft.of_layer("fields")[0]
    longer = affinity.scale(first.geometry, 1.005, 1.0, origin="centroid")
    return draft.with_drawn(replace(first, geometry=longer))


def with_exclusion(draft: Draft, **attributes: str | float) -> Draft:
    """The draft with a pond in the middle of its first field."""
    middle = draft.of_layer("fields")[0].geometry.centroid.buffer(0.0003)
    return draft.with_drawn(Drawn(key="pond", layer="exclusions", geometry=middle, attributes=attributes))


class NoPlanner:
    """Plans nothing."""

    def ask(self, *given: object, **named: object) -> None:
        """Nothing."""

    def forget(self, who: str) -> None:
        """Nothing."""


@contextmanager
def served(folder: Path) -> Iterator[Served]:
    """A server of a folder, in a process of its own."""
    server = Served(folder)
    server.start()
    try:
        yield server
    finally:
        server.stop()


class Served:
    """A server that can be killed and started again on the same port."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.port = 0
        self.address = ""
        self._process: subprocess.Popen[str] | None = None

    def start(self) -> None:
        """Start it and wait until it answers."""
        command = [sys.executable, __file__, str(self.folder), str(self.port)]
        environment = {**os.environ, "PYTHONPATH": str(SAMPLES.parent)}
        self._process = subprocess.Popen(
            command,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            cwd=self.folder,
            env=environment,
        )
        assert self._process.stdout is not None
        self.address = self._process.stdout.readline().strip()
        assert self.address.startswith("http://127.0.0.1:"), (
            self._process.stderr and self._process.stderr.read()
        )
        self.port = int(self.address.rstrip("/").rpartition(":")[2])

    def kill(self) -> None:
        """End it at once, as a power cut does."""
        assert self._process is not None
        self._process.kill()
        self._process.communicate()

    def stop(self) -> str:
        """Ask it to stop, if it runs; what it wrote to stderr."""
        running, self._process = self._process, None
        if running is None:
            return ""
        running.terminate()
        try:
            return running.communicate(timeout=20)[1]
        except subprocess.TimeoutExpired:
            running.kill()
            return running.communicate()[1]


def _knob(desk: Desk) -> None:
    """A box for the hours a day, and a button that moves a corner: changes that any page can make."""
    from fieldplan.web.elements import box, button
    from fieldplan.web.parts.held import held

    def typed(text: str) -> None:
        desk.change(with_hours(desk.draft, text))

    with held(desk):
        made = box(
            "Hours a day",
            str(desk.draft.tables.get("booking", {}).get("hours_per_day", "")),
            typed,
            when="input",
        )
        button("Move a corner", lambda: desk.change(with_corner_moved(desk.draft)))

    def show() -> None:
        made.props["value"] = desk.draft.tables["booking"]["hours_per_day"]

    desk.listen("draft", show)


def main(folder: str, port: str) -> None:
    """Serve a folder until the process is ended."""
    from fieldplan.web import page
    from fieldplan.web.server import listening, serve

    page.PUT_IN = (("Knobs", _knob), *page.PUT_IN)
    bound = listening(int(port))
    serve(Path(folder), bound, ready=lambda address: print(address, flush=True), today=lambda: TODAY)


def waited(done: Any, seconds: float = 20.0) -> Any:
    """What ``done`` gives once that is something; fails after so many seconds."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        if found := done():
            return found
        time.sleep(0.02)
    raise AssertionError("it did not come about in time")


if __name__ == "__main__":
    main(*sys.argv[1:3])
