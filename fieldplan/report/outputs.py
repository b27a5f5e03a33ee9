"""Every output of plans, seasons and papers: one line to add another."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from pathlib import Path

from fieldplan.errors import UsageError
from fieldplan.facts import Fact, fact
from fieldplan.report.data import (
    calendar,
    mix,
    order_xlsx,
    plan_json,
    season_csv,
    season_json,
    season_xlsx,
    timeline,
)
from fieldplan.report.files import Writer
from fieldplan.report.gis import fiboa, geopackage, gpx, kml, task_data, vector_files
from fieldplan.report.html import page
from fieldplan.report.output import Asked, MixAsked, Output, PaperAsked, PlanAsked, SeasonAsked
from fieldplan.report.paper import (
    cover,
    design,
    document,
    handover,
    labels,
    load_list,
    month_board,
    sheet,
)
from fieldplan.report.pictures import files, season_svg

PLAN: tuple[Output[PlanAsked], ...] = (
    plan_json.OUTPUT,
    geopackage.OUTPUT,
    page.OUTPUT,
    cover.OUTPUT,
    sheet.SHEETS,
    sheet.CARDS,
    labels.LABELS,
    labels.BAG_LABELS,
    load_list.OUTPUT,
    order_xlsx.OUTPUT,
    files.SVG,
    files.PNG,
    timeline.OUTPUT,
    vector_files.GEOJSON,
    vector_files.GEOPARQUET,
    vector_files.FLATGEOBUF,
    kml.LOOSE,
    kml.ZIPPED,
    gpx.OUTPUT,
    calendar.BOOKING,
    fiboa.OUTPUT,
    task_data.OUTPUT,
)
"""Files that a plan can be written to, in the order in which they are offered."""
SEASON: tuple[Output[SeasonAsked], ...] = (
    season_json.OUTPUT,
    season_csv.OUTPUT,
    season_svg.OUTPUT,
    handover.OUTPUT,
    month_board.OUTPUT,
    season_xlsx.OUTPUT,
    calendar.BOOKINGS,
)
"""Files that every season is written to."""
PAPERS: tuple[Output[PaperAsked], ...] = (document.PDF,)
"""Files that invoices, packets, reports and other documents are written to."""
MIX: tuple[Output[MixAsked], ...] = (mix.TABLES, mix.CSV, design.PDF)
"""Files that a designed mix is written to."""
USUAL = ("json", "gpkg")
MANIFEST = "manifest.json"


def names_of(outputs: Iterable[Output[Asked]]) -> tuple[str, ...]:
    """The names to ask for outputs by, in their order."""
    return tuple(output.name for output in outputs)


def always_of(outputs: Iterable[Output[Asked]]) -> tuple[str, ...]:
    """The names of files that the outputs always write."""
    return tuple(name for output in outputs for name in output.always)


def asked_for(names: Iterable[str]) -> tuple[Output[PlanAsked], ...]:
    """The outputs of a plan that are asked for by name, each once.

    Parameters
    ----------
    names
        Names of outputs; "all" is every one.

    Raises
    ------
    UsageError
        If a name is not that of an output.
    MissingExtra
        If an output needs a library that is not installed.
    """
    names = tuple(dict.fromkeys(names))
    known = {output.name: output for output in PLAN}
    unknown = tuple(name or '""' for name in names if name not in known and name != "all")
    if unknown:
        raise UsageError.of("write-unknown", names=unknown, known=tuple(known))
    if "all" in names:
        return PLAN
    for name in names:
        known[name].require()
    return tuple(known[name] for name in names)


def left_out(asked: PlanAsked) -> dict[str, Fact]:
    """What "all" leaves out of a plan and why: outputs whose library is not installed, a calendar without days.

    Parameters
    ----------
    asked
        The plan and how it is to be written.

    Returns
    -------
    dict
        The reasons, by name of the output.
    """
    reasons = {
        output.name: fact("output-left-out/extra", name=output.name, extra=output.extra or "")
        for output in PLAN
        if not output.installed
    }
    no_days = calendar.without_days(asked.plan)
    if no_days is not None:
        reasons["calendar"] = fact("output-left-out/calendar", why=no_days)
    return reasons


def writers_asked(names: Iterable[str], asked: PlanAsked) -> tuple[dict[str, Writer], tuple[Fact, ...]]:
    """Writers of a plan's files and their manifest, and what "all" leaves out and why.

    Raises
    ------
    UsageError, MissingExtra
        As `asked_for`.
    """
    names = tuple(names)
    outputs = asked_for(names)
    missing = left_out(asked) if "all" in names else {}
    kept = tuple(one for one in outputs if one.name not in missing)
    return with_manifest(writers_of(kept, asked)), tuple(missing.values())


def writers_of(outputs: Sequence[Output[Asked]], asked: Asked) -> dict[str, Writer]:
    """Writers of all files of the outputs, by file name.

    Parameters
    ----------
    outputs
        Outputs of one kind of result.
    asked
        The result and how it is to be written.
    """
    return {name: writer for output in outputs for name, writer in output.make(asked).items()}


def with_manifest(writers: dict[str, Writer]) -> dict[str, Writer]:
    """The writers in the order of their file names, and last that of a manifest of these files."""
    return dict(sorted(writers.items())) | {MANIFEST: _manifest}


def _manifest(path: Path) -> None:
    """Write names, sizes and SHA-256 of the files beside it."""
    listed = [
        {
            "file": file.name,
            "bytes": file.stat().st_size,
            "sha256": hashlib.sha256(file.read_bytes()).hexdigest(),
        }
        for file in sorted(path.parent.iterdir())
        if file != path
    ]
    path.write_text(
        json.dumps({"schema": "fieldplan/manifest/1", "files": listed}, indent=1) + "\n", encoding="utf-8"
    )
