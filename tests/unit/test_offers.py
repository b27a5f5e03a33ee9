"""Every change that a refusal offers, made as it is said and planned again: the request is served."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import cast

import geopandas
import pytest
from conftest import SAMPLES

pytest.importorskip("ortools")

from fieldplan.facts import Fact
from fieldplan.model.notes import Note
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.request import Request
from fieldplan.model.season import Season
from fieldplan.season.plan import plan_season
from fieldplan.season.program import load_program
from fieldplan.units import ACRE_M2

LENDING = load_program(SAMPLES / "season.toml")


def _request(
    name: str,
    first: int,
    last: int,
    acres: float | None = None,
    fields: Path | None = None,
    mix: str = "oats and alfalfa",
) -> Request:
    return Request(
        row=2,
        request_id=name,
        renter=name,
        ready=date(2027, 5, first),
        until=date(2027, 5, last),
        asked=None,
        fields=fields,
        ground_m2=None if acres is None else acres * ACRE_M2,
        place_lonlat=(-95.75, 44.25),
        mix=mix,
        pto_power_w=60_000.0,
        facts={"county": "", "practice": "", "asked": name},
    )


def _offers(season: Season, name: str) -> dict[str, Note]:
    (refusal,) = [refusal for refusal in season.refusals if refusal.request.request_id == name]
    return {change.code: change for change in refusal.changes}


def _served(requests: list[Request], changed: Request, program: RentalProgram = LENDING) -> bool:
    again = [changed if request.request_id == changed.request_id else request for request in requests]
    return changed.request_id in {
        placement.request.request_id for placement in plan_season(program, again).placements
    }


@pytest.mark.parametrize("acres", [23.0, 37.3, 61.9, 88.0, 140.0, 233.3])
def test_fewer_acres_and_later_days_hold_as_they_are_said(acres: float) -> None:
    """A window of a few days that another has the first of: the acres as the list would have them, and the
    later day, are served.
    """
    requests = [_request("a", 10, 12, 8.0), _request("b", 10, 16, acres)]
    season = plan_season(LENDING, requests)
    offers = _offers(season, "b")
    ground_ac = offers["offer-less-ground"].values["ground_m2"] / ACRE_M2
    assert round(ground_ac, 1) == pytest.approx(ground_ac, abs=1e-9)
    assert 5 < ground_ac < acres
    assert _served(requests, replace(requests[1], ground_m2=round(ground_ac, 1) * ACRE_M2))
    if "offer-later" in offers:
        day = offers["offer-later"].values["done_typed_day"]
        assert isinstance(day, date)
        assert _served(requests, replace(requests[1], until=day))
        assert not _served(requests, replace(requests[1], until=day.replace(day=day.day - 1)))


def test_of_several_fields_whole_ones_are_left_out(tmp_path: Path) -> None:
    """The sample farm is too long for its window: without the fields named, in a file of the others, it is
    served.
    """
    request = _request("a", 10, 24, fields=SAMPLES / "farm.geojson")
    offer = _offers(plan_season(LENDING, [request]), "a")["offer-less-ground"]
    how = offer.values["how"]
    assert isinstance(how, Fact)
    gone = cast(tuple[str, ...], how.values["gone"])
    farm = geopandas.read_file(SAMPLES / "farm.geojson")
    kept = farm[~farm["field_id"].isin(gone)]
    assert 0 < len(kept) < len(farm)
    kept.to_file(tmp_path / "kept.geojson", driver="GeoJSON")
    assert _served([request], replace(request, fields=tmp_path / "kept.geojson"))


def test_of_one_field_a_smaller_outline_is_planned(tmp_path: Path) -> None:
    """The quarter section of the sample farm alone: the same shape, made as small as it is said, is
    served.
    """
    farm = geopandas.read_file(SAMPLES / "farm.geojson")
    quarter = farm[farm["field_id"] == "quarter"]
    quarter.to_file(tmp_path / "whole.geojson", driver="GeoJSON")
    request = _request("a", 10, 19, fields=tmp_path / "whole.geojson")
    offer = _offers(plan_season(LENDING, [request]), "a")["offer-less-ground"]
    assert offer.text.startswith("with a smaller outline, ")
    less, left = offer.values["less_m2"], offer.values["ground_m2"]
    factor = (left / (less + left)) ** 0.5
    quarter.set_geometry(quarter.geometry.scale(factor, factor, origin="centroid")).to_file(
        tmp_path / "small.geojson", driver="GeoJSON"
    )
    assert _served([request], replace(request, fields=tmp_path / "small.geojson"))


def test_another_drill_is_offered_only_if_it_could_be_planned() -> None:
    """The prairie drill has free days, but not the mix: no offer. Asked for a box that it has not, it is
    offered, with the days it takes.
    """
    farm = _request("a", 10, 12, 200.0)
    assert "offer-other-drill" not in _offers(plan_season(LENDING, [farm]), "a")
    ten_foot, prairie = LENDING.drills
    boxless = replace(
        prairie,
        job=replace(
            prairie.job,
            drill=replace(
                prairie.job.drill,
                boxes=tuple(box for box in prairie.job.drill.boxes if box.kind != "grain"),
            ),
        ),
    )
    lending = replace(LENDING, drills=(ten_foot, boxless))
    request = replace(_request("a", 10, 21, 8.0, mix="mesic prairie"), boxes=frozenset({"grain", "native"}))
    offer = _offers(plan_season(lending, [request]), "a")["offer-other-drill"]
    assert "it has no grain box" in offer.text
    assert _served([request], replace(request, boxes=frozenset()), lending)
