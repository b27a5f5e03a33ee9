"""Bills on cards of a few lines, each figure worked by hand."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from unit.ledger_of_one import entries_of, request_of

from fieldplan.errors import InputError
from fieldplan.jobfile.rate_card import load_rate_card
from fieldplan.model.fee import RateCard
from fieldplan.model.records import Bill, Ground
from fieldplan.records.accounts import accounts_of
from fieldplan.records.billing import bill_of
from fieldplan.report.documents.bill import bill_document
from fieldplan.report.words.quantities import Quantities
from fieldplan.units import ACRE_M2

BACK = date(2027, 5, 3)
HEAD = '[rate_card]\nname = "c"\ncurrency = "$"\nacres = "{acres}"\n{more}\n'
RENT = '[[charge]]\nname = "rent"\nrate = "$10/ac"\n'
LATE = '[[charge]]\nname = "late"\nshare = "10 %"\nof = "{of}"\neach = "30 days"\n'


def _card(tmp_path: Path, *charges: str, acres: str = "meter", more: str = "") -> RateCard:
    (tmp_path / "card.toml").write_text(
        HEAD.format(acres=acres, more=more) + "".join(charges), encoding="utf-8"
    )
    return load_rate_card(tmp_path / "card.toml")


def _bill(
    card: RateCard,
    after: int,
    *,
    out: str = "1204.6",
    back: str = "1224.6",
    paid: dict[int, str] | None = None,
    row: dict[str, str] | None = None,
    more: tuple[tuple[str, dict[str, str]], ...] = (),
    lost: tuple[tuple[str, date], ...] = (),
    **came_in: str,
) -> Bill:
    """The bill so many days after a rental from 2 to 3 May, with payments by days after it."""
    typed = [
        ("out", {"request": "R1", "drill": "d", "day": "2027-05-02", "meter": f"{out} ac"}),
        ("in", {"request": "R1", "day": str(BACK), "meter": f"{back} ac", **came_in}),
        *more,
        *(
            ("paid", {"request": "R1", "day": str(BACK + timedelta(days=k)), "sum": text})
            for k, text in (paid or {}).items()
        ),
    ]
    as_of = BACK + timedelta(days=after)
    entries = [entry for entry in entries_of(typed) if entry.day <= as_of]
    (account,) = accounts_of(entries, [request_of(BACK, row or {})])
    ground = [Ground(field_id="a", mapped_m2=30 * ACRE_M2, plantable_m2=25 * ACRE_M2)]
    return bill_of(account, ground, card, as_of, lost)


@pytest.mark.parametrize(("out", "back"), [("1204.6", "1224.6"), ("1000.3", "1020.3"), ("100.1", "120.1")])
def test_twenty_acres_are_twenty_acres(tmp_path: Path, out: str, back: str) -> None:
    """Readings 20 ac apart fall in the tier to 20 ac, whatever their decimals do in square metres: 20 ×
    $10.
    """
    tiers = '[[charge]]\nname = "rent"\ntiers = [{ to = "20 ac", rate = "$10/ac" }, { rate = "$15/ac" }]\ntiers_apply = "whole job"\nfraction = "next tier"\n'
    assert _bill(_card(tmp_path, tiers), 1, out=out, back=back).fee.total == Decimal("200.00")


@pytest.mark.parametrize(("acres", "total"), [("meter", "200.00"), ("map", "300.00"), ("to sow", "250.00")])
def test_the_card_says_which_acres(tmp_path: Path, acres: str, total: str) -> None:
    """20 by the meter, 30 on the map, 25 to sow, at $10; mapped and drilled stay what they are."""
    bill = _bill(_card(tmp_path, RENT, acres=acres), 1)
    assert bill.fee.total == Decimal(total)
    assert (round(bill.mapped_m2 / ACRE_M2, 6), round(bill.drilled_m2 / ACRE_M2, 6)) == (30, 20)


@pytest.mark.parametrize(
    ("after", "late"),
    [(30, "0"), (31, "20.00"), (60, "20.00"), (61, "40.00"), (91, "60.00")],
)
def test_late_payment_begins_the_day_after_each_period(tmp_path: Path, after: int, late: str) -> None:
    """10 % of $200 once 30 days are over, and again after 60 and 90."""
    assert _bill(_card(tmp_path, RENT, LATE.format(of="all")), after).fee.total == Decimal(
        "200.00"
    ) + Decimal(late)


def test_late_payment_of_one_line(tmp_path: Path) -> None:
    """10 % of the $200 of rent, not of the cleaning; half of it paid on day 30: 10 % of the half."""
    cleaning = '[[charge]]\nname = "cleaning"\nrate = "$100"\n'
    card = _card(tmp_path, RENT, cleaning, LATE.format(of="rent"))
    assert _bill(card, 31).fee.total == Decimal("320.00")
    assert _bill(card, 31, paid={30: "$150"}).fee.total == Decimal("310.00")
    assert _bill(card, 31, paid={31: "$150"}).fee.total == Decimal("320.00")


def test_late_payment_for_some(tmp_path: Path) -> None:
    """A line for those who are no members does not touch a member; the fact comes from the list of
    requests, or from an entry after it.
    """
    card = _card(
        tmp_path,
        RENT,
        LATE.format(of="all") + 'when = { member = "no" }\n',
        more='usual = { member = "yes" }',
    )
    assert _bill(card, 31).fee.total == Decimal("200.00")
    assert _bill(card, 31, row={"member": "no"}).fee.total == Decimal("220.00")
    assert _bill(card, 31, row={"member": "no"}, bill="member=yes").fee.total == Decimal("200.00")


PROMPT = '[[charge]]\nname = "{name}"\nshare = "-{share} %"\nof = "rent"\npaid_within = "{days} days"\n'


@pytest.mark.parametrize(
    ("paid", "after", "owed", "offer"),
    [
        ({}, 5, "200.00", "176.00"),  # both lines while there is time for both
        ({}, 10, "200.00", "176.00"),
        ({}, 20, "200.00", "196.00"),
        ({}, 31, "200.00", None),
        ({20: "$196"}, 40, "0.00", None),  # the later line alone
        ({10: "$176"}, 40, "0.00", None),
        ({10: "$175.99"}, 40, "24.01", None),
        ({10: "$176", 35: "-$176"}, 40, "200.00", None),  # it did not stay
    ],
)
def test_two_prompt_lines(
    tmp_path: Path, paid: dict[int, str], after: int, owed: str, offer: str | None
) -> None:
    """10 % within 10 days and 2 % within 30 on $200."""
    card = _card(
        tmp_path,
        RENT,
        PROMPT.format(name="soon", share=10, days=10),
        PROMPT.format(name="later", share=2, days=30),
    )
    bill = _bill(card, after, paid=paid)
    assert bill.owed == Decimal(owed)
    assert bill.if_prompt == (None if offer is None else Decimal(offer))


def test_hours_and_miles_of_every_loan_or_none(tmp_path: Path) -> None:
    """7 h at $50; with a second rental that says no hours the bill cannot be made."""
    card = _card(tmp_path, '[[charge]]\nname = "hours"\nrate = "$50/h"\n')
    assert _bill(card, 1, hours="7 h").fee.total == Decimal("350.00")
    again = (
        ("out", {"request": "R1", "drill": "d", "day": str(BACK), "meter": "1224.6 ac"}),
        ("in", {"request": "R1", "day": str(BACK), "meter": "1225 ac"}),
    )
    with pytest.raises(InputError, match="charged by hours"):
        _bill(card, 1, hours="7 h", more=again)
    assert _bill(
        card, 1, hours="7 h", more=(again[0], ("in", {**again[1][1], "hours": "1 h"}))
    ).fee.total == Decimal("400.00")
    assert (
        _bill(card, 1, hours="7 h", more=(again[0], ("in", {**again[1][1], "hours": "1 h"}))).account.days
        == 2
    )


def test_lost_days_are_those_of_the_drill_while_it_was_out(tmp_path: Path) -> None:
    """One of its own, counted once; not another drill's, nor one before or after."""
    lost = (
        ("d", BACK),
        ("d", BACK),
        ("e", BACK),
        ("d", BACK + timedelta(days=1)),
        ("d", BACK - timedelta(days=2)),
    )
    assert _bill(_card(tmp_path, RENT), 1, lost=lost).lost_days == 1


