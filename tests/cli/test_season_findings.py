"""A request that a drill cannot do, or can do in part, says so; the rest of the season is planned."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import geopandas
import pytest
from conftest import SAMPLES
from shapely import box

from fieldplan.model.booked import BookingDuration
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.request import Request
from fieldplan.plane.frame import Frame
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence
from fieldplan.season.durations import boundary_of, durations_of
from fieldplan.season.plan import plan_season
from fieldplan.season.program import load_program
from fieldplan.season.requests import read_requests
from fieldplan.units import HORSEPOWER_W


@pytest.fixture
def program() -> RentalProgram:
    """The sample season."""
    return load_program(SAMPLES / "season.toml")


@pytest.fixture
def request_of_two(program: RentalProgram, tmp_path: Path) -> Request:
    """A request with a boundary of a field and of a lane 2 m wide."""
    frame = Frame(-95.75, 44.25)
    geometry = [frame.to_lonlat(one) for one in (box(0, 0, 200, 200), box(300, 0, 302, 200))]
    geopandas.GeoDataFrame({"id": ["field", "lane"]}, geometry=geometry, crs="EPSG:4326").to_file(
        tmp_path / "f.geojson", driver="GeoJSON"
    )
    first = next(
        read_request
        for read_request in read_requests(program.requests_path)
        if read_request.mix == "oats and alfalfa"
    )
    return replace(first, fields=tmp_path / "f.geojson", ground_m2=None)


def _with_job(program: RentalProgram, **changes: object) -> RentalProgram:
    """The season with its drills' own requirement, or their booking terms, changed."""
    drills = tuple(
        replace(
            drill,
            job=replace(
                drill.job,
                **{key: replace(getattr(drill.job, key), **value) for key, value in changes.items()},
            ),
        )  # type: ignore[arg-type,call-overload]
        for drill in program.drills
    )
    return replace(program, drills=drills)


def _length(request: Request, program: RentalProgram) -> BookingDuration:
    return durations_of(
        request, boundary_of(request), program, {drill.name: 0.0 for drill in program.drills}
    )["ten foot"]


def test_the_drill_s_own_need_of_power_decides(request_of_two: Request, program: RentalProgram) -> None:
    """65 hp is enough for ten feet by what is published (60 to 90 hp), and not for a drill whose owner asks
    for 75.
    """
    request = replace(request_of_two, pto_power_w=65 * HORSEPOWER_W)
    assert _length(request, program).cannot is None
    refused = _length(request, _with_job(program, drill={"min_pto_power_w": 75 * HORSEPOWER_W}))
    for system, shown in (
        ("us", "PTO power 65.0 hp is less than the 75.0 hp"),
        ("metric", "PTO power 48.5 kW is less than the 55.9 kW"),
    ):
        assert refused.cannot is not None
        assert (
            sentence(refused.cannot, Quantities(system))
            == f"the tractor is too small: {shown} that the drill needs"
        )


def test_a_narrow_field_of_a_request_is_named_and_the_rest_is_booked(
    request_of_two: Request, program: RentalProgram
) -> None:
    """The days are for the other field, its ground alone counts, and a warning stands before the
    bookings.
    """
    duration = _length(request_of_two, program)
    assert (duration.undrilled, duration.cannot) == (("lane",), None)
    assert duration.ground_m2 == pytest.approx(200 * 200, rel=1e-3)
    season = plan_season(program, [request_of_two])
    assert next((note.code, note.field_id, note.warning) for note in season.notes) == (
        "request-in-part",
        request_of_two.request_id,
        True,
    )


def test_a_booking_that_cannot_be_had_is_a_refusal_with_its_reason(
    request_of_two: Request, program: RentalProgram
) -> None:
    """With one day in a hundred fit no 366 days hold the job: the drill cannot do it, and the reason is the
    booking's.
    """
    duration = _length(
        request_of_two, _with_job(program, booking={"fieldwork_day_prob": 0.01, "day_s": 600.0})
    )
    assert str(duration.cannot).startswith("No booking of up to 366 days reaches")
    assert duration.days == 0
