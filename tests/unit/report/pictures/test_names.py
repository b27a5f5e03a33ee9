"""A name stands on its own ground whole, or away from all ground on a leader; letters and north keep off the strips."""

from __future__ import annotations

import re

import pytest
import shapely
from shapely import affinity

from fieldplan.report.pictures.labels import Box, Room, text_box
from fieldplan.report.pictures.map_svg import LETTER_MM, LETTER_ROOM_MM, _about, _letters, _north_at
from fieldplan.report.pictures.names import Named, named
from fieldplan.report.pictures.placer import Mark, Placer
from fieldplan.report.pictures.view import View, views_of

EM = 3.0
FIELD = shapely.box(20, 20, 120, 80)
WEST, EAST = shapely.box(20, 20, 35, 80), shapely.box(35, 20, 120, 80)
"""A narrow block and a wide one, a meter to the millimeter."""
LONG, SHORT = "block 1: passes 1–12, 90°", "block 1"


def _placer() -> Placer:
    view = View(turn_rad=0.0, k=1.0, origin=(0.0, 100.0), left=0, top=0, width=160, height=100)
    return Placer([view], Room(Box(0, 0, 160, 100)), EM)


def _name(placer: Placer, ground: shapely.Polygon, other: shapely.Polygon) -> Mark:
    what = Named(
        ground=ground,
        home=shapely.difference(FIELD, other),
        on_it=(LONG, SHORT),
        led=("block 1: passes 1–12", SHORT),
        rather_off=FIELD,
        others=other,
    )
    (mark,) = named(placer, what, "block")
    return mark


def _pale(mark: Mark) -> shapely.Polygon:
    """The pale ground under a text, on the paper."""
    x, y, width, height = (
        float(re.findall(rf'<rect class="pale".*? {key}="(-?[\d.]+)"', mark.svg)[0])
        for key in ("x", "y", "width", "height")
    )
    return shapely.box(mark.x + x, mark.y + y, mark.x + x + width, mark.y + y + height)


def _drawn(ground: shapely.Polygon) -> shapely.Polygon:
    return _placer().views[0].drawn(ground)


def test_a_name_that_has_room_lies_on_its_ground_whole() -> None:
    """With all that there is to say, and without a leader."""
    mark = _name(_placer(), EAST, WEST)
    assert ">block 1: passes 1–12, 90°<" in mark.svg
    assert "leader" not in mark.svg
    assert _drawn(EAST).covers(_pale(mark))


def test_a_name_too_wide_for_its_ground_is_led_to_it_from_beside_the_field() -> None:
    """Not across the ground of another block; the leader begins on its own ground and is as long as it needs to be."""
    mark = _name(_placer(), WEST, EAST)
    assert ">block 1: passes 1–12<" in mark.svg
    assert 'class="leader"' in mark.svg
    assert not _drawn(FIELD).intersects(_pale(mark))
    assert _drawn(WEST).contains(shapely.Point(mark.x, mark.y))
    end = [float(number) for number in re.findall(r"M0 0L(-?[\d.]+) (-?[\d.]+)", mark.svg)[0]]
    assert _pale(mark).distance(shapely.Point(mark.x + end[0], mark.y + end[1])) < EM


def test_nothing_else_stands_on_a_leader() -> None:
    """It takes the paper that it is drawn on."""
    placer = _placer()
    mark = _name(placer, WEST, EAST)
    dx, dy = (float(number) for number in re.findall(r"M0 0L(-?[\d.]+) (-?[\d.]+)", mark.svg)[0])
    middle = (mark.x + dx / 2, mark.y + dy / 2)
    assert not placer.room.is_free(text_box(*middle, "12", EM))


@pytest.mark.parametrize("wide_m", [12.0, 40.0])
def test_letters_and_north_keep_off_the_strips_of_a_corridor(wide_m: float) -> None:
    """Wherever one strip goes on in the next, and clear of each other."""
    corridor = affinity.rotate(shapely.box(0, 0, 3000, wide_m), 20)
    window = Box(5.0, 12.0, 175.0, 100.0)
    size = (window.right - window.left, window.bottom - window.top)
    views = views_of([corridor], *size, left=window.left, top=window.top, ends=LETTER_ROOM_MM)
    assert len(views) > 2
    drawn = shapely.union_all([view.drawn(corridor) for view in views])
    boxes = [text_box(x, y, text, LETTER_MM, anchor) for x, y, text, anchor in _letters(views, corridor)]
    assert len(boxes) == 2 * (len(views) - 1)
    room = Room(Box(1.0, 1.0, 179.0, 110.0))
    assert all(room.take_if_free([box]) for box in boxes)
    assert not any(drawn.intersects(shapely.box(*box)) for box in boxes)
    north = _about(*_north_at(views, corridor, window, room))
    assert room.is_free(north)
    assert drawn.intersection(shapely.box(*north)).area < 1e-6
