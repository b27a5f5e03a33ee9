"""One parcel planned by itself: a row of a region's result, whatever comes of it."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.acreage import geodesic_area_m2
from fieldplan.boundary.aside import Aside
from fieldplan.boundary.attributes import id_and_name, text_of
from fieldplan.boundary.exclusions import ExclusionFile
from fieldplan.boundary.layer import Feature, Layer
from fieldplan.boundary.load import examine_layers
from fieldplan.boundary.outlines import outlines_of
from fieldplan.boundary.reference import settle
from fieldplan.boundary.repair import ground_within
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import FieldplanError
from fieldplan.field_planner import plan_field
from fieldplan.model.boundary import BoundaryFile, Examination
from fieldplan.model.field import Field
from fieldplan.model.job import Job
from fieldplan.model.plan import FieldPlan
from fieldplan.noted import notes_of_field
from fieldplan.plane.date_line import HALF_TURN_DEG, as_written, together
from fieldplan.plane.frame import frame_near
from fieldplan.region.columns import Row
from fieldplan.region.plain import plain
from fieldplan.seed.choosing import mixes_by_field
from fieldplan.work.job import job_time

FAULT, OUT_OF_MEMORY, LOST, TOO_LONG = "planner-fault", "out-of-memory", "worker-lost", "time-limit"
"""Codes of parcels that stop the planner itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """What all parcels of a region have in common; every worker gets it once.

    Parameters
    ----------
    source, kind
        The file, or its address in a store, and its format.
    layers
        Its layers of outlines, without their features.
    aside
        What lies beside the outlines: lines along edges, and those that passes follow.
    attributes
        Names of the attributes of its parcels, which a parcel may lack.
    terms
        How it is read.
    jobs
        The job of each value of ``job_field``; that of an empty value serves all others.
    job_field
        Attribute that names the job of a parcel; empty if one job serves all.
    exclusions
        Ground that is not to be sown.
    with_passes
        Keep the lines that are driven.
    """

    source: str
    kind: str
    layers: tuple[Layer, ...]
    aside: Aside = field(default_factory=Aside)
    attributes: tuple[str, ...] = ()
    terms: ReadingTerms
    jobs: Mapping[str, Job]
    job_field: str = ""
    exclusions: tuple[ExclusionFile, ...] = ()
    with_passes: bool = False

    @property
    def path(self) -> Path:
        """The file, as messages name it."""
        return Path(self.source)

    def job_of(self, feature: Feature) -> Job:
        """The job that a parcel is planned with."""
        named = text_of(feature.attributes, self.job_field) if self.job_field else None
        return self.jobs.get(named or "", self.jobs[""])


@dataclass(frozen=True, slots=True, kw_only=True)
class Parcel:
    """A row of the file.

    Parameters
    ----------
    row
        Its number in the file, from 0.
    layer
        The number of its layer, from 0.
    repeated
        Whether an earlier row has the same id.
    """

    row: int
    feature: Feature
    layer: int = 0
    repeated: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """The row of a parcel, and rows of what is driven on it."""

    row: Row
    passes: tuple[Row, ...] = ()


def plan_parcel(parcel: Parcel, setup: Setup) -> Planned:
    """The row of one parcel; if it cannot be planned, the code of the reason stands in it."""
    try:
        return _planned(parcel, setup)
    except MemoryError:
        return Planned(row=row_without_plan(parcel, setup, OUT_OF_MEMORY))
    except Exception as fault:  # one parcel must not stop a county
        return Planned(row=row_without_plan(parcel, setup, FAULT, detail=type(fault).__name__))


def _planned(parcel: Parcel, setup: Setup) -> Planned:
    layer, drawn = setup.layers[parcel.layer], list[Polygon]()
    remarks = (*layer.remarks, *parcel.feature.remarks)
    layer = replace(layer, features=(parcel.feature,), remarks=remarks)
    found = examine_layers(
        setup.path,
        setup.kind,
        (layer,),
        setup.terms,
        setup.exclusions,
        aside=setup.aside,
        attributes=setup.attributes,
        n_before=parcel.row,
        first=drawn,
    )
    if found.problems or len(found.fields) != 1:
        return Planned(row=row_without_plan(parcel, setup, _why_not(found), drawn=drawn))
    field = found.fields[0]
    job = setup.job_of(parcel.feature)
    own = {key: terms for key, terms in job.fields.items() if key == field.field_id}
    try:
        job = job if len(own) == len(job.fields) else replace(job, fields=own)
        mixes = mixes_by_field(BoundaryFile(path=found.path, fields=(field,), notes=found.notes), job)
        plan = plan_field(field, mixes[field.field_id], job)
    except FieldplanError as error:
        return Planned(row=row_without_plan(parcel, setup, error.problems[0].code, drawn=drawn))
    notes = [note.code for note in (*found.notes, *notes_of_field(plan, job))]
    if parcel.repeated:
        notes.append("id-twice")
    row = {**_common(parcel, setup, field), **_row(plan, job), "notes": sorted(set(notes))}
    return Planned(row=row, passes=tuple(_passes(parcel.row, plan)) if setup.with_passes else ())


def _why_not(found: Examination) -> str:
    """The code of the first problem or, of a row that holds no outline, of why it was left out."""
    left_out = [reason.code for layer in found.layers[:1] for reason in layer.left_out]
    if left_out and all(problem.code == "no-fields" for problem in found.problems):
        return left_out[0].rpartition("/")[2]
    return found.problems[0].code if found.problems else "no-fields"