@pytest.mark.parametrize(
    ("charges", "more", "due"),
    [
        ((RENT,), "", None),
        ((RENT,), 'due = "14 days"', BACK + timedelta(days=14)),
        ((RENT, LATE.format(of="all")), "", BACK + timedelta(days=30)),
        ((RENT, LATE.format(of="all")), 'due = "14 days"', BACK + timedelta(days=14)),
    ],
    ids=["nothing said", "said", "until the first charge for being late", "said before it"],
)
def test_an_invoice_is_due_as_the_card_says(
    tmp_path: Path, charges: tuple[str, ...], more: str, due: date | None
) -> None:
    """Days count from the return on 3 May; the terms are those of the card, word for word."""
    bill = _bill(_card(tmp_path, *charges, more=f'{more}\nterms = ["By check.", "Thank you."]'), 1)
    assert bill.due == due
    lines = [line for part in bill_document(bill, "spring", Quantities("us")).parts for line in part.lines]
    assert [line for line in lines if line.startswith("Due")] == (
        [] if due is None else [f"Due by {due:%a %d %b %Y}: $200.00."]
    )
    assert [line for line in lines if line in bill.card.terms] == ["By check.", "Thank you."]


@pytest.mark.parametrize("due", ["30", "0 days", "1.5 days", "2 weeks"])
def test_an_unreadable_due_is_refused(tmp_path: Path, due: str) -> None:
    """Whole days, one or more."""
    with pytest.raises(InputError):
        _card(tmp_path, RENT, more=f'due = "{due}"')
