"""Bars as long as hours and columns as high as odds: millimetres reckoned from the plan's own seconds and
chances.
"""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import accumulate
from typing import Any

import pytest

from fieldplan.model.plan import Plan
from fieldplan.model.work import Booking, Odds
from fieldplan.report.pictures.hours_and_odds import PHONE_MM, hours_svg, odds_svg


def test_bars_are_as_long_as_the_hours_of_their_field(ponds: Plan) -> None:
    """116 mm for the field with the most, part after part from 42 mm on, a row each 7 mm."""
    svg = hours_svg(ponds)
    longest_s = max(sum(part.spent_s for part in field.time.parts) for field in ponds.fields)
    found = re.findall(r'<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="5" fill="#', svg)
    expected = []
    for row, field in enumerate(ponds.fields):
        wide = [116 * part.spent_s / longest_s for part in field.time.parts]
        starts = accumulate(wide, initial=42.0)
        expected += [
            (f"{x:.2f}", f"{12 + 7 * row:.1f}", f"{mm:.2f}")
            for x, mm in zip(starts, wide, strict=False)
            if mm > 0
        ]
    assert found == expected
    assert f'viewBox="0 -7 180 {7 + 12 + 7 * len(ponds.fields) + 3}"' in svg


def test_the_time_stands_behind_each_bar(ponds: Plan) -> None:
    """1.5 mm behind its end, 3.6 mm under its top."""
    svg = hours_svg(ponds)
    longest_s = max(field.time.field_s for field in ponds.fields)
    for row, field in enumerate(ponds.fields):
        shown = (
            f"{field.time.field_s / 3600:,.1f} h"
            if field.time.field_s >= 3600
            else f"{field.time.field_s / 60:.0f} min"
        )
        assert (
            f'<text x="{43.5 + 116 * field.time.field_s / longest_s:.2f}" y="{15.6 + 7 * row:.1f}">{shown}</text>'
            in svg
        )
        assert f'<text x="2" y="{15.6 + 7 * row:.1f}">{field.field.field_id}' in svg


def test_a_part_is_told_as_the_table_tells_it(ponds: Plan) -> None:
    """Rounded so that the parts add up to the whole: a third of 3.1 h is 1.0 h twice and 1.1 h once."""
    field = ponds.fields[0]
    driven = ("drilling", "turning", "travelling")
    parts = tuple(replace(part, spent_s=3744.0 if part.key in driven else 0.0) for part in field.time.parts)
    even = replace(field, time=replace(field.time, parts=parts))
    svg = hours_svg(replace(ponds, fields=(even,)))
    assert re.findall(r"<title>\w+ ([\d.]+ h)</title>", svg) == ["1.1 h", "1.0 h", "1.0 h"]


def test_each_part_is_told_in_the_legend_with_the_look_of_its_bar(ponds: Plan) -> None:
    """Parts that take no time are in neither; the next sign stands 9 mm and 1.7 a letter further on."""
    svg = hours_svg(ponds)
    legend = re.findall(r'<rect x="([\d.]+)" y="3" width="4" height="3" fill="(#\w+)"', svg)
    names = re.findall(r'<text x="([\d.]+)" y="5.6">(.+?)</text>', svg)
    spent = [part for part in ponds.totals.time_parts if part.spent_s > 0]
    assert len(legend) == len(names) == len(spent) == len({colour for _, colour in legend})
    starts = list(accumulate((9 + 1.7 * len(name) for _, name in names), initial=2.0))[:-1]
    assert [x for x, _ in legend] == [f"{x:.1f}" for x in starts]
    assert [x for x, _ in names] == [f"{x + 5:.1f}" for x in starts]
    assert set(re.findall(r'height="5" fill="(#\w+)"', svg)) == {colour for _, colour in legend}
    patterns = set(re.findall(r'<pattern id="part-(\w+)"', svg))
    assert patterns == set(re.findall(r"url\(#part-(\w+)\)", svg))


def _odds(plan: Plan, probs: list[float], suggested: int | None, **changes: Any) -> str:
    """Odds of one day, two days and so on, 80 % asked for."""
    odds = tuple(Odds(days=days, prob=prob) for days, prob in enumerate(probs, start=1))
    booking: Booking = replace(
        plan.booking, odds=odds, suggested_days=suggested, confidence_prob=0.8, **changes
    )
    return odds_svg(replace(plan, booking=booking))


def _columns(svg: str) -> list[tuple[str, ...]]:
    return re.findall(
        r'<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)" fill="(#\w+)"', svg
    )


