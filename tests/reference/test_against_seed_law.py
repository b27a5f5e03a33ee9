"""Until when seed may be sold by a test, and the limits of states, against laws as they are printed.

The dates are worked out by hand from the wording of the laws; 7 CFR 201.22 for seed between states.
"""

from __future__ import annotations

from datetime import date

import pytest

from fieldplan.model.seed_law import age_months, sold_through
from fieldplan.tables import read as tables
from fieldplan.tables.seed_law import FEDERAL, age_limit, months_of_states, sale_limits


@pytest.mark.parametrize(
    ("tested", "months", "last"),
    [
        # tested in January 2026: 9 months exclusive of the month of the test; 12; 5; 11 (Michigan)
        (date(2026, 1, 31), 9, date(2026, 10, 31)),
        (date(2026, 1, 1), 12, date(2027, 1, 31)),
        (date(2026, 1, 15), 5, date(2026, 6, 30)),
        (date(2026, 1, 1), 11, date(2026, 12, 31)),
        # 15 months from May 2026 (Idaho), 18 from November 2025 (Oregon, Utah)
        (date(2026, 5, 1), 15, date(2027, 8, 31)),
        (date(2025, 11, 1), 18, date(2027, 5, 31)),
    ],
)
def test_the_last_day_of_sale(tested: date, months: int, last: date) -> None:
    """The month of the test is not counted; the day of the test, which tags do not show, makes no difference."""
    assert sold_through(tested, months) == last
    assert age_months(tested, last) == months


def test_ten_months_with_that_of_the_test_are_nine_without_it() -> None:
    """Missouri and Connecticut count the month of the test: January and nine months are October."""
    for state in ("Missouri", "Connecticut"):
        limit = age_limit(state)
        assert limit is not None
        assert limit.months == 9
    assert sold_through(date(2026, 1, 1), 9) == date(2026, 10, 31)


@pytest.mark.parametrize(
    ("state", "months"),
    [
        (FEDERAL, 5),  # 7 CFR 201.22
        ("Iowa", 9),  # Iowa Code 199.8
        ("Illinois", 12),  # 505 ILCS 110/5
        ("Indiana", 12),  # Indiana Code 15-15-1-40, 9 until 2014
        ("Minnesota", 12),  # Minnesota Statutes 21.86
        ("Montana", 12),  # Montana Code 80-5-134
        ("Wisconsin", 12),  # Wisconsin Statutes 94.41, text of 1995
        ("Idaho", 15),  # Idaho Code 22-416
        ("California", 15),  # Food and Agricultural Code 52481, at retail
        ("Oregon", 18),  # ORS 633.651
        ("Utah", 18),  # Utah Code 4-16-202
        ("Colorado", 13),  # C.R.S. 35-27-113
        ("Michigan", 11),  # state agriculture department
        ("New York", None),  # Agriculture and Markets Law 138: for the calendar year of sale
        ("Kansas", None),  # no number was found
    ],
)
def test_the_limits_of_states(state: str, months: int | None) -> None:
    """By their own laws; none is made up where no number was found."""
    limit = age_limit(state)
    assert limit is not None
    assert limit.months == months
    assert tables.source(limit.source).title


def test_limits_run_from_nine_to_eighteen_months_in_47_states() -> None:
    """And 5 between states; 34 states have a row of law, 13 none."""
    assert months_of_states() == (9, 18)
    states = {row["state"] for row in tables.rows("test_ages")} - {FEDERAL}
    none = {row["state"] for row in tables.rows("test_ages") if row["source"] == "law-none"}
    assert (len(states), len(none)) == (47, 13)
    nine = [state for state in states if (limit := age_limit(state)) and limit.months == 9]
    assert len(nine) == 18  # with Connecticut and Missouri, which count the month of the test


def test_native_seed_has_more_time_in_minnesota() -> None:
    """Minnesota Statutes 21.86: 15 months for native grasses and forbs."""
    limit = age_limit("Minnesota")
    assert limit is not None
    assert ("native grasses and forbs", 15) in [(one.seed, one.months) for one in limit.of_some]


@pytest.mark.parametrize(
    ("state", "most_frac"),
    [("New York", 0.01), ("Iowa", 0.015), ("Montana", 0.02), ("Maryland", 0.025), ("Ohio", None)],
)
def test_most_weed_seed_by_state(state: str, most_frac: float | None) -> None:
    """By weight, as state laws print it."""
    weeds = [limit.most_frac for limit in sale_limits(state) if limit.what == "weed seed"]
    assert weeds == ([] if most_frac is None else [pytest.approx(most_frac)])
