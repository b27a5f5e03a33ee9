"""A region's sums as JSON, CSV and a spreadsheet, and the files that they are written to."""

from __future__ import annotations

import csv
import importlib.util
import io
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from fieldplan.model.region import Fleet, Group, Outline, Region, SeedOrder
from fieldplan.report.data.json_text import json_text
from fieldplan.report.data.workbook import workbook
from fieldplan.report.files import Writer
from fieldplan.report.output import of_text
from fieldplan.report.pictures.region_svg import region_svg
from fieldplan.report.words.plain import plain, safe
from fieldplan.report.words.quantities import Quantities

SCHEMA = "fieldplan/region-summary/1"
Cells = list[str | float | int | None]


def region_object(region: Region) -> dict[str, Any]:
    """The sums as nested dicts in SI."""
    return {
        "schema": SCHEMA,
        "fields": region.name,
        "n_rows": region.n_rows,
        "n_sample": region.n_drawn,
        "groups": [_group(group) for group in region.groups],
        "notes": dict(region.notes),
    }


def outline_object(outline: Outline) -> dict[str, Any]:
    """What a file holds and what is left to plan, as nested dicts."""
    return {
        "schema": "fieldplan/region-outline/1",
        "fields": outline.name,
        "format": outline.kind,
        "attributes": list(outline.attributes),
        "n_rows": outline.n_rows,
        "n_row_groups": outline.n_groups,
        "n_sample": outline.n_drawn,
        "n_parts": outline.n_parts,
        "n_parts_done": outline.n_parts_done,
        "n_rows_done": outline.n_rows_done,
        "n_without_outline": outline.n_empty,
        "n_vertices": outline.n_vertices,
        "bounds_deg": None if outline.bounds_deg is None else list(outline.bounds_deg),
        "values": {name: dict(counts) for name, counts in outline.values.items()},
    }


def _group(group: Group) -> dict[str, Any]:
    return {
        "by": group.by,
        "value": group.value,
        "n_rows": group.n_rows,
        "n_planned": group.n_planned,
        "refused": dict(group.refused),
        "refused_m2": group.refused_m2,
        "job_s_if_refused_too": group.if_refused_too_s,
        **{name: amount.total for name, amount in group.amounts.items()},
        "standard_error": {name: amount.error for name, amount in group.amounts.items() if amount.error},
        "seed": [_lot(line) for line in group.seed],
        "carriers_kg": dict(group.carriers_kg),
        "fleets": [_fleet(fleet) for fleet in group.fleets],
    }


def _lot(line: SeedOrder) -> dict[str, Any]:
    return {
        "species": line.species,
        "lot": line.lot,
        "sown_kg": line.sown_kg,
        "sown_pls_kg": line.sown_pls_kg,
        "need_kg": line.need_kg,
        "bag_kg": line.bag_kg,
        "bags": line.bags,
    }


def _fleet(fleet: Fleet) -> dict[str, Any]:
    return {
        "job": fleet.job,
        "drill_width_m": fleet.width_m,
        "boxes": list(fleet.boxes),
        "parcels": fleet.n_parcels,
        "plantable_m2": fleet.plantable_m2,
        "work_s": fleet.work_s,
        "field_s": fleet.field_s,
        "drills": fleet.n_drills,
        "fit_days": fleet.fieldwork_days,
        "days": fleet.days,
        "confidence_frac": fleet.confidence_prob,
        "start": None if fleet.start is None else fleet.start.isoformat(),
        "finish_by": None if fleet.finish_by is None else fleet.finish_by.isoformat(),
        "season_prob": fleet.season_prob,
        "season_range_prob": None if fleet.range_prob is None else list(fleet.range_prob),
        "drills_needed": fleet.needed,
        "drills_needed_prob": fleet.needed_prob,
    }


def _sums_header(region: Region) -> list[str]:
    return [
        "by",
        "value",
        "n_rows",
        "n_planned",
        "n_refused",
        "refused_m2",
        *region.all.amounts,
        *(f"{name}_error" for name in region.all.amounts if region.n_drawn is not None),
    ]


