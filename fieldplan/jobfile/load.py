"""A job file, and the files it names, → a checked `Job`."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from fieldplan.errors import InputError, JobFileError, Problem
from fieldplan.jobfile.check import Checker
from fieldplan.jobfile.schema import TABLES
from fieldplan.model.job import BookingTerms, FieldTerms, Job, WorkingTerms
from fieldplan.model.machine import Drill, SeedBox
from fieldplan.model.notes import Note
from fieldplan.model.seed import Component, Mix
from fieldplan.tables import read as tables
from fieldplan.units import ACRE_M2, POUND_KG

Made = TypeVar("Made")
Table = Mapping[str, Any]
Placed = tuple[Table, Path]
"""A table and the file it stands in."""


def load_job(path: Path) -> Job:
    """The job that a TOML file describes.

    Raises
    ------
    JobFileError
        With every problem found, each naming file, table and key, what is wrong and what would be right.
    """
    document = _read(path)
    checker = Checker()
    for key in document:
        if key not in TABLES:
            checker.unknown(key, TABLES, f"{path}:")
    parts = {key: _placed(document, key, path, checker) for key in TABLES}
    drill = _drill(parts["drill"], path, checker)
    mixes = _mixes(parts["mix"], path, drill, checker)
    working = _working(parts["working"], path, checker)
    booking = _booking(parts["booking"], path, checker)
    fields = _fields(parts["field"], path, checker)
    for name in ("tractor", "cost"):
        for table, source in parts[name]:
            checker.values(name, table, source, name)
    job = None
    if not checker.problems and drill and working and booking:
        job = _made(checker, f"{path}:", lambda: Job(
            path=path, drill=drill, mixes=mixes, working=working, booking=booking, fields=fields,
            notes=tuple(checker.notes),
        ))  # fmt: skip
    if checker.problems or job is None:
        raise JobFileError(tuple(checker.problems))
    return job


def _read(path: Path) -> dict[str, Any]:
    try:
        with path.open("rb") as stream:
            return tomllib.load(stream)
    except FileNotFoundError:
        raise JobFileError.of(
            "job-not-found",
            f"{path}: there is no such job file.",
            "fieldplan init DIR writes one to start from",
        ) from None
    except OSError as problem:
        raise JobFileError.of("job-unreadable", f"{path}: cannot be opened ({problem.strerror}).") from None
    except UnicodeDecodeError:
        raise JobFileError.of("job-not-text", f"{path}: is no text file in UTF-8.", "save it as UTF-8 text") from None
    except tomllib.TOMLDecodeError as problem:
        raise JobFileError.of("job-not-toml", f"{path}: {problem}.", 'quantities go in quotes: field_speed = "4.5 mph"') from None


def _placed(document: Table, key: str, path: Path, checker: Checker) -> list[Placed]:
    """The tables under a key, with those of files named by ``use`` put in their place."""
    given = document.get(key, [])
    tables_here = given if isinstance(given, list) else [given]
    placed: list[Placed] = []
    for table in tables_here:
        if not isinstance(table, dict):
            checker.problems.append(Problem(code="not-a-table", text=f"{path}: {key} is no table.", hint=f"write [{key}]"))
        elif "use" in table:
            placed += _used(table, key, path, checker)
        else:
            placed.append((table, path))
    return placed


def _used(table: Table, key: str, path: Path, checker: Checker) -> list[Placed]:
    named = table["use"]
    if not isinstance(named, str):
        checker.problems.append(Problem(code="use-no-file", text=f"{path}: [{key}] use is {named!r}.", hint='use = "other.toml"'))
        return []
    other = path.parent / named
    try:
        there = _read(other).get(key)
    except JobFileError as error:
        checker.problems += error.problems
        return []
    if there is None:
        checker.problems.append(Problem(
            code="use-no-table", text=f"{other}: has no [{key}], which [{key}] use of {path} asks for.",
            hint=f"add [{key}] to {named}"))  # fmt: skip
        return []
    beside = {k: v for k, v in table.items() if k != "use"}
    return [(dict(one) | beside, other) for one in (there if isinstance(there, list) else [there])]


def _one(tables_given: list[Placed], name: str, path: Path, checker: Checker) -> Placed | None:
    if len(tables_given) > 1:
        checker.problems.append(Problem(code="table-twice", text=f"{path}: [{name}] stands more than once.", hint="keep one"))
    return tables_given[0] if tables_given else None


def _made(checker: Checker, where: str, make: Callable[[], Made]) -> Made | None:
    """A model value, or ``None`` with its range problems recorded."""
    try:
        return make()
    except InputError as error:
        checker.problem_of(error, where)
        return None


def _drill(given: list[Placed], path: Path, checker: Checker) -> Drill | None:
    found = _one(given, "drill", path, checker)
    if found is None:
        checker.problems.append(Problem(code="table-missing", text=f"{path}: has no [drill].",
                                        hint="fieldplan init DIR writes a job file to start from"))  # fmt: skip
        return None
    table, source = found
    before = len(checker.problems)
    boxes = _boxes(table.get("box", []), source, checker)
    values = checker.values("drill", {k: v for k, v in table.items() if k != "box"}, source, "drill")
    if len(checker.problems) > before:
        return None
    return _made(checker, f"{source}: [drill]", lambda: Drill(
        name=values["name"], rows=values["rows"], row_spacing_m=values["row_spacing"],
        turning_radius_m=values["turning_radius"], pass_overlap_m=values["pass_overlap"],
        follows_bend_deg=values["follows_bend"], reverse_turns=values["reverse_turns"], boxes=boxes,
    ))  # fmt: skip


def _boxes(given: object, path: Path, checker: Checker) -> tuple[SeedBox, ...]:
    if not isinstance(given, list) or not all(isinstance(box, dict) for box in given):
        checker.problems.append(Problem(code="not-a-table", text=f"{path}: drill.box is no list of tables.",
                                        hint="write [[drill.box]] above each box"))  # fmt: skip
        return ()
    boxes = []
    for number, table in enumerate(given, start=1):
        label = f"drill.box {table.get('name', number)}"
        before = len(checker.problems)
        values = checker.values("drill.box", table, path, label)
        if len(checker.problems) > before:
            continue
        if "usable" not in values:
            text, source = tables.default("drill.box", f"usable {values['kind']}") or ("90 %", "assumed")
            values["usable"] = float(text.split()[0]) / 100
            checker.default_used(f"drill.box.usable of a {values['kind']} box", text, source)
        box = _made(checker, f"{path}: [{label}]", partial(SeedBox,
            name=values["name"], kind=values["kind"], volume_m3=values["volume"], usable_frac=values["usable"], least_frac=values["least"],
            metering_m3_per_m2=values.get("metering"), drive=values.get("drive", ""), lands=values.get("lands", ""),
        ))  # fmt: skip
        if box:
            boxes.append(box)
    return tuple(boxes)


def _mixes(given: list[Placed], path: Path, drill: Drill | None, checker: Checker) -> tuple[Mix, ...]:
    if not given:
        checker.problems.append(Problem(code="table-missing", text=f"{path}: has no [[mix]].",
                                        hint="add what is to be sown; fieldplan init DIR shows how"))  # fmt: skip
    mixes = []
    for number, (table, source) in enumerate(given, start=1):
        name = table.get("name", number)
        label = f"mix {name}"
        before = len(checker.problems)
        values = checker.values("mix", {k: v for k, v in table.items() if k != "component"}, source, label)
        rows = table.get("component", [])
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            checker.problems.append(Problem(code="not-a-table", text=f"{source}: [{label}] component is no list of tables.",
                                            hint="write [[mix.component]] above each component"))  # fmt: skip
            continue
        components = [_component(row, source, f"{label}, component {row.get('species', i)}", drill, checker)
                      for i, row in enumerate(rows, start=1)]  # fmt: skip
        if len(checker.problems) > before:
            continue
        mix = _made(checker, f"{source}: [{label}]", partial(Mix,
            name=values["name"], overage_frac=values["overage"], components=tuple(one for one in components if one),
        ))  # fmt: skip
        if mix:
            mixes.append(mix)
    return tuple(mixes)


def _component(table: Table, path: Path, label: str, drill: Drill | None, checker: Checker) -> Component | None:
    before = len(checker.problems)
    v = checker.values("mix.component", table, path, label)
    where = f"{path}: [{label}]"
    if drill and "box" in v and drill.box(v["box"]) is None:
        names = ", ".join(f'"{box.name}"' for box in drill.boxes) or "none"
        checker.problems.append(Problem(code="box-unknown", text=f'{where} box is "{v["box"]}", which the drill does not have.',
                                        hint=f"boxes of the drill: {names}"))  # fmt: skip
    if len(checker.problems) > before:
        return None
    seeds_per_lb = v.get("seeds_per_pound")
    full_stand_lb_per_ac = None
    if v["rate"].basis == "live seeds" and seeds_per_lb is None:
        seeds_per_lb = _from_species(v["species"], "seeds per pound", where, "seeds_per_pound = 144000", checker)
    if v["rate"].basis == "stand":
        full_stand_lb_per_ac = _from_species(v["species"], "full stand", where, 'rate = "2 lb/ac PLS" instead', checker)
    if len(checker.problems) > before:
        return None
    return _made(checker, where, lambda: Component(
        species=v["species"], box=v["box"], rate=v["rate"], purity_frac=v["purity"], germination_frac=v["germination"],
        hard_frac=v["hard"], dormant_frac=v["dormant"], bulk_kg_per_m3=v["bulk_weight"], bag_kg=v["bag"],
        lot=v.get("lot", ""), seeds_per_kg=None if seeds_per_lb is None else seeds_per_lb / POUND_KG,
        full_stand_kg_per_m2=None if full_stand_lb_per_ac is None else full_stand_lb_per_ac * POUND_KG / ACRE_M2,
    ))  # fmt: skip


def _from_species(species: str, quantity: str, where: str, example: str, checker: Checker) -> float | None:
    """Middle of a species figure's published range, with a note; a problem if there is none."""
    found = tables.species_range(species, quantity)
    if found is None:
        checker.problems.append(Problem(code="species-unknown", text=f'{where} needs {quantity} of "{species}", which the table lacks.',
                                        hint=f"give it: {example}"))  # fmt: skip
        return None
    low, high, source = found
    value = (low + high) / 2
    shown = f"{value:,.6g}" if low == high else f"{value:,.6g} (published: {low:g} to {high:g})"
    checker.notes.append(
        Note(
            code="table-value",
            text=f"{species}: {quantity} {shown} (source: {source}); the tag or a count beats it.",
        )
    )
    return value


