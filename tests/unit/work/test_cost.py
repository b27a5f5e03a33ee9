"""Costs by the formulas: fuel = drilled ground × published litres × price, labour = hours × wage, seed =
whole bags × price.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from fieldplan.model.budget import OrderLine
from fieldplan.model.cost import CostLine, CostTerms, JobCost
from fieldplan.model.fee import Charge, Rate, RateCard, Unit
from fieldplan.model.seed import Price
from fieldplan.units import ACRE_M2, GALLON_M3, HOUR_S, POUND_KG
from fieldplan.work.cost import ITEMS, job_cost


def _card(rate: str, unit: Unit) -> RateCard:
    charge = Charge(name="rent", unit=unit, price=Rate(rate=Decimal(rate)))
    return RateCard(name="card", currency="$", acres="map", charges=(charge,))


def _lot(price: Price | None) -> OrderLine:
    """Three bags of 50 lb."""
    return OrderLine(
        species="oats",
        lot="",
        sown_kg=60.0,
        need_kg=62.0,
        residual_kg=0.0,
        bag_kg=50 * POUND_KG,
        bags=3,
        pls_frac=0.9,
        price=price,
    )


def _cost(days: int | None = 2, *lots: OrderLine, **terms: object) -> JobCost:
    """10 acres on the map, 11 by the meter, 10 hours of work of which 8 in the fields."""
    ground = {"map": 10 * ACRE_M2, "meter": 11 * ACRE_M2, "to sow": 10 * ACRE_M2}
    return job_cost(CostTerms(**terms), lots, ground, 10 * HOUR_S, 8 * HOUR_S, days)  # type: ignore[arg-type]


def _line(cost: JobCost, name: str) -> CostLine:
    return next(line for line in cost.lines if line.name == name)


def _unknown(cost: JobCost) -> list[str]:
    return [str(one) for one in cost.unknown]


def test_an_item_is_known_or_said_not_to_be() -> None:
    """Without a price there is no line, and each item says what would make it known."""
    cost = _cost(2, _lot(None))
    assert cost.lines == ()
    assert _unknown(cost) == [
        "rental (rate_card)",
        "seed of 1 lot (price)",
        "fuel (fuel_price)",
        "labor (wage)",
    ]
    assert len(cost.unknown) == len(ITEMS)


def test_fuel_is_metered_ground_by_the_published_range() -> None:
    """11 ac × 0.35 and 0.52 gal/ac (University of Missouri Extension G1208, and the most of other tables) ×
    $4.
    """
    cost = _cost(fuel_price_per_m3=4 / GALLON_M3)
    fuel = _line(cost, "fuel")
    assert (fuel.low, fuel.high) == (pytest.approx(11 * 0.35 * 4), pytest.approx(11 * 0.52 * 4))
    assert fuel.sources == cost.fuel_sources == ("mu-g1208",)
    assert cost.fuel_m3 == (pytest.approx(11 * 0.35 * GALLON_M3), pytest.approx(11 * 0.52 * GALLON_M3))


def test_labor_is_the_whole_job_and_a_card_by_the_hour_bills_the_field() -> None:
    """10 h × $20; 8 h × $75."""
    cost = _cost(wage_per_s=20 / HOUR_S, rate_card=_card("75", "hour"))
    assert _line(cost, "labor").low == pytest.approx(200)
    assert _line(cost, "rental").low == pytest.approx(600)


def test_seed_is_paid_by_whole_bags() -> None:
    """3 × 50 lb × $0.40, though 62 kg would do."""
    assert _line(_cost(2, _lot(Price(per_kg=0.40 / POUND_KG, currency="$"))), "seed").low == pytest.approx(
        60
    )


def test_money_of_another_currency_is_not_added() -> None:
    """One lot in $ and one in EUR, where the job's prices are in $: the second is not known."""
    cost = _cost(
        2,
        _lot(Price(per_kg=0.40 / POUND_KG, currency="$")),
        _lot(Price(per_kg=1.0, currency="EUR")),
        currency="$",
        fuel_price_per_m3=1.0,
        wage_per_s=0.0,
    )
    assert cost.currency == "$"
    assert _line(cost, "seed").low == pytest.approx(60)
    assert "seed of 1 lot priced in another currency" in _unknown(cost)


def test_a_rental_by_the_day_is_not_known_without_days() -> None:
    """By the acre it is: 10 ac × $14, whatever the booking."""
    by_day, by_acre = (
        _cost(None, rate_card=_card(rate, unit)) for rate, unit in (("25", "day"), ("14", "ac"))
    )
    assert by_day.lines == ()
    assert _unknown(by_day)[0] == "rental (no days to book)"
    assert _line(by_acre, "rental").low == pytest.approx(140)
    assert str(_line(by_acre, "rental").how) == "card, no days booked"


def test_the_total_is_of_what_is_known() -> None:
    """$140 of rent and $15.40 to $22.88 of fuel."""
    cost = _cost(rate_card=_card("14", "ac"), fuel_price_per_m3=4 / GALLON_M3)
    assert cost.total == (pytest.approx(155.40), pytest.approx(162.88))


def test_only_what_every_drill_costs_again_is_marked_so() -> None:
    """Two drills are two rentals; they burn no more fuel, and people are paid by the hour."""
    cost = _cost(
        2,
        _lot(Price(per_kg=1.0, currency="$")),
        rate_card=_card("14", "ac"),
        fuel_price_per_m3=1.0,
        wage_per_s=0.001,
    )
    assert [line.name for line in cost.lines if line.by_drill] == ["rental"]
