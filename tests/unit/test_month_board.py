"""What stands on the pages of a month board."""

from __future__ import annotations

from datetime import date

from seasons import season_of

from fieldplan.report.paper.month_board import month_pages


def _square(pages: list[dict], page: int, day: str) -> dict:  # type: ignore[type-arg]
    (found,) = [
        square
        for week in pages[page]["weeks"]
        for square in week
        if square["day"] == day and square["inside"]
    ]
    return found  # type: ignore[no-any-return]


def test_a_booking_over_a_sunday_and_a_month() -> None:
    """From Friday the 30th over Sunday the 2nd to Monday: bold on its first day only, in brackets on the
    day off.
    """
    pages = month_pages(
        season_of(date(2027, 4, 26), date(2027, 5, 8), [("drill 2", "Ash Bend", date(2027, 4, 30), 3)])
    )
    assert [page["name"] for page in pages] == ["April 2027", "May 2027"]
    assert pages[0]["drills"] == "A drill 1   B drill 2"
    lines = [
        _square(pages, page, day)["lines"]
        for page, day in ((0, "30"), (1, "1"), (1, "2"), (1, "3"), (1, "4"))
    ]
    assert [[(one["mark"], one["name"], one["first"], one["idle"]) for one in line] for line in lines] == [
        [("B", "Ash Bend", True, False)],
        [("B", "Ash Bend", False, False)],
        [("B", "Ash Bend", False, True)],
        [("B", "Ash Bend", False, False)],
        [],
    ]


def test_a_season_over_new_year() -> None:
    """December, then January of the next year; days outside the season are not inside."""
    pages = month_pages(season_of(date(2027, 12, 20), date(2028, 1, 10), []))
    assert [page["name"] for page in pages] == ["December 2027", "January 2028"]
    assert sum(square["inside"] for page in pages for week in page["weeks"] for square in week) == 22  # type: ignore[attr-defined]


def test_many_drills_take_more_pages_and_smaller_type() -> None:
    """Twelve drills out on one day: ten on one page in the smallest type, two on the next in the usual
    one.
    """
    day = date(2027, 5, 3)
    pages = month_pages(
        season_of(day, day, [(f"drill {k + 1}", f"farm {k}", day, 1) for k in range(12)], drills=12)
    )
    assert [(page["size"], len(_square(pages, n, "3")["lines"])) for n, page in enumerate(pages)] == [
        (5.0, 10),
        (9.5, 2),
    ]


def test_a_long_name_is_cut_and_says_so() -> None:
    """A name no longer than a square has room for stays whole."""
    day = date(2027, 5, 3)
    pages = month_pages(
        season_of(
            day,
            day,
            [
                ("drill 1", "The Very Long Named Homestead", day, 1),
                ("drill 2", "Nineteen letters ab", day, 1),
            ],
        )
    )
    assert [one["name"] for one in _square(pages, 0, "3")["lines"]] == [
        "The Very Long Name…",
        "Nineteen letters ab",
    ]