def _working(given: list[Placed], path: Path, checker: Checker) -> WorkingTerms | None:
    table, source = _one(given, "working", path, checker) or ({}, path)
    before = len(checker.problems)
    v = checker.values("working", table, source, "working")
    if len(checker.problems) > before:
        return None
    return _made(checker, f"{source}: [working]", lambda: WorkingTerms(
        field_speed_m_per_s=v["field_speed"], turn_speed_m_per_s=v["turn_speed"], turn_extra_s=v["turn_extra"],
        smallest_obstacle_m2=v["smallest_obstacle"], lift_over_m=v["lift_over"], refill_time_s=v["refill_time"],
        tube_check_s=v["tube_check"], pick_up_s=v["pick_up"], set_up_s=v["set_up"], calibration_s=v["calibration"],
        clean_out_s=v["clean_out"], towing_speed_m_per_s=v["towing_speed"], road_factor=v["road_factor"],
        headland_rounds=v["headland_rounds"], headland_first=v["headland"] == "first", heading_deg=v["heading"],
        most_blocks=v["blocks"], plain_order=v["order"] == "plain",
        sowings=v["sowings"],
    ))  # fmt: skip


def _booking(given: list[Placed], path: Path, checker: Checker) -> BookingTerms | None:
    table, source = _one(given, "booking", path, checker) or ({}, path)
    before = len(checker.problems)
    v = checker.values("booking", table, source, "booking")
    if len(checker.problems) > before:
        return None
    return _made(
        checker,
        f"{source}: [booking]",
        lambda: BookingTerms(day_s=v["hours_per_day"], fit_day_prob=v["fit_day_chance"], confidence_prob=v["confidence"]),
    )


def _fields(given: list[Placed], path: Path, checker: Checker) -> dict[str, FieldTerms]:
    fields = {}
    for field_id, table in (item for one, _ in given for item in one.items()):
        label = f"field.{field_id}"
        if not isinstance(table, dict):
            checker.problems.append(Problem(code="not-a-table", text=f"{path}: {label} is no table.", hint=f"write [{label}]"))
            continue
        v = checker.values("field", table, path, label)
        exclusions = path.parent / v["exclusions"] if "exclusions" in v else None
        fields[field_id] = FieldTerms(gate=v.get("gate"), mix=v.get("mix"), exclusions=exclusions)
    return fields
