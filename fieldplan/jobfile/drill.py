"""The drill with its boxes and rate chart, and the tractor, from a job file."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import Any

from fieldplan.facts import fact
from fieldplan.jobfile.check import Checker, Placed, Table, made, only_table
from fieldplan.jobfile.plausible import MEANT, Spot
from fieldplan.jobfile.schema import with_names_now
from fieldplan.jobfile.values import flag, quantity
from fieldplan.model.machine import ChartPoint, Drill, SeedBox, Tractor
from fieldplan.tables import read as tables
from fieldplan.typed_quantity import parse_quantity

_LISTS = ("box", "chart")


def drill_of(given: list[Placed], path: Path, checker: Checker) -> Drill | None:
    """Return the drill of a job file, or ``None`` with its problems recorded.

    Parameters
    ----------
    given
        The tables under ``[drill]``; there should be one.
    path
        The job file.
    checker
        Takes problems and notes.
    """
    only = only_table(given, "drill", path, checker)
    if only is None:
        checker.problem("table-missing/drill", file=str(path))
        return None
    table, source = only
    before = len(checker.problems)
    boxes = _boxes(_list(table, "box", source, checker), source, checker)
    chart = _chart(_list(table, "chart", source, checker), source, checker)
    of_lists = checker.problems[before:]
    del checker.problems[before:]
    v = checker.values("drill", {k: v for k, v in table.items() if k not in _LISTS}, source, "drill")
    checker.problems += of_lists  # boxes and chart come after the keys of the drill in the file
    if len(checker.problems) > before:
        return None
    spot = Spot(table="drill", label="drill", path=source, meant=v[MEANT])
    _judge_width(checker, spot, v, _list(table, "box", source, checker))
    if len(checker.problems) > before:
        return None
    return made(
        checker,
        spot.where,
        lambda: Drill(
            name=v["name"],
            rows=v["rows"],
            row_spacing_m=v["row_spacing"],
            turning_radius_m=v["turning_radius"],
            pass_overlap_m=v["pass_overlap"],
            sowing_radius_m=v.get("sowing_radius"),
            pass_radius_m=v.get("pass_radius"),
            follows_bend_deg=v["follows_bend"],
            reverse=v["reverse"],
            boxes=boxes,
            chart=chart,
            wheel_circumference_m=v.get("wheel_circumference"),
            notch_depth_m=v["notch_depth"],
            transport_width_m=v.get("transport_width"),
            weight_kg=v.get("weight"),
            min_pto_power_w=v.get("min_pto_power"),
            min_remotes=v.get("min_remotes"),
            hitch=v.get("hitch"),
            lender=v.get("lender", ""),
            letterhead=v.get("letterhead", ()),
        ),
    )


def _judge_width(checker: Checker, spot: Spot, v: Mapping[str, Any], boxes: list[Table]) -> None:
    """Warn if the drill has an unlikely width, or a box an unlikely volume for that width."""
    width_m = v["rows"] * v["row_spacing"] - v["pass_overlap"]
    settled = {*spot.meant, *checker.unlikely(spot.label)} & {"rows", "row_spacing"}
    if not settled:
        wide = fact("makes/width", width_m=width_m)
        checker.judge(spot, "rows", "drill.effective_width", width_m, "length", given=v["rows"], makes=wide)
    if settled or "rows" in checker.unlikely(spot.label) or width_m <= 0:
        return
    for number, table in enumerate(boxes, start=1):
        label = f"drill.box {table.get('name', number)}"
        box_spot = Spot(
            table="drill.box", label=label, path=spot.path, meant=frozenset(table.get(MEANT, ()))
        )
        per_width = parse_quantity(table["volume"], "volume") / width_m
        checker.judge(
            box_spot,
            "volume",
            f"drill.box.volume {str(table['kind']).casefold()}",
            per_width,
            None,
            given=table["volume"],
            makes=fact("makes/box-by-width", volume_box_m3_per_m=per_width),
        )


def _list(table: Table, key: str, path: Path, checker: Checker) -> list[Table]:
    given = table.get(key, [])
    if isinstance(given, list) and all(isinstance(table, dict) for table in given):
        return given
    checker.problem(
        "not-a-table/list", key=f"drill.{key}", head=f"[[drill.{key}]]", each=key, file=str(path)
    )
    return []


def _boxes(given: list[Table], path: Path, checker: Checker) -> tuple[SeedBox, ...]:
    boxes = [_box(table, number, path, checker) for number, table in enumerate(given, start=1)]
    return tuple(box for box in boxes if box is not None)


def _box(table: Table, number: int, path: Path, checker: Checker) -> SeedBox | None:
    label = f"drill.box {table.get('name', number)}"
    before = len(checker.problems)
    v = checker.values("drill.box", table, path, label)
    if len(checker.problems) > before:
        return None
    min_given = "residual" in with_names_now("drill.box", table)
    _box_defaults(v, checker, min_given=min_given)
    return made(
        checker,
        {"file": str(path), "about": f"[{label}]"},
        lambda: SeedBox(
            name=v["name"],
            kind=v["kind"],
            volume_m3=v["volume"],
            usable_frac=v["usable"],
            min_frac=v["residual"],
            swept=v["sweep"],
            min_assumed=not min_given,
            metering_m3_per_m2=v.get("metering"),
            drive=v.get("drive", ""),
            lands=v.get("lands", ""),
            cleaning_s=v["cleaning"],
            resetting_s=v["resetting"],
        ),
    )


def _box_defaults(v: dict[str, Any], checker: Checker, *, min_given: bool) -> None:
    """Fill in the defaults that depend on the kind of box, or on whether a minimum level was given."""
    if "usable" not in v:
        v["usable"], text, source = tables.needed_default(
            "drill.box", f"usable {v['kind']}", quantity("share")
        )
        checker.default_used("drill.box.usable", text, source, "of-kind", kind=v["kind"])
    if "sweep" not in v:
        key = f"sweep residual {'given' if min_given else 'assumed'}"
        v["sweep"], text, source = tables.needed_default("drill.box", key, flag)
        case = "least-given" if min_given else "least-not-given"
        checker.default_used("drill.box.sweep", text, source, case)


def _chart(given: list[Table], path: Path, checker: Checker) -> tuple[ChartPoint, ...]:
    points = []
    for number, table in enumerate(given, start=1):
        before = len(checker.problems)
        label = f"drill.chart line {number}"
        v = checker.values("drill.chart", table, path, label)
        if len(checker.problems) > before:
            continue
        point = made(
            checker,
            {"file": str(path), "about": f"[{label}]"},
            partial(
                ChartPoint,
                seed=v["seed"],
                box=v.get("box", ""),
                gear_range=v.get("range", ""),
                gate=v.get("gate", ""),
                setting=v["setting"],
                bulk_kg_per_m2=v["rate"],
            ),
        )
        if point:
            points.append(point)
    return tuple(points)


def tractor_of(given: list[Placed], path: Path, checker: Checker) -> Tractor:
    """Return the tractor of a job file; one of which nothing is known if there is none, or it has problems.

    Parameters
    ----------
    given
        The tables under ``[tractor]``; there may be one.
    path
        The job file.
    checker
        Takes problems and notes.
    """
    only = only_table(given, "tractor", path, checker)
    if only is None:
        return Tractor()
    table, source = only
    before = len(checker.problems)
    v = checker.values("tractor", table, source, "tractor")
    if len(checker.problems) > before:
        return Tractor()
    tractor = made(
        checker,
        {"file": str(source), "about": "[tractor]"},
        lambda: Tractor(
            pto_power_w=v.get("pto_power"),
            remotes=v.get("remotes"),
            front_reach_m=v.get("front_reach"),
            weight_kg=v.get("weight"),
            hitch=v.get("hitch"),
            drive=v.get("drive", ""),
        ),
    )
    return tractor or Tractor()