def _sums_rows(region: Region) -> Iterator[Cells]:
    for group in region.groups:
        errors = (amount.error for amount in group.amounts.values() if region.n_drawn is not None)
        yield [
            group.by,
            group.value,
            group.n_rows,
            group.n_planned,
            group.n_refused,
            group.refused_m2,
            *(amount.total for amount in group.amounts.values()),
            *errors,
        ]


_SEED_HEADER = ["by", "value", "species", "lot", "sown_kg", "sown_pls_kg", "need_kg", "bag_kg", "bags"]


def _seed_rows(region: Region) -> Iterator[Cells]:
    for group in region.groups:
        for line in group.seed:
            yield [group.by, group.value, *_lot(line).values()]


def _fleet_rows(region: Region) -> Iterator[Cells]:
    for group in region.groups:
        for fleet in group.fleets:
            cells = _fleet(fleet)
            low, high = cells.pop("season_range_prob") or (None, None)
            cells["boxes"] = ", ".join(cells["boxes"])
            yield [group.by, group.value, *cells.values(), low, high]


def _fleet_header() -> list[str]:
    return [
        "by", "value", "job", "drill_width_m", "boxes", "parcels", "plantable_m2", "work_s", "field_s",
        "drills", "fit_days", "days", "confidence_frac", "start", "finish_by", "season_prob", "drills_needed", "drills_needed_prob", "season_low_prob", "season_high_prob",
    ]  # fmt: skip


def _codes_rows(region: Region) -> Iterator[Cells]:
    for group in region.groups:
        for code, n in group.refused.items():
            yield [group.by, group.value, code, n]


def _tables(region: Region) -> Iterator[tuple[str, list[str], list[Cells]]]:
    """Name, header and rows of each table."""
    yield "sums", _sums_header(region), list(_sums_rows(region))
    yield "drills", _fleet_header(), list(_fleet_rows(region))
    yield "seed", _SEED_HEADER, list(_seed_rows(region))
    yield "not planned", ["by", "value", "code", "parcels"], list(_codes_rows(region))


def _csv(header: list[str], rows: Iterable[Cells]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    writer.writerows([safe(plain(one)) if isinstance(one, str) else one for one in row] for row in rows)
    return out.getvalue()


def _write_workbook(region: Region, path: Path) -> None:
    with workbook(path, plain(region.name)) as book:
        bold = book.add_format({"bold": True})
        for name, header, rows in _tables(region):
            sheet = book.add_worksheet(name)
            sheet.write_row(0, 0, header, bold)
            sheet.freeze_panes(1, 2)
            sheet.set_column(0, len(header) - 1, 16)
            for number, row in enumerate(rows, start=1):
                for column, one in enumerate(row):
                    if isinstance(one, str):
                        sheet.write_string(number, column, plain(one))
                    elif one is not None:
                        sheet.write_number(number, column, one)


def region_writers(region: Region, q: Quantities) -> dict[str, Writer]:
    """What writes each file of the sums; the spreadsheet only where its library is installed.

    Parameters
    ----------
    q
        The reader's units, for the scale of the map.
    """
    tables = {name: (header, rows) for name, header, rows in _tables(region)}
    writers: dict[str, Writer] = {
        "summary.json": of_text(lambda: json_text(region_object(region))),
        "summary.csv": of_text(lambda: _csv(*tables["sums"]), "utf-8-sig"),
        "drills.csv": of_text(lambda: _csv(*tables["drills"]), "utf-8-sig"),
        "seed.csv": of_text(lambda: _csv(*tables["seed"]), "utf-8-sig"),
    }
    if importlib.util.find_spec("xlsxwriter"):
        writers["summary.xlsx"] = lambda path: _write_workbook(region, path)
    if region.cells:
        writers["map.svg"] = of_text(lambda: region_svg(region, q))
    return writers
