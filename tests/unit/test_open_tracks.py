"""A walked outline whose ends do not meet: closed with a warning where the gap is small, else refused with the gap."""

from __future__ import annotations

from pathlib import Path

import boundary_builders as s
import numpy as np
import pytest
from pyproj import Transformer

from fieldplan.boundary.load import examine

_UTM = Transformer.from_crs("EPSG:32615", "OGC:CRS84", always_xy=True)
_CORNER_M = 284_000.0, 4_897_000.0
SIDE_M = 400.0


def _walked(folder: Path, gap_m: float, wide_m: float = SIDE_M, name: str = "walk.gpx") -> Path:
    """A rectangle, walked from beyond its first corner and back to that corner."""
    x, y = _CORNER_M
    places = np.array(
        [
            (x + gap_m, y),
            (x + SIDE_M, y),
            (x + SIDE_M, y + wide_m),
            (x, y + wide_m),
            (x, y),
        ]
    )
    lonlat = np.column_stack(_UTM.transform(places[:, 0], places[:, 1]))
    return s.gpx(folder / name, [(float(lon), float(lat)) for lon, lat in lonlat])


@pytest.mark.parametrize("gap_m", [5.5, 14.0, 45.0])
def test_a_small_gap_is_closed_and_told(gap_m: float, tmp_path: Path) -> None:
    """The gap lies on a straight edge here, so that the acres are those of the square: closing lost none."""
    found = examine(_walked(tmp_path, gap_m))
    assert not found.problems
    note = next(note for note in found.notes if note.code == "line-closed")
    assert note.warning
    assert note.values["gap_m"] == pytest.approx(gap_m, rel=2e-3)  # a grid's meter is up to 0.1 % off
    assert note.values["in_gap_m2"] == pytest.approx(gap_m**2 / 4, rel=4e-3)  # Thales' theorem
    whole = examine(_walked(tmp_path, 0.0, name="whole.gpx")).fields[0]
    assert found.fields[0].mapped_m2 == pytest.approx(whole.mapped_m2, rel=1e-6)


def test_a_gap_that_is_not_small_is_asked_about(tmp_path: Path) -> None:
    """Over 3 % of the line."""
    found = examine(_walked(tmp_path, 50.0))
    assert [problem.code for problem in found.problems] == ["outline-open"]
    assert found.problems[0].values["gap_m"] == pytest.approx(50.0, rel=2e-3)


def test_a_gap_that_could_hold_much_of_the_ground_is_asked_about(tmp_path: Path) -> None:
    """Of a strip 10 m wide, a corner over 20 m would be 2.5 %, though the line is 40 times as long."""
    found = examine(_walked(tmp_path, 20.0, wide_m=10.0))
    assert [problem.code for problem in found.problems] == ["outline-open"]


def test_lines_beside_polygons_stay_lines(tmp_path: Path) -> None:
    """A fence that nearly meets itself makes no field of a layer that has fields."""
    from shapely import LineString, box

    x, y = -95.6, 44.21
    fence = LineString(
        [(x + 0.0001, y), (x + 0.004, y), (x + 0.004, y + 0.003), (x, y + 0.003), (x, y + 0.00005)]
    )
    alone = examine(s.geojson(tmp_path / "alone.geojson", fence))
    assert [note.case for note in alone.notes if note.code == "line-closed"] == ["wide"]
    both = examine(s.geojson(tmp_path / "both.geojson", box(-95.7, 44.2, -95.69, 44.207), fence))
    assert len(both.fields) == 1
    assert [reason.code for reason in both.layers[0].left_out] == ["left-out/open-lines"]
