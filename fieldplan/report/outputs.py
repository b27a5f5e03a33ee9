"""Every file that a plan can be written to, by name: one place to add another."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from pathlib import Path
from typing import Literal

from fieldplan.errors import UsageError
from fieldplan.model.card import Card
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.report.data.calendar import booking_ics, without_days
from fieldplan.report.data.order_xlsx import write_order
from fieldplan.report.data.plan_json import plan_json
from fieldplan.report.data.timeline import timeline_csv
from fieldplan.report.data.zips import zip_of
from fieldplan.report.files import Writer, write_bytes
from fieldplan.report.gis.fiboa import fiboa_json
from fieldplan.report.gis.geopackage import write_geopackage
from fieldplan.report.gis.gpx import gpx_bytes
from fieldplan.report.gis.kml import kml_bytes, write_kmz
from fieldplan.report.gis.layers import layers_of
from fieldplan.report.gis.task_data import task_data
from fieldplan.report.gis.vector_files import write_flatgeobuf, write_geojson, write_geoparquet
from fieldplan.report.html.page import html_page
from fieldplan.report.paper.sheet import MOST_FIELDS, card_sheet, field_sheets, label_sheets
from fieldplan.report.paper.typeset import Paper, png_of
from fieldplan.report.pictures.hours_and_odds import hours_svg, odds_svg
from fieldplan.report.pictures.map_svg import map_svg
from fieldplan.report.words.plain import slugs
from fieldplan.report.words.quantities import Quantities

USUAL = ("json", "gpkg")
MANIFEST = "manifest.json"
WORDS = {
    "json": "the plan, SI", "gpkg": "map layers for a desktop map", "page": "one HTML file: maps that play, tables",
    "sheet": "PDF, two pages a field", "setup": "PDF, the set-up card of each mix", "labels": "PDF, seed labels",
    "order": "spreadsheet of the seed order", "svg": "a map a field", "png": "a picture a field", "timeline": "CSV, every leg",
    "geojson": "a file a layer", "parquet": "a file a layer", "fgb": "a file a layer", "kml": "for a phone", "kmz": "the same, zipped",
    "gpx": "for a handheld", "calendar": "the booking", "fiboa": "field boundaries as fiboa GeoJSON", "taskdata": "ISO 11783-10, version 4 and 3",
}  # fmt: skip


def every_name(plan: Plan) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names of all files that a plan can be written to, and a sentence for each that it cannot."""
    missing = without_days(plan)
    if missing is None:
        return tuple(WORDS), ()
    return tuple(name for name in WORDS if name != "calendar"), (f"booking.ics is left out: {missing}",)


def refuse_unknown(names: Iterable[str]) -> None:
    """Refuse names that no file is written for; "all" is one.

    Raises
    ------
    UsageError
        With those names.
    """
    unknown = [name or '""' for name in names if name not in (*WORDS, "all")]
    if unknown:
        raise UsageError.of(
            "write-unknown", f"--write does not know {', '.join(unknown)}.", f"all, or one or more of: {', '.join(WORDS)}"
        )


