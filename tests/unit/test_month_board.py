"""What stands on the pages of a month board."""

from __future__ import annotations

import math
from datetime import date
from pathlib import Path
from typing import Any

from pypdf import PageObject, PdfReader
from seasons import season_of

from fieldplan.report.paper.month_board import month_board, month_pages


def _bars(page: dict) -> list[list[tuple[str, str, int, int, bool]]]:  # type: ignore[type-arg]
    """The bars of each week of a page: mark, name, first column, days, and whether the drill is collected."""
    return [
        [
            (bar["mark"], bar["name"], bar["column"], bar["days"], bar["first"])
            for lane in week["lanes"]
            for bar in lane
        ]
        for week in page["weeks"]
    ]


def test_a_booking_over_a_sunday_and_a_month() -> None:
    """From Friday the 30th over Sunday the 2nd to Monday: in bold where it is collected, the day off named."""
    pages = month_pages(
        season_of(date(2027, 4, 26), date(2027, 5, 8), [("drill 2", "Ash Bend", date(2027, 4, 30), 3)])
    )
    assert [page["name"] for page in pages] == ["April 2027", "May 2027"]
    assert pages[0]["drills"] == "A drill 1   B drill 2"
    assert _bars(pages[0])[-1] == [("B", "Ash Bend", 4, 1, True)]
    assert _bars(pages[1])[:2] == [
        [("B", "Ash Bend (off Sun)", 5, 2, False)],
        [("B", "Ash Bend", 0, 1, False)],
    ]


def test_a_season_over_new_year() -> None:
    """December, then January of the next year; days outside the season are not inside."""
    pages = month_pages(season_of(date(2027, 12, 20), date(2028, 1, 10), []))
    assert [page["name"] for page in pages] == ["December 2027", "January 2028"]
    assert sum(day["inside"] for page in pages for week in page["weeks"] for day in week["days"]) == 22  # type: ignore[attr-defined]


def test_more_bookings_than_lanes_stand_on_further_pages() -> None:
    """Seven drills out on one day: three on a page, in letters as large as ever; each page names its drills."""
    day = date(2027, 5, 3)
    pages = month_pages(
        season_of(day, day, [(f"drill {k + 1}", f"farm {k}", day, 1) for k in range(7)], drills=7)
    )
    assert [page["name"] for page in pages] == [f"May 2027 ({n} of 3)" for n in (1, 2, 3)]
    assert [[bar[0] for week in _bars(page) for bar in week] for page in pages] == [
        ["A", "B", "C"],
        ["D", "E", "F"],
        ["G"],
    ]
    assert pages[1]["drills"] == "D drill 4   E drill 5   F drill 6"


def test_two_bookings_of_a_day_lie_in_two_lanes() -> None:
    """One drill, handed over at noon."""
    day = date(2027, 5, 3)
    (page,) = month_pages(season_of(day, day, [("drill 1", "early", day, 1), ("drill 1", "late", day, 1)]))
    assert [len(lane) for week in page["weeks"] for lane in week["lanes"]] == [1, 1]  # type: ignore[attr-defined]


def test_a_long_name_is_cut_and_says_so() -> None:
    """A name no longer than its bar has room for stays whole."""
    day = date(2027, 5, 3)
    (page,) = month_pages(
        season_of(
            day,
            date(2027, 5, 4),
            [("drill 1", "Homestead at the Bend", day, 1), ("drill 2", "Homestead at the Bend", day, 2)],
        )
    )
    assert [bar[1] for bar in _bars(page)[1]] == ["Homestea…", "Homestead at the Bend"]


def test_it_is_read_from_two_metres(tmp_path: Path) -> None:
    """Capitals are at least as high as letters for normal sight at two metres, which subtend 5 minutes of arc (Snellen
    letters, American Academy of Ophthalmology); how high they are, the fonts in the file say.
    """
    day = date(2027, 5, 3)
    least_mm = 2000 * math.tan(math.radians(5 / 60))
    for paper in ("us-letter", "a4"):
        path = tmp_path / f"{paper}.pdf"
        path.write_bytes(month_board(season_of(day, day, [("drill 1", "Ash Bend", day, 3)]), paper))  # type: ignore[arg-type]
        heights = [height for page in PdfReader(path).pages for height in _capitals_mm(page)]
        assert len(heights) > 20
        assert min(heights) >= least_mm


def _capitals_mm(page: PageObject) -> list[float]:
    """The height of capitals in each piece of text."""
    found = list[float]()

    def seen(text: str, _cm: object, _tm: object, font: Any, size: float) -> None:
        if text.strip() and font:
            (inner,) = font["/DescendantFonts"]
            per_mille = inner.get_object()["/FontDescriptor"].get_object()["/CapHeight"]
            found.append(size * float(per_mille) / 1000 * 25.4 / 72)

    page.extract_text(visitor_text=seen)
    return found
