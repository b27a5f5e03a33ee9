"""What a map says of blocks, where sowing starts, and which numbers stand at a place."""

from __future__ import annotations

import math
import re

import pytest
import shapely

from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.model.sequence import PassesDriven
from fieldplan.report.pictures.map_svg import map_svg
from fieldplan.report.pictures.marks import _begun
from fieldplan.report.pictures.placer import arrow_svg
from fieldplan.report.words.quantities import Quantities


def _with_blocks(plan: Plan) -> FieldPlan:
    """A field that is cut into few blocks."""
    return next(
        field
        for field in plan.driven
        if 1 < sum(block.n_passes > 0 for block in field.coverage.sowings[0].blocks) <= 3
    )


def test_blocks_name_their_passes_as_they_are_driven(restoration: Plan) -> None:
    """Each pass of the field belongs to one block on the map, and the numbers are those of the order of passes."""
    field = _with_blocks(restoration)
    said = dict(re.findall(r">block (\d+): pass(?:es)? ([\d–, ]+), ", map_svg(field, Quantities())))
    stretches = [one for one in field.sequence if isinstance(one, PassesDriven)]
    assert set(said) == {str(one.block) for one in stretches}
    for block, text in said.items():
        ranges = [tuple(map(int, run.split("–"))) for run in text.split(", ")]
        numbers = {n for run in ranges for n in range(run[0], run[-1] + 1)}
        assert numbers == {
            n for one in stretches if str(one.block) == block for n in range(one.first, one.last + 1)
        }


def test_names_of_blocks_stand_on_their_ground_or_on_a_leader(restoration: Plan) -> None:
    """Whatever stands away from its block is led to it."""
    svg = map_svg(_with_blocks(restoration), Quantities())
    marks = re.findall(r'<g class="at"[^>]*>((?:(?!</g>).)*block \d.*?)</g>', svg)
    assert marks
    for mark in marks:
        away_mm = abs(float(re.findall(r'<text x="(-?[\d.]+)"', mark)[0]))
        assert away_mm < 40.0 or 'class="leader"' in mark


def test_the_start_is_found_beyond_a_short_first_leg() -> None:
    """12 m along legs of 3 m, 5 m and 20 m is 4 m into the third; past their end there is no place."""
    legs = [shapely.LineString([(0, y), (length, y)]) for y, length in ((0, 3.0), (1, 5.0), (2, 20.0))]
    begun = _begun(legs, 12.0)
    assert begun is not None
    assert (begun[0].x, begun[0].y) == pytest.approx((4.0, 2.0))
    assert (begun[1].x, begun[1].y) == pytest.approx((9.0, 2.0))
    assert _begun(legs, 28.0) is None


def test_every_field_that_is_drilled_shows_its_start(restoration: Plan) -> None:
    """An arrow, named in the legend."""
    for field in restoration.driven:
        svg = map_svg(field, Quantities())
        assert 'class="start"' in svg
        assert "sowing starts" in svg


@pytest.mark.parametrize("turn_deg", [0.0, 69.0, 180.0, 250.0])
def test_the_letter_of_north_stands_upright_before_the_tip(turn_deg: float) -> None:
    """Behind the feathers of a turned arrow it would be read as the way to go."""
    svg = arrow_svg(turn_deg, 10.0)
    x, y, size = (
        float(part) for part in re.findall(r'<text x="(.*?)" y="(.*?)" font-size="(.*?)"', svg)[0]
    )
    toward = math.degrees(math.atan2(x, -(y - 0.36 * size))) % 360.0
    assert toward == pytest.approx(turn_deg, abs=0.1)
    tip_m = -float(re.findall(r'd="M0 (-?[\d.]+)', svg)[0])
    assert math.hypot(x, y - 0.36 * size) > tip_m
    assert svg.count("rotate") == 1
    assert svg.index("rotate") < svg.index("<text")