def test_columns_are_as_high_as_their_odds(ponds: Plan) -> None:
    """42 mm for certainty, up from 54 mm; 14 mm a column, of which it takes 9.8; the days to book in
    black.
    """
    assert _columns(_odds(ponds, [0.5, 0.85, 1.0], 2)) == [
        ("6.00", "33.00", "9.80", "21.00", "#56b4e9"),
        ("20.00", "18.30", "9.80", "35.70", "#000"),
        ("34.00", "12.00", "9.80", "42.00", "#56b4e9"),
    ]


def test_days_and_odds_stand_under_and_over_the_middle_of_a_column(ponds: Plan) -> None:
    """4.9 mm behind its side; bold for the days to book; the odds in percent 1 mm over it."""
    svg = _odds(ponds, [0.5, 0.85, 1.0], 2)
    assert re.findall(
        r'<text x="([\d.]+)" y="57.5" text-anchor="middle"( class="b")?>(\d+)</text>', svg
    ) == [
        ("10.90", "", "1"),
        ("24.90", ' class="b"', "2"),
        ("38.90", "", "3"),
    ]
    assert '<text x="10.90" y="32.00" text-anchor="middle">50</text>' in svg
    assert '<text x="24.90" y="17.30" text-anchor="middle" class="b">85</text>' in svg
    assert '<text x="38.90" y="11.00" text-anchor="middle">100</text>' in svg
    assert 'width="180mm" height="71mm" viewBox="0 -7 180 71"' in svg
    assert "M4 20.40H176" in svg  # 54 − 0.8 × 42
    assert "dashed: the 80 % asked for</text>" in svg


def test_of_many_days_the_last_twenty_are_drawn_in_narrower_columns(ponds: Plan) -> None:
    """170 mm by 20 columns are 8.5 each, with odds on them; a booking that is never reached is said."""
    svg = _odds(ponds, [k / 100 for k in range(1, 31)], None)
    columns = _columns(svg)
    assert len(columns) == 20
    assert [columns[0][0], columns[1][0], columns[0][2]] == ["6.00", "14.50", "5.95"]
    assert columns[0][3] == f"{42 * 0.11:.2f}"
    assert ">11</text>" in svg
    assert "asked for, reached by no booking</text>" in svg


@pytest.mark.parametrize("suggested", [None, 1])
def test_without_odds_nothing_is_drawn(ponds: Plan, suggested: int | None) -> None:
    """Nothing is drilled."""
    svg = _odds(ponds, [], suggested)
    assert _columns(svg) == []
    assert "nothing is drilled: there are no days to book" in svg


def _reaches_mm(svg: str) -> float:
    """How far right the picture's rectangles and texts reach, letters taken as wide as half their height and more."""
    (size,) = re.findall(r'viewBox="0 -7 (\d+)', svg)
    bars = [
        float(x) + float(wide)
        for x, wide in re.findall(r'<rect x="([\d.]+)" y="[\d.]+" width="([\d.]+)"', svg)
    ]
    texts = [
        float(x) + 1.4 * len(said) * {"middle": 0.5}.get(anchor, 1.0)
        for x, anchor, said in re.findall(
            r'<text x="([\d.]+)" y="[\d.]+"(?: text-anchor="(\w+)")?(?: class="b")?>([^<]*)</text>', svg
        )
    ]
    assert bars
    assert texts
    return max(*bars, *texts) - float(size)


@pytest.mark.parametrize("days", [3, 8, 30])
def test_a_picture_for_a_phone_has_all_in_its_width(ponds: Plan, days: int) -> None:
    """Names, bars, the time behind them, the key, columns and the foot; letters are as large as on paper."""
    probs = [(k + 1) / (days + 1) for k in range(days)]
    odds = tuple(Odds(days=n, prob=prob) for n, prob in enumerate(probs, start=1))
    booking = replace(ponds.booking, odds=odds, suggested_days=days - 1, confidence_prob=0.8)
    for svg in (hours_svg(ponds, PHONE_MM), odds_svg(replace(ponds, booking=booking), PHONE_MM)):
        assert f'viewBox="0 -7 {PHONE_MM:g} ' in svg
        assert _reaches_mm(svg) <= 0.0
        assert "font:2.8px" in svg


def test_the_days_to_book_are_among_the_columns_of_a_phone(ponds: Plan) -> None:
    """Of 30 numbers of days the last ten, or from the one before the days to book on."""
    odds = tuple(Odds(days=n, prob=n / 31) for n in range(1, 31))
    for suggested, first in ((12, 11), (28, 21), (None, 21), (1, 1)):
        booking = replace(ponds.booking, odds=odds, suggested_days=suggested)
        svg = odds_svg(replace(ponds, booking=booking), PHONE_MM)
        shown = re.findall(r'y="57.5" text-anchor="middle"(?: class="b")?>(\d+)<', svg)
        assert shown == [str(n) for n in range(first, first + 10)]
