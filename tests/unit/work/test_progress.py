"""Pace and rest of a job of two fields, worked by hand."""

from __future__ import annotations

from typing import Any

import pytest

from fieldplan.errors import InputError
from fieldplan.model.budget import OrderLine
from fieldplan.model.job import BookingTerms
from fieldplan.model.progress import FieldAhead, Outlook, SoFar
from fieldplan.units import HOUR_S
from fieldplan.work.booking import prob_within
from fieldplan.work.progress import outlook

OATS = ("oats", "A1")
FIELDS = [
    FieldAhead(field_id=name, drilled_m2=m2, field_s=h * HOUR_S, sown_kg={OATS: kg})
    for name, m2, h, kg in (("a", 40_000.0, 4, 200.0), ("b", 60_000.0, 6, 300.0))
]
"""10 ha of oats at 50 kg/ha, an hour a hectare."""
ORDER = [
    OrderLine(
        species="oats",
        lot="A1",
        sown_kg=500.0,
        need_kg=525.0,
        residual_kg=0.0,
        bag_kg=25.0,
        bags=22,
        pls_frac=0.9,
    )
]
TERMS = BookingTerms(day_s=8 * HOUR_S, fieldwork_day_prob=0.5, confidence_prob=0.8)


def _outlook(
    metered_m2: float, worked_h: float, left_kg: float = 350.0, around_h: float = 0.0, **more: Any
) -> Outlook:
    so_far = SoFar(metered_m2=metered_m2, worked_s=worked_h * HOUR_S, left_kg={OATS: left_kg}, **more)
    return outlook(so_far, FIELDS, lambda _: around_h * HOUR_S, ORDER, TERMS, (-95.0, 44.0), 3)


def test_the_rest_takes_its_planned_hours_by_the_pace_so_far() -> None:
    """4 ha planned for 4 h took 5: the other 6 h take 7.5, and 0.5 h around them."""
    found = _outlook(40_000.0, 5.0, around_h=0.5)
    assert (found.planned_s, found.rest_m2) == (4 * HOUR_S, 60_000)
    assert found.rest_s == pytest.approx(8 * HOUR_S)
    assert found.real_pace_m2_per_s == pytest.approx(40_000 / (5 * HOUR_S))
    assert found.prob_in_days_left == prob_within(found.rest_s, TERMS, (-95.0, 44.0), 3)


def test_the_field_under_way_counts_by_its_share() -> None:
    """7 ha: the first field and half of the second, 4 + 3 planned hours."""
    found = _outlook(70_000.0, 7.0)
    assert [field.share for field in found.fields] == [1.0, 0.5]
    assert found.planned_s == 7 * HOUR_S
    assert found.rest_s == pytest.approx(3 * HOUR_S)


def test_a_field_that_is_said_to_be_done_comes_first() -> None:
    """The second is done, and 1 ha of the first: 6 + 1 planned hours."""
    found = _outlook(70_000.0, 7.0, done=frozenset({"b"}))
    assert [(field.share, field.reported) for field in found.fields] == [(0.25, False), (1.0, True)]
    assert found.planned_s == 7 * HOUR_S


def test_a_lot_s_rate_is_what_is_gone_over_what_should_be() -> None:
    """550 kg ordered, 330 left: 220 gone where 200 should be, a tenth too much; the rest asks for 330
    instead of 300.
    """
    (lot,) = _outlook(40_000.0, 4.0, left_kg=330.0).lots
    assert (lot.gone_kg, lot.expected_kg) == (220, pytest.approx(200))
    assert lot.error_frac == pytest.approx(0.1)
    assert lot.planned_kg_per_m2 == pytest.approx(0.005)
    assert lot.real_kg_per_m2 == pytest.approx(0.0055)
    assert lot.short_kg == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("metered_m2", "worked_h", "more", "code"),
    [
        (0.0, 1.0, {}, "nothing-done"),
        (1000.0, 0.0, {}, "nothing-done"),
        (110_001.0, 9.0, {}, "metered-too-much"),
        (54_000.0, 5.0, {"done": frozenset({"b"})}, "metered-too-little"),
        (40_000.0, 4.0, {"left_kg": 550.1}, "left-too-much"),
    ],
)
def test_readings_that_cannot_be_are_refused(
    metered_m2: float, worked_h: float, more: dict[str, Any], code: str
) -> None:
    """Nothing done, over a tenth more than all, over a tenth less than what is done, more left than was
    ordered.
    """
    with pytest.raises(InputError) as refused:
        _outlook(metered_m2, worked_h, **more)
    (problem,) = refused.value.problems
    assert problem.code == code
    assert problem.text.endswith(".")
    assert problem.hint


def test_a_tenth_more_or_less_is_taken_as_it_is() -> None:
    """110,000 m² of 100,000; 55,000 where 60,000 are done."""
    assert _outlook(110_000.0, 9.0, left_kg=0.0).rest_m2 == 0
    assert _outlook(55_000.0, 5.0, done=frozenset({"b"})).fields[1].share == 1.0
