"""Each way to charge by its formula, to the cent, and how it is told."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from fieldplan.errors import InputError
from fieldplan.model.fee import Charge, Fee, JobFacts, Price, Rate, RateCard, Share, Tier, Tiers
from fieldplan.work.fee import fee_of

TIERS = (
    Tier(to=20, rate=Decimal(12), flat=None),
    Tier(to=40, rate=Decimal(11), flat=None),
    Tier(to=None, rate=Decimal(10), flat=None),
)
"""Virginia's posted tiers: $12 to 20 acres, $11 to 40, $10 beyond; the page does not say how they apply."""
RENT = Charge(name="rent", unit="ac", price=Rate(rate=Decimal(10)))


def _fee(
    *charges: Charge,
    acres: float = 30.0,
    late: bool = True,
    card: dict[str, Any] | None = None,
    **facts: Any,
) -> Fee:
    rates = RateCard(name="c", currency="$", acres="meter", charges=charges, **(card or {}))
    return fee_of(rates, JobFacts(acres={"meter": acres}, **facts), late=late)


def _only(price: Price, acres: float = 30.0, **more: Any) -> tuple[Decimal, str]:
    line = _fee(Charge(name="x", price=price, **{"unit": "ac", **more}), acres=acres).lines[0]
    return line.amount, "" if line.how is None else str(line.how)


@pytest.mark.parametrize(
    ("price", "acres", "amount", "how"),
    [
        (Rate(rate=Decimal("14")), 25, "350.00", "25 ac × $14"),
        (Rate(rate=Decimal("-0.50")), 45, "-22.50", "45 ac × −$0.50"),
        (Rate(rate=Decimal("20"), free=2), 5, "60.00", "3 ac × $20, after 2 free"),
        (Tiers(tiers=TIERS), 41, "410.00", "41 ac × $10, the tier's rate for the whole job"),
        (Tiers(tiers=TIERS), 40, "440.00", "40 ac × $11, the tier's rate for the whole job"),
        (Tiers(tiers=TIERS), 20.5, "225.50", "20.5 ac × $11, the tier's rate for the whole job"),
        (
            Tiers(tiers=TIERS, fraction_next=False),
            20.5,
            "246.00",
            "20.5 ac × $12, the tier's rate for the whole job",
        ),
        (Tiers(tiers=TIERS, whole_job=False), 45, "510.00", "20 ac × $12 + 20 ac × $11 + 5 ac × $10"),
        (
            Tiers(
                tiers=(
                    Tier(to=10, rate=None, flat=Decimal(135)),
                    Tier(to=None, rate=Decimal(6), flat=None),
                ),
                whole_job=False,
            ),
            25,
            "225.00",
            "$135 to 10 ac + 15 ac × $6",
        ),
        (
            Tiers(
                tiers=(Tier(to=10, rate=None, flat=Decimal(135)), Tier(to=None, rate=Decimal(6), flat=None))
            ),
            8,
            "135.00",
            "flat",
        ),
    ],
)
def test_a_price_comes_to_its_formula_and_says_how(
    price: Price, acres: float, amount: str, how: str
) -> None:
    """41 acres cost less than 40 where the tier is that of the whole job, $410 against $440, as a table of
    two readings has it.
    """
    assert _only(price, acres) == (Decimal(amount), how)


def test_the_min_of_a_line_is_told_with_what_it_would_else_be() -> None:
    """$14 × 8 = $112 under the least of $140 that Minnesota posts; 8 acres under a least of 10 at $11."""
    assert _only(Rate(rate=Decimal(14)), 8, minimum=Decimal(140)) == (
        Decimal("140.00"),
        "minimum charge, instead of 8 ac × $14",
    )
    assert _only(Rate(rate=Decimal(11)), 8, min_quantity=10) == (
        Decimal("110.00"),
        "10 ac × $11, the minimum of 10 ac",
    )
    assert _only(Rate(rate=Decimal(50)), 8, unit="use", minimum=Decimal(60)) == (
        Decimal("60.00"),
        "minimum charge",
    )
    assert _only(Rate(rate=Decimal(50)), 8, unit="use") == (Decimal("50.00"), "")


