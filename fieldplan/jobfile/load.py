"""Read a job file, and the files it names, into a checked `Job`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from os import PathLike
from pathlib import Path
from typing import Any

from fieldplan.errors import JobFileError, Problem
from fieldplan.facts import fact
from fieldplan.files import Purpose, content_of
from fieldplan.jobfile.booking import booking_of
from fieldplan.jobfile.check import Checker, Placed, Table, made, only_table
from fieldplan.jobfile.drill import drill_of, tractor_of
from fieldplan.jobfile.mix import mixes_of
from fieldplan.jobfile.plausible import MEANT, Spot
from fieldplan.jobfile.rate_card import load_rate_card
from fieldplan.jobfile.schema import SCHEMA, TABLES
from fieldplan.jobfile.seed_law import seed_law_of
from fieldplan.jobfile.toml_faults import parsed
from fieldplan.jobfile.values import short
from fieldplan.model.cost import CostTerms
from fieldplan.model.job import FieldTerms, Job, LoadingTerms, WorkingTerms
from fieldplan.model.machine import Drill
from fieldplan.model.notes import Note
from fieldplan.model.relief import GradeLimit
from fieldplan.model.seed import Mix
from fieldplan.model.seed_law import SeedLaw
from fieldplan.model.spelling import SLIP, nearest
from fieldplan.units import GALLON_M3, HEIGHT_UNITS_M, HOUR_S

JOB_FILE = Purpose(
    what=fact("called/job"), code="job", max_bytes=1_000_000, error=JobFileError, hint=fact("try/init")
)


def load_job(path: str | PathLike[str]) -> Job:
    """Return the job that a TOML file describes.

    Parameters
    ----------
    path
        The job file. Files that it names are looked for beside it.

    Returns
    -------
    Job
        Checked, in SI, with a note for every default used and every unlikely value.

    Raises
    ------
    JobFileError
        As `job_of`, and if the file cannot be read.
    """
    path = Path(path)
    return job_of(read_toml(path), path)


def job_of(document: Table, path: Path) -> Job:
    """The job that the tables of a job file describe.

    Parameters
    ----------
    document
        Tables by their names, as TOML gives them.
    path
        Where they stand: files that they name lie beside it, and messages name it.

    Raises
    ------
    JobFileError
        With every problem found, each naming file, table and key, what is wrong and what would be right.
    """
    found = examined(document, path)
    if found.job is None:
        raise JobFileError(found.problems)
    return found.job


@dataclass(frozen=True, slots=True, kw_only=True)
class Examined:
    """All that was found in the tables of a job file, also where they make no job.

    Parameters
    ----------
    job
        The job; ``None`` if there are problems.
    drill, mixes
        The drill, and the mixes that are without problems, whatever is wrong elsewhere.
    problems
        What makes the tables unusable, in the order of the tables.
    notes
        Defaults used, figures taken from tables, and warnings of unlikely values.
    """

    job: Job | None
    drill: Drill | None
    mixes: tuple[Mix, ...]
    problems: tuple[Problem, ...]
    notes: tuple[Note, ...]


def examined(document: Table, path: Path) -> Examined:
    """The job that the tables of a job file describe, or what is wrong with them, and what is to be said of both.

    Parameters
    ----------
    document, path
        As for `job_of`.
    """
    checker = Checker()
    document = {**_misnamed_tables(document, path, checker), **document}  # their values are not missing too
    parts = {key: placed_tables(document, key, path, checker) for key in TABLES}
    unknown, ends = len(checker.problems), {}
    drill, ends["drill"] = drill_of(parts["drill"], path, checker), len(checker.problems)
    mixes, ends["mix"] = mixes_of(parts["mix"], path, drill, checker), len(checker.problems)
    tractor, ends["tractor"] = tractor_of(parts["tractor"], path, checker), len(checker.problems)
    working, ends["working"] = _working(parts["working"], path, checker), len(checker.problems)
    loading, ends["loading"] = _loading(parts["loading"], path, checker), len(checker.problems)
    booking = booking_of(parts["booking"], parts["weather"], path, checker)
    ends["booking"] = ends["weather"] = len(checker.problems)
    fields, ends["field"] = _fields(parts["field"], path, checker), len(checker.problems)
    booked_in = booking.state if booking else ""
    law, ends["seed_law"] = (
        seed_law_of(parts["seed_law"], booked_in, path, checker),
        len(checker.problems),
    )
    cost, ends["cost"] = _cost(parts["cost"], path, checker), len(checker.problems)
    _in_order_of_the_file(checker.problems, unknown, ends, list(document))
    job = None
    if not checker.problems and drill and working and booking and loading:
        job = made(
            checker,
            {"file": str(path)},
            lambda: Job(
                path=path,
                drill=drill,
                mixes=mixes,
                tractor=tractor,
                cost=cost or CostTerms(),
                seed_law=law or SeedLaw(),
                working=working,
                loading=loading,
                booking=booking,
                fields=fields,
                notes=tuple(_that_count(checker.notes, mixes, loads=bool(parts["loading"]))),
            ),
        )
    return Examined(
        job=None if checker.problems else job,
        drill=drill,
        mixes=mixes,
        problems=tuple(checker.problems),
        notes=tuple(checker.notes),
    )


_OF_CHANGES = ("drill.box.cleaning", "drill.box.resetting", "working.field_order")
"""Keys that count where boxes change from one mix to another."""


def _that_count(notes: Iterable[Note], mixes: Sequence[Mix], *, loads: bool) -> Iterator[Note]:
    """The notes without those on defaults that a job of one mix, or without a truck, has no use for."""
    for note in notes:
        key = str(note.values["key"]) if note.code == "default-used" else ""
        idle = (len(mixes) < 2 and key in _OF_CHANGES) or (not loads and key.startswith("loading."))
        if not idle:
            yield note


def _misnamed_tables(document: Table, path: Path, checker: Checker) -> dict[str, Any]:
    """Record unknown tables; return them by the names they were probably meant to have."""
    misnamed = {}
    for key in document:
        if key in TABLES:
            continue
        absent = [table for table in TABLES if table not in document]
        known = TABLES if nearest(key, TABLES, SLIP) else absent
        meant = checker.unknown(key, known, "file", file=str(path))
        if meant is not None:
            misnamed[meant] = document[key]
    return misnamed


def _in_order_of_the_file(
    problems: list[Problem], first: int, ends: dict[str, int], tables: list[str]
) -> None:
    """Sort problems into the order of the tables in the file; tables that are not in it come last.

    ``ends`` holds, for each table in the order of checking, how many problems there were after it.
    """
    starts = dict(zip(ends, (first, *ends.values()), strict=False))
    order = sorted(ends, key=lambda key: tables.index(key) if key in tables else len(tables))
    problems[first:] = [problem for key in order for problem in problems[starts[key] : ends[key]]]


def read_toml(path: Path, purpose: Purpose = JOB_FILE) -> dict[str, Any]:
    """Return the document of a TOML file.

    Parameters
    ----------
    path
        The file.
    purpose
        What it is read for, to be named if it cannot be read.

    Raises
    ------
    JobFileError
        If there is no such file, or it is not TOML.
    """
    return parsed(content_of(path, purpose), path, purpose)


def placed_tables(document: Table, key: str, path: Path, checker: Checker) -> list[Placed]:
    """Return the tables under a key; a table with ``use`` is replaced by those of the file it names."""
    given = document.get(key, [])
    tables_here = given if isinstance(given, list) else [given]
    placed: list[Placed] = []
    for table in tables_here:
        if not isinstance(table, dict):
            checker.problem("not-a-table", key=key, file=str(path))
        elif "use" in table:
            placed += _used(table, key, path, checker)
        else:
            placed.append((table, path))
    return placed


def _used(table: Table, key: str, path: Path, checker: Checker) -> list[Placed]:
    named = table["use"]
    if not isinstance(named, str) or not named.strip() or "\0" in named:
        checker.problem("use-no-file", given=short(named), key="use", about=f"[{key}]", file=str(path))
        return []
    other = path.parent / named
    purpose = replace(JOB_FILE, what=fact("called/used", table=key, user=str(path)), hint=fact("try/use"))
    try:
        there = read_toml(other, purpose).get(key)
    except JobFileError as error:
        checker.problems += error.problems
        return []
    rows = there if isinstance(there, list) else [there]
    if not all(isinstance(row, dict) for row in rows):
        checker.problem("use-no-table", file=str(other), table=key, user=str(path), named=named)
        return []
    beside = {k: v for k, v in table.items() if k != "use"}
    return [(row | beside, other) for row in rows if isinstance(row, dict)]


def _working(given: list[Placed], path: Path, checker: Checker) -> WorkingTerms | None:
    table, source = only_table(given, "working", path, checker) or ({}, path)
    before = len(checker.problems)
    v = checker.values("working", table, source, "working")
    if len(checker.problems) > before:
        return None
    return made(
        checker,
        {"file": str(source), "about": "[working]"},
        lambda: WorkingTerms(
            field_speed_m_per_s=v["field_speed"],
            turn_speed_m_per_s=v["turn_speed"],
            turn_extra_s=v["turn_extra"],
            backing_speed_m_per_s=v["backing_speed"],
            direction_change_s=v["direction_change"],
            backing_saves_s=v["backing_saves"],
            smallest_obstacle_m2=v["smallest_obstacle"],
            lift_over_m=v["lift_over"],
            refill_time_s=v["refill_time"],
            tube_check_s=v["tube_check"],
            pick_up_s=v["pick_up"],
            set_up_s=v["set_up"],
            calibration_s=v["calibration"],
            clean_out_s=v["clean_out"],
            towing_speed_m_per_s=v["towing_speed"],
            road_factor=v["road_factor"],
            headland_rounds=v["headland_rounds"],
            headland_first=v["headland"] == "first",
            heading_deg=v["heading"],
            max_blocks=v["blocks"],
            pattern=v["pattern"],
            search=v["search"],
            hill_speed_m_per_s=v.get("hill_speed"),
            hill_slope_frac=v["hill_slope"],
            grade_limit=GradeLimit(
                most_frac=v["row_grade"],
                of_slope_frac=v["row_grade_of_slope"],
                outlet_frac=v["outlet_grade"],
                outlet_m=v["outlet_within"],
                least_slope_frac=v["contour_from"],
            ),
            elevation=source.parent / v["elevation"] if "elevation" in v else None,
            elevation_unit_m=HEIGHT_UNITS_M[v["elevation_unit"]] if "elevation_unit" in v else None,
            plain_order=v["order"] == "plain",
            sowings=v["sowings"],
            seed_follows=v["seed_at"] == "follows",
            break_s=v["break"],
            break_every_s=v["break_every"],
            edge=v["edge"],
            keeps_order=v["field_order"] == "as given",
        ),
    )


def _loading(given: list[Placed], path: Path, checker: Checker) -> LoadingTerms | None:
    table, source = only_table(given, "loading", path, checker) or ({}, path)
    before = len(checker.problems)
    v = checker.values("loading", table, source, "loading")
    if len(checker.problems) > before:
        return None
    return made(
        checker,
        {"file": str(source), "about": "[loading]"},
        lambda: LoadingTerms(
            payload_kg=v.get("payload"),
            people_kg=v["people"],
            gear_kg=v["gear"],
            tongue_kg=v["tongue"],
            empty_bag_kg=v["empty_bag"],
            bale_kg=v["bale"],
            scale_kg=v["scale"],
        ),
    )


def _cost(given: list[Placed], path: Path, checker: Checker) -> CostTerms | None:
    """Return the prices that are given; all must be in one currency."""
    table, source = only_table(given, "cost", path, checker) or ({}, path)
    v = checker.values("cost", table, source, "cost")
    card = None
    if "rate_card" in v:
        try:
            card = load_rate_card(source.parent / v["rate_card"])
        except JobFileError as error:
            checker.problems += error.problems
    fuel, fuel_currency = v.get("fuel_price", (None, ""))
    wage, wage_currency = v.get("wage", (None, ""))
    spot = Spot(table="cost", label="cost", path=source, meant=v[MEANT])
    for key, unit_si in (("fuel_price", GALLON_M3), ("wage", HOUR_S)):
        if key in v and v[key][1] == "$":
            checker.judge(spot, key, f"cost.{key}", v[key][0] * unit_si, None, given=table[key])
    currencies = {fuel_currency, wage_currency, card.currency if card else ""} - {""}
    if len(currencies) > 1:
        checker.problem("currencies", currencies=tuple(sorted(currencies)), **spot.where)
    return made(
        checker,
        spot.where,
        lambda: CostTerms(
            rate_card=card,
            conditions=v.get("when", {}),
            miles=v.get("miles"),
            fuel_price_per_m3=fuel,
            wage_per_s=wage,
            currency=next(iter(currencies), ""),
        ),
    )


def _fields(given: list[Placed], path: Path, checker: Checker) -> dict[str, FieldTerms]:
    fields = {}
    for field_id, table in (item for tables, _ in given for item in tables.items()):
        label = f"field.{field_id}"
        if not isinstance(table, dict):
            checker.problem(
                "not-a-table/field" if field_id in SCHEMA["field"] else "not-a-table",
                key=label,
                file=str(path),
            )
            continue
        v = checker.values("field", table, path, label)
        exclusions = path.parent / v["exclusions"] if "exclusions" in v else None
        terms = made(
            checker,
            {"file": str(path), "about": f"[{label}]"},
            partial(
                FieldTerms,
                gate=v.get("gate"),
                mix=v.get("mix"),
                exclusions=exclusions,
                slope_frac=v.get("slope"),
                seed_at=v.get("seed_at"),
                move_s=v.get("move"),
                gate_width_m=v.get("gate_width"),
                edge=v.get("edge"),
                open_sides=v.get("open_sides", ()),
                neighbor=v.get("neighbor", ""),
                pattern=v.get("pattern"),
            ),
        )
        if terms:
            fields[field_id] = terms
    return fields
