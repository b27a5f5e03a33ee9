"""Layers of a map beside the plan's own legs, stops and ground."""

from __future__ import annotations

import pytest
from pyproj import Geod

from fieldplan.model.plan import Plan
from fieldplan.report.gis.layers import KINDS, kind_of, layers_of
from fieldplan.report.words.quantities import Quantities

POUND_KG = 0.45359237
_WGS84 = Geod(ellps="WGS84")


def test_fields_have_the_sums_of_their_plan(restoration: Plan) -> None:
    """In SI, in the order they are sown."""
    frame = layers_of(restoration, Quantities())["fields"]
    for row, field in zip(frame.itertuples(), restoration.fields, strict=True):
        legs = field.supply.legs
        sown_m = sum(leg.length_m for leg in legs if leg.kind in ("pass", "headland"))
        lifted_m = sum(leg.length_m for leg in legs if leg.kind in ("turn", "transfer"))
        assert (row.field_id, row.name, row.mix) == (field.field.field_id, field.field.name, field.seed.mix)
        assert (row.mapped_m2, row.plantable_m2, row.drilled_m2) == (
            field.field.mapped_m2,
            field.field.plantable_m2,
            field.coverage.audit.drilled_m2,
        )
        assert (row.passes, row.turns) == (field.coverage.n_passes, sum(leg.kind == "turn" for leg in legs))
        assert (row.sown_m, row.lifted_m) == (pytest.approx(sown_m), pytest.approx(lifted_m))
        assert row.field_s == pytest.approx(sum(part.spent_s for part in field.time.parts))
        assert row.geometry.equals(field.field.ground)


def test_every_leg_of_the_drive_is_in_one_layer(ponds: Plan) -> None:
    """By its number from one: sown ones as headland or passes, driven ones as turns, and stops. A transfer to the
    seed or back is of the kind refill.
    """
    frames = layers_of(ponds, Quantities())
    for field in ponds.fields:
        field_id = field.field.field_id
        own = {
            layer: {row.leg: row for row in frames[layer][frames[layer].field_id == field_id].itertuples()}
            for layer in ("headland", "passes", "turns", "refills")
        }
        layer_of = {
            "headland": "headland",
            "pass": "passes",
            "turn": "turns",
            "transfer": "turns",
            "refill": "refills",
        }
        for number, timed in enumerate(field.time.legs, start=1):
            leg = timed.leg
            if leg.kind not in layer_of:
                continue
            row = own[layer_of[leg.kind]][number]
            if leg.sown:
                assert (row.block, row.sowing, row.number, row.length_m) == (
                    leg.block,
                    leg.sowing,
                    leg.number,
                    leg.length_m,
                )
                assert row.width_m == field.coverage.drill_width_m
            elif leg.kind != "refill":
                beside = {
                    field.time.legs[k].leg.kind
                    for k in (number - 2, number)
                    if 0 <= k < len(field.time.legs)
                }
                kind = "refill" if leg.kind == "transfer" and "refill" in beside else leg.kind
                assert (row.kind, row.length_m) == (kind, leg.length_m)
                assert (row.shape, row.reverse_m) == (leg.shape, leg.reverse_m)
        n_legs = sum(timed.leg.kind in layer_of for timed in field.time.legs)
        assert sum(map(len, own.values())) == n_legs


def test_lines_are_as_long_on_the_ellipsoid_as_they_say(ponds: Plan) -> None:
    """By a geodesic along each; the plane of a field is within a ten-thousandth of it."""
    for layer in ("headland", "passes"):
        for row in layers_of(ponds, Quantities())[layer].itertuples():
            assert _WGS84.geometry_length(row.geometry) == pytest.approx(row.length_m, rel=1e-4, abs=0.01)


def test_turns_are_as_many_as_the_plan_says_and_have_a_vertex_every_meter(ponds: Plan) -> None:
    """Kinds are turn, transfer and refill; steps are measured on the ellipsoid; lengths are those of the lines."""
    frame = layers_of(ponds, Quantities())["turns"]
    assert set(frame.kind) == {"turn", "transfer", "refill"}
    for field in ponds.fields:
        own = frame[frame.field_id == field.field.field_id]
        assert (own.kind == "turn").sum() == field.totals.turns
        assert (own["shape"] == "backing").sum() == field.totals.backing
        assert own.reverse_m.sum() == pytest.approx(field.totals.reverse_m)
    for row in frame.itertuples():
        lon, lat = row.geometry.xy
        steps_m = _WGS84.line_lengths(lon, lat)
        assert max(steps_m) <= 1.0
        assert sum(steps_m) == pytest.approx(row.length_m, rel=1e-3, abs=1e-3)


def test_stops_say_what_to_tip_in(ponds: Plan) -> None:
    """Box by box, in pounds."""
    frame = layers_of(ponds, Quantities("us"))["refills"]
    stops = [(field.field.field_id, refill) for field in ponds.fields for refill in field.supply.refills]
    for row, (field_id, refill) in zip(frame.itertuples(), stops, strict=True):
        assert (row.field_id, row.stop) == (field_id, refill.stop)
        told = {
            part.rsplit(" ", 2)[0]: float(part.rsplit(" ", 2)[1].replace(",", ""))
            for part in row.load.split(", ")
        }
        assert told == {box: pytest.approx(kg / POUND_KG, abs=0.5) for box, kg in refill.load_kg.items()}
        assert row.load.endswith(" lb")


def test_gates_and_missed_ground_stand_where_they_are(restoration: Plan) -> None:
    """A gate a parcel that is drilled; missed pieces as large together as the audit says."""
    frames = layers_of(restoration, Quantities())
    gates = {row.field_id: (row.geometry.x, row.geometry.y) for row in frames["gates"].itertuples()}
    assert gates == {
        field.field.field_id: pytest.approx(field.gate_lonlat)
        for field in restoration.fields
        if field.is_drilled
    }
    for field in restoration.fields:
        missed = frames["missed"][frames["missed"].field_id == field.field.field_id]
        assert missed.missed_m2.sum() == pytest.approx(field.coverage.audit.missed_ground.area, abs=1e-6)
        excluded = frames["excluded"][frames["excluded"].field_id == field.field.field_id]
        assert list(excluded.reason) == [piece.reason for piece in field.field.excluded]
        assert list(excluded.excluded_m2) == [piece.area_m2 for piece in field.field.excluded]


def test_every_layer_is_there_in_degrees_and_of_its_kind(ponds: Plan) -> None:
    """Empty ones too, with their columns."""
    frames = layers_of(ponds, Quantities())
    assert list(frames) == [
        "fields",
        "headland",
        "passes",
        "turns",
        "refills",
        "missed",
        "excluded",
        "drive_line",
        "guides",
        "slope",
        "over_grade",
        "gates",
    ]
    assert all(frame.crs.to_epsg() == 4326 for frame in frames.values())
    assert all(kind_of(layer, frame) == KINDS[layer] for layer, frame in frames.items())
    assert list(frames["excluded"].columns) == [
        "field_id",
        "reason",
        "excluded_m2",
        "cross",
        "set_back_m",
        "geometry",
    ]
