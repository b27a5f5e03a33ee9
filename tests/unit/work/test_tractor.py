"""Tractor against drill: the verdict beside each limit, and the sources that are named."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fieldplan.model.cost import OWN_NEED, TractorCheck
from fieldplan.model.machine import Drill, Tractor
from fieldplan.units import FOOT_M, HORSEPOWER_W, INCH_M, MPH_M_PER_S, POUND_KG
from fieldplan.work.tractor import power_check, tractor_checks

DRILL = Drill(
    name="ten-foot",
    rows=16,
    row_spacing_m=7.5 * INCH_M,
    turning_radius_m=6.0,
    follows_bend_deg=30.0,
    notch_depth_m=INCH_M / 4,
)


def _power(hp: float | None, drill: Drill = DRILL) -> TractorCheck:
    return power_check(drill, Tractor(pto_power_w=None if hp is None else hp * HORSEPOWER_W))


def _check(
    about: str,
    drill: Drill = DRILL,
    *,
    mph: float = 15,
    slope: float = 0.1,
    gate_ft: float = 16,
    remotes: int | None = 1,
) -> TractorCheck:
    checks = tractor_checks(
        drill, Tractor(remotes=remotes), mph * MPH_M_PER_S, [("a", slope)], [("a", gate_ft * FOOT_M)]
    )
    return next(check for check in checks if check.about == about)


@pytest.mark.parametrize(
    ("hp", "verdict"), [(60, "pass"), (59.9, "warn"), (35, "warn"), (34.9, "fail"), (None, "ask")]
)
def test_power_by_the_foot_of_drill(hp: float | None, verdict: str) -> None:
    """Ten feet: 6 to 9 hp a foot of rental pages and budgets = 60 to 90; 2 to 3.5 taken up (Missouri G1208)
    = 20 to 35.
    """
    check = _power(hp)
    assert check.verdict == verdict
    assert {
        name: round(check.text.values[f"{name}_w"] / HORSEPOWER_W, 6)
        for name in ("least", "most", "takes_least", "takes_most")
    } == {
        "least": 60,
        "most": 90,
        "takes_least": 20,
        "takes_most": 35,
    }  # type: ignore[operator]


@pytest.mark.parametrize(("hp", "verdict"), [(100, "pass"), (99.9, "fail"), (None, "ask")])
def test_the_drill_s_own_need_comes_before_the_published_range(hp: float | None, verdict: str) -> None:
    """100 hp asked for, where 60 would do by the foot; nothing published is named then."""
    check = _power(hp, replace(DRILL, min_pto_power_w=100 * HORSEPOWER_W))
    assert (check.verdict, check.source, check.sources) == (verdict, OWN_NEED, (OWN_NEED,))


def test_sources_that_the_text_names_are_not_named_behind_it() -> None:
    """Power has a source for each of its two ranges, in the text; hydraulics has one, which is not."""
    power, hydraulics = _power(75), _check("hydraulics")
    assert len(power.sources) == 2
    assert power.unnamed_sources == ()
    assert all(f"source: {key}" in str(power.text) for key in power.sources)
    assert hydraulics.unnamed_sources == hydraulics.sources == ("mn-drill-clean",)


@pytest.mark.parametrize(
    ("asked", "have", "verdict", "sentence"),
    [
        (None, 1, "pass", "1 pair; most drills need one pair of rear remotes, two hoses, to lift"),
        (None, 0, "fail", "no rear remotes; most drills need one pair of rear remotes, two hoses, to lift"),
        (
            None,
            None,
            "ask",
            "rear remotes not given; most drills need one pair of rear remotes, two hoses, to lift",
        ),
        (2, 1, "fail", "1 pair; the drill needs 2 pairs of rear remotes"),
        (2, 2, "pass", "2 pairs; the drill needs 2 pairs of rear remotes"),
        (0, 0, "pass", "no rear remotes; the drill needs none"),
    ],
)
def test_remotes(asked: int | None, have: int | None, verdict: str, sentence: str) -> None:
    """One pair, or as many as the drill asks for."""
    check = _check("hydraulics", replace(DRILL, min_remotes=asked), remotes=have)
    assert (check.verdict, str(check.text)) == (verdict, sentence)


@pytest.mark.parametrize(("feet", "verdict"), [(8.5, "pass"), (8.51, "warn"), (None, "ask")])
def test_over_eight_and_a_half_feet_is_a_wide_load(feet: float | None, verdict: str) -> None:
    """8.5 ft is the limit of the Ohio State University page on machinery on the road."""
    check = _check("road width", replace(DRILL, transport_width_m=None if feet is None else feet * FOOT_M))
    assert (check.verdict, check.source) == (verdict, "osu-road")


@pytest.mark.parametrize(("mph", "verdict"), [(20, "pass"), (20.1, "warn")])
def test_towing_within_twenty_miles_an_hour(mph: float, verdict: str) -> None:
    """20 mph is the cap of a rental page in Kansas."""
    assert _check("towing", mph=mph).verdict == verdict


@pytest.mark.parametrize(("slope", "verdict"), [(0.332, "pass"), (0.333, "fail")])
def test_three_to_one_is_too_steep(slope: float, verdict: str) -> None:
    """33.3 % is 3:1, where the roadside manual says that drills slide."""
    assert _check("slope", slope=slope).verdict == verdict


@pytest.mark.parametrize(
    ("transport_ft", "gate_ft", "verdict", "of"),
    [
        (12, 12.1, "pass", False),
        (12, 12, "fail", False),
        (None, 10.1, "pass", True),
        (None, 10, "fail", True),
    ],
)
def test_a_gate_is_wider_than_the_drill_on_the_road(
    transport_ft: float | None, gate_ft: float, verdict: str, of: bool
) -> None:
    """Where the width on the road is not known, than its ten feet of working width, and that is said."""
    check = _check(
        "gate", replace(DRILL, transport_width_m=transport_ft and transport_ft * FOOT_M), gate_ft=gate_ft
    )
    assert check.verdict == verdict
    assert ("working width (transport width not given)" in str(check.text)) == of


def test_the_weight_is_told_where_it_is_known() -> None:
    """4,800 lb = 2,177 kg."""
    assert "weight of the drill; with too little" in str(_check("ballast").text)
    assert "weight of the drill (4,800 lb (2,177 kg)); " in str(
        _check("ballast", replace(DRILL, weight_kg=4800 * POUND_KG)).text
    )
