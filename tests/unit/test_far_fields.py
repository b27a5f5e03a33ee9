"""Fields are put into groups by their distance, quickly, and the smaller group is asked about."""

from __future__ import annotations

import time

import numpy as np
import pytest

from fieldplan.boundary.places import FAR_APART_M, doubtful_places, groups
from fieldplan.boundary.terms import ReadingTerms


def test_groups_are_those_of_comparing_every_pair() -> None:
    """Three hundred places at random, against links between all pairs."""
    points = np.random.default_rng(5).uniform(0, 1_500_000, (300, 3))
    points[:, 2] = 0
    near = np.linalg.norm(points[:, None] - points[None], axis=2) <= FAR_APART_M
    reach = near
    for _ in range(10):
        reach = reach @ reach
    known = [int(np.flatnonzero(row)[0]) for row in reach]
    made = groups(points, FAR_APART_M)
    assert len(set(known)) == made.max() + 1 > 3
    assert len(set(zip(known, made.tolist(), strict=True))) == len(set(known))


def test_twenty_thousand_fields_take_a_second_or_two() -> None:
    """Over a whole state, with one that lies in another continent."""
    places = np.random.default_rng(5).uniform((-97, 43), (-89, 49), (20_000, 2)).tolist()
    start = time.process_time()
    asked = doubtful_places(
        [*((str(i), (x, y)) for i, (x, y) in enumerate(places)), ("lost", (93.0, 45.0))],
        ReadingTerms(),
        "fields",
    )
    assert time.process_time() - start < 5
    assert [problem.code for problem in asked] == ["field-far"]
    assert 'field "lost"' in asked[0].text
    assert "belongs at 45.00000, -93.00000" in asked[0].text


@pytest.mark.parametrize(
    ("lon", "slip"), [(95.7, "longitude has lost its sign"), (-105.0, "neither a lost sign")]
)
def test_a_place_near_the_fields_decides_which_group_is_right(lon: float, slip: str) -> None:
    """Given a place, the group near it is right though it is smaller."""
    places = [("a", (lon, 44.2)), ("b", (lon, 44.3)), ("c", (-95.7, 44.2))]
    (asked,) = doubtful_places(places, ReadingTerms(near=(-95.0, 44.0)), "fields")
    assert 'field "a" (with 1 more beside it)' in asked.text
    assert slip in asked.text