def _common(parcel: Parcel, setup: Setup, field: Field | None = None) -> Row:
    """What a row says of its parcel, planned or not."""
    job = setup.job_of(parcel.feature)
    field_id, name = _named(parcel, setup) if field is None else (field.field_id, field.name)
    return {
        "row": parcel.row,
        "field_id": field_id,
        "name": name,
        "code": "",
        "detail": "",
        "job": job.path.name,
        "attributes": json.dumps(
            plain(dict(parcel.feature.attributes)), ensure_ascii=False, sort_keys=True
        ),
    }


def _named(parcel: Parcel, setup: Setup) -> tuple[str, str]:
    """Id and name of a parcel that is no field."""
    attributes, layer = parcel.feature.attributes, setup.layers[parcel.layer]
    return id_and_name(attributes, parcel.row + 1, layer.name, Counter(), setup.terms, [])


def row_without_plan(
    parcel: Parcel, setup: Setup, code: str, detail: str = "", drawn: list[Polygon] | None = None
) -> Row:
    """The row of a parcel that is not planned, with its outline where one can be told.

    Parameters
    ----------
    drawn
        The polygons of its outline in longitude and latitude, if they are known.
    """
    row = {**_common(parcel, setup), "code": code, "detail": detail}
    row["notes"] = ["id-twice"] if parcel.repeated else []
    outline = _outline(parcel, setup, drawn)
    if outline is not None:
        row["geometry"] = as_written(outline).wkb
        row["mapped_m2"] = geodesic_area_m2(outline)
    return row


def _outline(parcel: Parcel, setup: Setup, drawn: list[Polygon] | None) -> Any:
    """The outline in longitude and latitude, mended whatever that does to its area; ``None`` if there is none."""
    geometry: BaseGeometry | None = parcel.feature.geometry
    if geometry is None or geometry.is_empty:
        return None
    try:
        return ground_within(drawn or _drawn(parcel, geometry, setup))
    except Exception:  # it is refused already: without an outline, then
        return None


def _drawn(parcel: Parcel, geometry: BaseGeometry, setup: Setup) -> list[Polygon]:
    """The polygons of the first outline of a parcel, in longitude and latitude."""
    layer = replace(setup.layers[parcel.layer], features=(parcel.feature,))
    placed = settle(layer, setup.terms, "").to_lonlat(geometry, "")
    west, _, east, _ = placed.bounds
    if east - west > HALF_TURN_DEG:
        placed = together(placed, short_edges=True) or placed
    return outlines_of([(parcel.feature, placed)]).found[0][1]


def _row(plan: FieldPlan, job: Job) -> Row:
    """The columns of a plan."""
    totals, coverage, time = plan.totals, plan.coverage, plan.time
    undriven = [note.code for note in coverage.notes if note.case == "undriven"]
    code = "" if plan.is_drilled else (undriven or ["nothing-drilled"])[0]
    lon, lat = plan.gate_lonlat
    efficiency = time.field_efficiency_frac
    return {
        "field_id": plan.field.field_id,
        "code": code,
        "mix": plan.seed.mix,
        "pattern": coverage.pattern,
        "mapped_m2": totals.mapped_m2,
        "excluded_m2": plan.field.excluded_m2,
        "plantable_m2": totals.plantable_m2,
        "drilled_m2": totals.drilled_m2,
        "double_sown_m2": totals.overlap_m2,
        "missed_m2": totals.missed_m2,
        "outside_m2": totals.outside_m2,
        "sowings": len(coverage.sowings),
        "headland_rounds": coverage.headland_rounds,
        "passes": totals.passes,
        "turns": totals.turns,
        "turns_backing": totals.backing,
        "refills": totals.refills,
        "pass_m": totals.pass_m,
        "headland_m": totals.headland_m,
        "turn_m": totals.turn_m,
        "reverse_m": totals.reverse_m,
        "travel_m": totals.transfer_m,
        "for_seed_m": totals.for_seed_m,
        **{f"{part.key}_s": part.spent_s for part in time.parts},
        "field_s": time.field_s,
        "job_s": _job_s(plan, job),
        "handbook_low_s": time.handbook_s[0],
        "handbook_high_s": time.handbook_s[1],
        "field_efficiency_frac": efficiency,
        "headings_deg": list(plan.headings_deg),
        "gate_lon_deg": lon,
        "gate_lat_deg": lat,
        "seed": [
            {
                "species": one.species,
                "lot": one.lot,
                "sown_kg": one.sown_kg,
                "sown_pls_kg": one.sown_pls_kg,
                "need_kg": one.need_kg,
            }
            for one in plan.deliveries
            if not one.carrier
        ],
        "carriers": [
            {"carrier": one.species, "need_kg": one.need_kg} for one in plan.deliveries if one.carrier
        ],
        "geometry": as_written(plan.field.ground).wkb,
    }


def _job_s(plan: FieldPlan, job: Job) -> float:
    """Time of the parcel as a job by itself; none if nothing is drilled, as nobody fetches a drill for it."""
    if not plan.is_drilled:
        return 0.0
    return job_time(plan.time.field_s, [plan.gate_lonlat], job.working, changing_s=plan.changing_s).job_s


def _passes(row: int, plan: FieldPlan) -> Iterator[Row]:
    frame = frame_near(plan.field.ground)
    for number, timed in enumerate(plan.time.legs, start=1):
        leg = timed.leg
        if leg.kind in ("pass", "headland"):
            yield {
                "row": row,
                "field_id": plan.field.field_id,
                "kind": leg.kind,
                "leg": number,
                "number": leg.number,
                "block": leg.block,
                "length_m": leg.length_m,
                "start_s": timed.start_s,
                "geometry": as_written(frame.to_lonlat(leg.line)).wkb,
            }