def writers_of(
    plan: Plan, cards: Iterable[Card], names: Iterable[str], boundary_name: str, q: Quantities, paper: Paper, *, legs: bool
) -> dict[str, Writer]:
    """Writers of the files that were asked for by known names, by file name, and of a manifest of them."""
    names = tuple(dict.fromkeys(names))
    us = q.system == "us"
    fields = _named(plan)
    made: dict[str, Callable[[], dict[str, Writer]]] = {
        "json": lambda: {"plan.json": _text(lambda: plan_json(plan, legs=legs))},
        "gpkg": lambda: {"plan.gpkg": lambda path: write_geopackage(plan, q, path)},
        "page": lambda: {"plan.html": _text(lambda: html_page(plan, boundary_name, q))},
        "sheet": lambda: _sheets(plan, q, paper),
        "setup": lambda: _setup(tuple(cards), q, paper),
        "labels": lambda: {"seed-labels.pdf": _bytes(lambda: label_sheets(plan, q, paper))},
        "order": lambda: {"seed-order.xlsx": lambda path: write_order(plan, q, path)},
        "svg": lambda: {
            "picture-hours.svg": _text(lambda: hours_svg(plan)),
            "picture-odds.svg": _text(lambda: odds_svg(plan)),
            **{f"map-{name}.svg": _text(partial(map_svg, one, us=us)) for name, one in fields},
        },
        "png": lambda: {
            "picture-hours.png": _bytes(lambda: png_of(hours_svg(plan))),
            "picture-odds.png": _bytes(lambda: png_of(odds_svg(plan))),
            **{f"map-{name}.png": _bytes(partial(_map_png, one, us=us)) for name, one in fields},
        },
        "timeline": lambda: {"timeline.csv": _text(lambda: timeline_csv(plan))},
        "geojson": lambda: _layers(plan, q, "geojson", write_geojson),
        "parquet": lambda: _layers(plan, q, "parquet", write_geoparquet),
        "fgb": lambda: _layers(plan, q, "fgb", write_flatgeobuf),
        "kml": lambda: {"plan.kml": _bytes(lambda: kml_bytes(plan, q))},
        "kmz": lambda: {"plan.kmz": lambda path: write_kmz(plan, q, path)},
        "gpx": lambda: {"plan.gpx": _bytes(lambda: gpx_bytes(plan))},
        "fiboa": lambda: {"fiboa.geojson": _text(lambda: fiboa_json(plan))},
        "taskdata": lambda: {f"taskdata-v{version}.zip": _bytes(partial(_task_zip, plan, version)) for version in (4, 3)},
        "calendar": lambda: {"booking.ics": _ready(booking_ics(plan))},
    }
    writers: dict[str, Writer] = {}
    for name in names:
        writers |= made[name]()
    return dict(sorted(writers.items())) | {MANIFEST: _manifest}


def _named(plan: Plan) -> list[tuple[str, FieldPlan]]:
    """Fields with file names of their own, in order."""
    return list(zip(slugs([one.field.field_id for one in plan.fields]), plan.fields, strict=True))


def _sheets(plan: Plan, q: Quantities, paper: Paper) -> dict[str, Writer]:
    """One PDF of field sheets, or for a job of many fields several, named by the fields they hold."""
    n = len(plan.fields)
    if n <= MOST_FIELDS:
        return {"field-sheets.pdf": _bytes(lambda: field_sheets(plan, q, paper))}
    return {
        f"field-sheets-{first + 1:05d}-{min(n, first + MOST_FIELDS):05d}.pdf": _bytes(
            partial(field_sheets, plan, q, paper, first)
        )
        for first in range(0, n, MOST_FIELDS)
    }


def _setup(cards: Sequence[Card], q: Quantities, paper: Paper) -> dict[str, Writer]:
    names = slugs([card.mix for card in cards])
    return {f"setup-{name}.pdf": _bytes(partial(card_sheet, card, q, paper)) for name, card in zip(names, cards, strict=True)}


def _layers(plan: Plan, q: Quantities, ending: str, write: Callable[[str, object, Path], None]) -> dict[str, Writer]:
    """A file for each layer that has a feature."""
    frames = {layer: frame for layer, frame in layers_of(plan, q).items() if len(frame)}
    return {f"layer-{layer}.{ending}": _layer(layer, frame, write) for layer, frame in frames.items()}


def _layer(layer: str, frame: object, write: Callable[[str, object, Path], None]) -> Writer:
    return lambda path: write(layer, frame, path)


def _map_png(one: FieldPlan, *, us: bool) -> bytes:
    return png_of(map_svg(one, us=us))


def _task_zip(plan: Plan, version: Literal[3, 4]) -> bytes:
    return zip_of("TASKDATA/TASKDATA.XML", task_data(plan, version))


def _text(make: Callable[[], str]) -> Writer:
    return _bytes(lambda: make().encode("utf-8", errors="replace"))


def _bytes(make: Callable[[], bytes]) -> Writer:
    """What is made only when it is written, so that not all files of a large job stand in memory at once."""

    def write(path: Path) -> None:
        path.write_bytes(make())

    return write


def _ready(made: bytes) -> Writer:
    """What is made before any file is written, because making it can be refused."""
    return partial(write_bytes, made)


def _manifest(path: Path) -> None:
    """Names, sizes and SHA-256 of the files written beside it."""
    listed = [
        {"file": one.name, "bytes": one.stat().st_size, "sha256": hashlib.sha256(one.read_bytes()).hexdigest()}
        for one in sorted(path.parent.iterdir())
        if one != path
    ]
    path.write_text(json.dumps({"schema": "fieldplan/manifest/1", "files": listed}, indent=1) + "\n", encoding="utf-8")
