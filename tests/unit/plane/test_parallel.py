"""Parallels of smooth lines against closed forms (computed; differential geometry of parallel curves)."""

from __future__ import annotations

import numpy as np
import pytest

from fieldplan.plane.parallel import leaves_m, radii_m, rounding_m, smoothed

W = 3.05
MM = 1e-3


def _length(points: np.ndarray) -> float:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def _arc(radius: float, degrees: float = 90.0, n: int = 9001) -> np.ndarray:
    turn = np.radians(np.linspace(0, degrees, n))
    return np.stack([radius * np.cos(turn), radius * np.sin(turn)], axis=1)


def _sine(amplitude: float, length: float, n: int = 2001) -> np.ndarray:
    x = np.linspace(0, length, n)
    return np.stack([x, amplitude * np.sin(2 * np.pi * x / length)], axis=1)


def _fine(points: np.ndarray):  # type: ignore[no-untyped-def]
    return smoothed(points, rounding_m(points, away_m=1.0))


def test_parallels_of_a_quarter_circle_have_its_lengths() -> None:
    """A parallel at d inside a total bend φ is L − φ·d long, outside L + φ·d: R 50, pass after pass of 3.05 m."""
    line = _fine(_arc(50))
    inward = [_length(line.parallel(k * W)) for k in range(5)]
    assert inward == pytest.approx([78.540, 73.749, 68.958, 64.167, 59.376], abs=10 * MM)
    outward = [_length(line.parallel(-k * W)) for k in range(1, 5)]
    assert outward == pytest.approx([83.331, 88.122, 92.913, 97.704], abs=10 * MM)


@pytest.mark.parametrize(
    ("amplitude", "length", "radius", "first_cusped"),
    [(10, 200, 101.321, 34), (15, 150, 37.995, 13), (5, 100, 50.661, 17), (20, 300, 113.986, 38)],
)
def test_a_wave_is_tightest_at_its_crests(
    amplitude: float, length: float, radius: float, first_cusped: int
) -> None:
    """The least radius of A·sin(2πx/L) is L²/(4π²A); the first parallel with a cusp is number ⌊R/w⌋ + 1."""
    line = _fine(_sine(amplitude, length))
    assert line.radius_m(0.0).min() == pytest.approx(radius, rel=1e-3)
    cusped = next(k for k in range(100) if line.radius_m(k * W).min() <= 0)
    assert cusped == first_cusped


@pytest.mark.parametrize(("radius", "n_at_6", "n_at_12"), [(30.0, 7, 5), (50.0, 14, 12), (101.32, 31, 29)])
def test_so_many_passes_keep_a_radius(radius: float, n_at_6: int, n_at_12: int) -> None:
    """Passes inward from a curve of radius R keep a least radius r as long as R − k·w ≥ r."""
    line = _fine(_arc(radius))
    for least, n in ((6.0, n_at_6), (12.0, n_at_12)):
        kept = [k for k in range(1, 100) if line.radius_m(k * W).min() >= least - MM]
        assert len(kept) == n


def test_arcs_of_a_regular_polygon_are_its_inscribed_circle() -> None:
    """Each touches its two sides in their middles, at the apothem R·cos(π/n)."""
    corners = _arc(100, 90, 10)  # 10 degrees apart
    radius = radii_m(corners, rounding_m(corners, away_m=1.0))[1:-1]
    assert radius == pytest.approx(np.full(8, 100 * np.cos(np.radians(5))), abs=MM)


def test_arcs_leave_the_line_no_farther_than_they_may() -> None:
    """Where that is little, the arc is tighter; where a radius is asked for, it may leave it farther."""
    corner = np.array([[0.0, 0.0], [100.0, 0.0], [160.0, 80.0]])
    near = rounding_m(corner, away_m=0.5)
    assert leaves_m(corner, near)[1] == pytest.approx(0.5)
    far = rounding_m(corner, away_m=0.5, least_radius_m=30.0)
    assert radii_m(corner, far)[1] == pytest.approx(30.0)
    line = smoothed(corner, far)
    assert line.radius_m(0.0).min() == pytest.approx(30.0)
    assert line.radius_m(10.0).min() == pytest.approx(20.0)
    assert line.radius_m(-10.0).min() == pytest.approx(40.0)


def test_a_straight_line_stays_as_it_is() -> None:
    """Its parallels are straight and lie at their distance to a micrometer."""
    line = _fine(np.array([[0.0, 0.0], [40.0, 0.0], [90.0, 0.0]]))
    assert np.isinf(line.radius_m(5.0)).all()
    assert np.abs(line.parallel(5.0)[:, 1] - 5.0).max() < 1e-6
