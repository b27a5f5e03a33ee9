"""The picture of a season: millimetres by days, worked out by hand. Lanes are 232 mm wide and begin at 34
mm.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

import pytest
from seasons import season_of

from fieldplan.model.season import Season
from fieldplan.report.pictures.season_svg import season_svg

OPENS = date(2027, 4, 1)
"""A Thursday."""


def _season(n_days: int, *bookings: tuple[str, str, int, int], drills: int = 2) -> Season:
    """Bookings as drill, renter, days after the opening, working days."""
    made = [(drill, renter, OPENS + timedelta(days=after), n) for drill, renter, after, n in bookings]
    return season_of(OPENS, OPENS + timedelta(days=n_days - 1), made, drills)


def _bars(svg: str) -> list[tuple[float, ...]]:
    """x, y, width, height of each, without the ground of the picture."""
    found = re.findall(r'<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)"', svg)
    return [tuple(float(one) for one in bar) for bar in found]


def test_a_bar_reaches_from_its_first_day_to_the_end_of_its_last() -> None:
    """29 days are 8 mm each: a booking of three days from the fifth day on begins at 34 + 32 mm and is 24
    mm wide, on the first lane.
    """
    assert _bars(season_svg(_season(29, ("drill 1", "a", 4, 3)))) == [(66.0, 16.0, 24.0, 6.0)]


def test_a_day_off_within_a_booking_is_under_its_bar() -> None:
    """Two working days from Saturday on, and the Sunday between them: three days, 24 mm."""
    assert _bars(season_svg(_season(29, ("drill 1", "a", 2, 2)))) == [(50.0, 16.0, 24.0, 6.0)]


def test_the_first_and_the_last_day_of_a_season_fill_the_lane() -> None:
    """25 working days and the four Sundays between them are all 29: from 34 mm to 266 mm."""
    assert _bars(season_svg(_season(29, ("drill 1", "a", 0, 25)))) == [(34.0, 16.0, 232.0, 6.0)]


def test_a_lane_a_drill_each_26_mm_under_the_one_before() -> None:
    """The picture is as high as its lanes, 14 mm above and 6 below them."""
    svg = season_svg(_season(29, ("drill 2", "a", 0, 1), ("drill 3", "b", 0, 1), drills=3))
    assert [bar[1] for bar in _bars(svg)] == [42.0, 68.0]
    assert 'viewBox="0 0 270 98"' in svg
    assert re.findall(r"M2 ([\d.]+)H266", svg) == ["14", "40", "66"]
    assert re.findall(r'class="b" x="2" y="([\d.]+)">(drill \d)', svg) == [
        ("20", "drill 1"),
        ("46", "drill 2"),
        ("72", "drill 3"),
    ]


def test_neighbours_differ_and_their_names_stand_on_three_rows() -> None:
    """White and blue by turns; rows 5.4 mm apart, the fourth name on the first again; a line from each bar
    to 2.4 mm over its name.
    """
    svg = season_svg(_season(29, *[("drill 1", f"farm {k}", 7 * k, 2) for k in range(4)]))
    assert re.findall(r'height="6" fill="(#\w+)"', svg) == ["#ffffff", "#d9e8f3", "#ffffff", "#d9e8f3"]
    assert re.findall(r'M([\d.]+) 22V([\d.]+)" stroke="#000" stroke-width=".15"', svg) == [
        ("34.40", "23.00"),
        ("90.40", "28.40"),
        ("146.40", "33.80"),
        ("202.40", "23.00"),
    ]
    names = re.findall(r'<text x="([\d.]+)" y="([\d.]+)">(farm \d)</text>', svg)
    assert names == [
        ("34.00", "25.40", "farm 0"),
        ("90.00", "30.80", "farm 1"),
        ("146.00", "36.20", "farm 2"),
        ("202.00", "25.40", "farm 3"),
    ]


def test_a_name_at_the_end_is_moved_back_into_the_picture() -> None:
    """Ten letters of 1.45 mm before 266 mm."""
    svg = season_svg(_season(29, ("drill 1", "Long Acres", 28, 1)))
    assert re.findall(r'<text x="([\d.]+)" y="25.40">', svg) == [f"{266 - 14.5:.2f}"]


@pytest.mark.parametrize(
    ("n_days", "every"), [(29, 7), (135, 7), (136, 14), (270, 14), (271, 28), (365, 28)]
)
def test_weeks_are_named_as_often_as_there_is_room(n_days: int, every: int) -> None:
    """Mondays, the first on 5 April; 12 mm for each name, so a week has room up to 232 × 7 / 12 = 135 days,
    and two up to 270.
    """
    svg = season_svg(_season(n_days))
    named = re.findall(r'<text x="([\d.]+)" y="11">(\d\d \w{3})</text>', svg)
    days = range(4, n_days, every)
    assert named == [
        (f"{34 + k * 232 / n_days + 0.6:.2f}", f"{OPENS + timedelta(days=k):%d %b}") for k in days
    ]
    height = 14 + 2 * 26 + 6
    assert re.findall(r"M([\d.]+) 12V([\d.]+)", svg) == [
        (f"{34 + k * 232 / n_days:.2f}", f"{height - 4:g}") for k in days
    ]


def test_a_season_that_opens_on_a_monday_names_its_first_day() -> None:
    """5 April 2027 itself."""
    svg = season_svg(season_of(date(2027, 4, 5), date(2027, 4, 11), []))
    assert re.findall(r'y="11">(.+?)</text>', svg) == ["05 Apr"]


def test_those_who_share_their_days_are_slices_of_one_bar() -> None:
    """Two halves of 3 mm, in the order of the party; their names stand 0.9 mm beside the line."""
    season = _season(29, ("drill 1", "a", 0, 2), ("drill 1", "b", 0, 2))
    together = tuple(replace(placement, shared_booking=("b", "a")) for placement in season.placements)
    svg = season_svg(replace(season, placements=together))
    assert _bars(svg) == [(34.0, 19.0, 16.0, 3.0), (34.0, 16.0, 16.0, 3.0)]
    assert re.findall(r'<text x="([\d.]+)" y="[\d.]+">[ab]</text>', svg) == ["34.90", "34.90"]
    assert "<title>a: Thu 01 Apr to Fri 02 Apr</title>" in svg


def test_a_long_name_of_a_drill_is_cut_after_twenty_letters() -> None:
    """Before the lane begins."""
    season = _season(29, drills=1)
    (drill,) = season.program.drills
    program = replace(season.program, drills=(replace(drill, name="abcdefghijklmnopqrstuvwxyz"),))
    assert ">abcdefghijklmnopqrst</text>" in season_svg(replace(season, program=program))
