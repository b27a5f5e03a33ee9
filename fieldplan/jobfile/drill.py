"""The drill with its boxes and rate chart, and the tractor, from a job file."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import Any

from fieldplan.facts import fact
from fieldplan.jobfile.check import Checker, Placed, Table, made, one_of
from fieldplan.jobfile.plausible import MEANT, Spot
from fieldplan.jobfile.schema import with_names_now
from fieldplan.jobfile.values import flag, quantity
from fieldplan.model.machine import ChartPoint, Drill, SeedBox, Tractor
from fieldplan.tables import read as tables
from fieldplan.units import parse_quantity

_LISTS = ("box", "chart")


def drill_of(given: list[Placed], path: Path, checker: Checker) -> Drill | None:
    """The drill, or ``None`` with its problems recorded."""
    found = one_of(given, "drill", path, checker)
    if found is None:
        checker.problem("table-missing/drill", file=str(path))
        return None
    table, source = found
    before = len(checker.problems)
    boxes = _boxes(_list(table, "box", source, checker), source, checker)
    chart = _chart(_list(table, "chart", source, checker), source, checker)
    of_lists = len(checker.problems)
    v = checker.values("drill", {k: v for k, v in table.items() if k not in _LISTS}, source, "drill")
    checker.problems[before:] = [
        *checker.problems[of_lists:],
        *checker.problems[before:of_lists],
    ]  # as they stand in the file
    if len(checker.problems) > before:
        return None
    spot = Spot(table="drill", label="drill", path=source, meant=v[MEANT])
    _weigh_width(checker, spot, v, _list(table, "box", source, checker))
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
        ),
    )


def _weigh_width(checker: Checker, spot: Spot, v: Mapping[str, Any], boxes: list[Table]) -> None:
    """Say so if the drill is unlikely wide, or a box unlikely large or small for its width."""
    width_m = v["rows"] * v["row_spacing"] - v["pass_overlap"]
    settled = {*spot.meant, *checker.unlikely(spot.label)} & {"rows", "row_spacing"}
    if not settled:
        wide = fact("makes/width", width_m=width_m)
        checker.weigh(spot, "rows", "drill.effective_width", width_m, "length", given=v["rows"], makes=wide)
    if settled or "rows" in checker.unlikely(spot.label) or width_m <= 0:
        return
    for number, table in enumerate(boxes, start=1):
        label = f"drill.box {table.get('name', number)}"
        own = Spot(table="drill.box", label=label, path=spot.path, meant=frozenset(table.get(MEANT, ())))
        per_width = parse_quantity(table["volume"], "volume") / width_m
        checker.weigh(
            own,
            "volume",
            f"drill.box.volume {str(table['kind']).casefold()}",
            per_width,
            None,
            given=table["volume"],
            makes=fact("makes/box-by-width", volume_box_m3_per_m=per_width),
        )


def _list(table: Table, key: str, path: Path, checker: Checker) -> list[Table]:
    given = table.get(key, [])
    if isinstance(given, list) and all(isinstance(one, dict) for one in given):
        return given
    checker.problem(
        "not-a-table/list", key=f"drill.{key}", head=f"[[drill.{key}]]", each=key, file=str(path)
    )
    return []


def _boxes(given: list[Table], path: Path, checker: Checker) -> tuple[SeedBox, ...]:
    boxes = []
    for number, table in enumerate(given, start=1):
        label = f"drill.box {table.get('name', number)}"
        before = len(checker.problems)
        values = checker.values("drill.box", table, path, label)
        if len(checker.problems) > before:
            continue
        if "usable" not in values:
            values["usable"], text, source = tables.needed_default(
                "drill.box", f"usable {values['kind']}", quantity("share")
            )
            checker.default_used("drill.box.usable", text, source, "of-kind", kind=values["kind"])
        min_given = "residual" in with_names_now("drill.box", table)
        if "sweep" not in values:
            key = f"sweep residual {'given' if min_given else 'assumed'}"
            values["sweep"], text, source = tables.needed_default("drill.box", key, flag)
            checker.default_used(
                "drill.box.sweep", text, source, "least-given" if min_given else "least-not-given"
            )
        box = made(
            checker,
            {"file": str(path), "about": f"[{label}]"},
            partial(
                SeedBox,
                name=values["name"],
                kind=values["kind"],
                volume_m3=values["volume"],
                usable_frac=values["usable"],
                min_frac=values["residual"],
                swept=values["sweep"],
                min_assumed=not min_given,
                metering_m3_per_m2=values.get("metering"),
                drive=values.get("drive", ""),
                lands=values.get("lands", ""),
            ),
        )
        if box:
            boxes.append(box)
    return tuple(boxes)


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
                gear_range=v.get("range", ""),
                setting=v["setting"],
                bulk_kg_per_m2=v["rate"],
            ),
        )
        if point:
            points.append(point)
    return tuple(points)


def tractor_of(given: list[Placed], path: Path, checker: Checker) -> Tractor:
    """What the job file says of the tractor."""
    found = one_of(given, "tractor", path, checker)
    if found is None:
        return Tractor()
    before = len(checker.problems)
    v = checker.values("tractor", found[0], found[1], "tractor")
    if len(checker.problems) > before:
        return Tractor()
    tractor = made(
        checker,
        {"file": str(found[1]), "about": "[tractor]"},
        lambda: Tractor(
            pto_power_w=v.get("pto_power"),
            remotes=v.get("remotes"),
            front_reach_m=v.get("front_reach"),
            hitch=v.get("hitch"),
            drive=v.get("drive", ""),
        ),
    )
    return tractor or Tractor()