def test_a_share_is_of_the_lines_that_it_names() -> None:
    """Half of the first 30 of 60 acres at $15 refunded (Ohio): 900 − 0.5 × 900 × 30/60 = 675."""
    refund = Charge(name="refund", price=Share(share_frac=Decimal("-0.5"), of="rent", up_to=30))
    fee = _fee(Charge(name="rent", unit="ac", price=Rate(rate=Decimal(15))), refund, acres=60)
    assert fee.total == Decimal("675.00")
    assert str(fee.lines[1].how) == "-50 % of rent, for 30 of 60 ac"


@pytest.mark.parametrize(("paid_after", "times"), [(30, 0), (31, 1), (60, 1), (61, 2)])
def test_late_payment_adds_its_share_for_each_period_beyond_the_first(
    paid_after: float, times: int
) -> None:
    """10 % of $300 for every 30 days that are begun after the first 30."""
    late = Charge(name="late", price=Share(share_frac=Decimal("0.1"), of="all", each_days=30))
    fee = _fee(RENT, late, paid_after_days=paid_after)
    assert fee.total == Decimal(300 + 30 * times)
    assert _fee(RENT, late, paid_after_days=paid_after, late=False).total == 300
    if times:
        assert str(fee.lines[1].how) == f"+10 % of all, {times} × 30 days over"


def test_of_alternatives_the_greater_or_the_smaller_counts() -> None:
    """30 acres: $10 each against $250 a use."""
    by_acre, by_use = (
        Charge(name=name, unit=unit, price=Rate(rate=Decimal(rate)), one_of="g")
        for name, unit, rate in (("acre", "ac", 10), ("use", "use", 250))
    )  # type: ignore[arg-type]
    assert _fee(by_acre, by_use).total == 300
    assert _fee(by_acre, by_use, card={"greater": False}).total == 250


def test_a_deposit_is_held_and_no_charge() -> None:
    """$100 stand apart, and a share of all lines is not of them."""
    deposit = Charge(name="deposit", kind="deposit", price=Rate(rate=Decimal(100)))
    fee = _fee(RENT, deposit, Charge(name="tax", price=Share(share_frac=Decimal("0.05"), of="all")))
    assert (fee.total, fee.deposits) == (Decimal("315.00"), 100)


@pytest.mark.parametrize(
    ("charge", "facts", "code", "sentence"),
    [
        (
            Charge(name="days", unit="day", price=Rate(rate=Decimal(1))),
            {},
            "quantity-not-said",
            '"days" is charged by days, and they are not given.',
        ),
        (
            Charge(name="miles", unit="mile", price=Rate(rate=Decimal(1))),
            {},
            "quantity-not-said",
            '"miles" is charged by miles, and they are not given.',
        ),
        (
            Charge(name="h", unit="hour", price=Rate(rate=Decimal(1))),
            {},
            "quantity-not-said",
            '"h" is charged by hours, and they are not given.',
        ),
        (RENT, {"conditions": {"area": "x"}}, "fact-unknown", 'The rate card "c" does not ask for area.'),
        (
            Charge(name="r", price=Rate(rate=Decimal(1)), when={"area": "in"}),
            {"conditions": {"area": "x"}},
            "fact-unknown",
            'The rate card "c" has no area "x".',
        ),
        (
            Charge(name="r", price=Rate(rate=Decimal(1)), when={"area": "in"}),
            {},
            "fact-not-said",
            'The rate card "c" depends on area, and it is not given.',
        ),
    ],
)
def test_what_was_not_said_is_asked_for(
    charge: Charge, facts: dict[str, Any], code: str, sentence: str
) -> None:
    """By its code, in a sentence of its own, with what to say."""
    with pytest.raises(InputError) as refused:
        _fee(charge, **facts)
    (problem,) = refused.value.problems
    assert (problem.code, problem.text) == (code, sentence)
    assert problem.hint


def test_acres_that_the_card_bills_must_be_known() -> None:
    """Metered ones, with the option that says them."""
    with pytest.raises(InputError) as refused:
        fee_of(
            RateCard(name="c", currency="$", acres="meter", charges=(RENT,)), JobFacts(acres={"map": 30.0})
        )
    assert refused.value.problems[0].hint == "give --meter-acres, or fields and a job file"
