"""Days that a rate card bills: its own words decide about Sundays, closed days, days lost and the least days."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from unit.ledger_of_one import entries_of, request_of

from fieldplan.errors import JobFileError
from fieldplan.jobfile.rate_card import load_rate_card
from fieldplan.model.records import Bill, Ground
from fieldplan.records.accounts import accounts_of
from fieldplan.records.billing import bill_of
from fieldplan.report.documents.bill import bill_document
from fieldplan.report.words.quantities import Quantities
from fieldplan.units import ACRE_M2

FRIDAY, TUESDAY = date(2027, 4, 23), date(2027, 4, 27)
SATURDAY, SUNDAY, MONDAY = date(2027, 4, 24), date(2027, 4, 25), date(2027, 4, 26)


def _card(tmp_path: Path, days_free: str = "", more: str = "") -> Path:
    free = f"days_free = {days_free}\n" if days_free else ""
    text = f'[rate_card]\nname = "c"\ncurrency = "$"\nacres = "meter"\n{free}[[charge]]\nname = "days"\nrate = "$20/day"\n{more}\n'
    (tmp_path / "card.toml").write_text(text, encoding="utf-8")
    return tmp_path / "card.toml"


def _bill(path: Path, out: date = FRIDAY, back: date = TUESDAY, **days: set[tuple[str, date]]) -> Bill:
    """A rental of the drill d, which does not work on Sundays nor on Saturday 24 April."""
    typed = [
        ("out", {"request": "R1", "drill": "d", "day": str(out), "meter": "100 ac"}),
        ("in", {"request": "R1", "day": str(back), "meter": "120 ac"}),
    ]
    (account,) = accounts_of(entries_of(typed), [request_of(back, {})])
    ground = [Ground(field_id="a", mapped_m2=30 * ACRE_M2, plantable_m2=25 * ACRE_M2)]
    return bill_of(
        account,
        ground,
        load_rate_card(path),
        back,
        days.get("lost", set()),
        days.get("down", set()),
        lambda _, day: day.weekday() != 6 and day != SATURDAY,
    )


@pytest.mark.parametrize(
    ("words", "total"),
    [
        (
            "",
            "100.00",
        ),  # Friday to Tuesday is 5 calendar days at $20: a card that is silent leaves none out
        ('["Sunday"]', "80.00"),
        ('["days off"]', "60.00"),  # Saturday the 24th and Sunday
        ('["Sunday", "days lost"]', "60.00"),  # Monday was rained out
        ('["days lost", "days down"]', "60.00"),  # Monday, and Tuesday with the drill broken
        ('["Sunday", "days off", 2027-04-27]', "40.00"),  # Sunday is both and is left out once
        ('"Sunday"', "80.00"),
    ],
)
def test_the_card_says_which_days_are_billed(tmp_path: Path, words: str, total: str) -> None:
    """Five days out over a Sunday at $20 a day, less those that the card leaves out."""
    bill = _bill(_card(tmp_path, words), lost={("d", MONDAY)}, down={("d", TUESDAY)})
    assert bill.fee.total == Decimal(total)
    assert bill.account.days == 5


def test_the_least_days_are_billed(tmp_path: Path) -> None:
    """Sunday alone is left out and nothing is left, but two days are the least: 2 × $20. Five days stay five less one."""
    path = _card(tmp_path, '["Sunday"]', 'least_days = "2 days"')
    assert _bill(path, SUNDAY, SUNDAY).fee.total == Decimal("40.00")
    assert _bill(path).fee.total == Decimal("80.00")


def test_days_that_are_free_of_charge_count_after_those_left_out(tmp_path: Path) -> None:
    """5 days less Sunday are 4; the first 3 are free: 1 × $20."""
    assert _bill(_card(tmp_path, '["Sunday"]', 'free = "3 days"')).fee.total == Decimal("20.00")


def test_days_of_another_drill_are_not_left_out(tmp_path: Path) -> None:
    """Rain with the drill e is nothing to a renter of d: 5 × $20."""
    assert _bill(_card(tmp_path, '["days lost"]'), lost={("e", MONDAY)}).fee.total == Decimal("100.00")


def test_the_invoice_says_which_days_it_counts(tmp_path: Path) -> None:
    """Five out, one left out by name; a silent card says that it counts all."""
    q = Quantities("us")
    said = " ".join(bill_document(_bill(_card(tmp_path, '["Sunday"]')), "spring", q).about)
    assert "Charges by the day count 4 of them; the rate card leaves out Sun 25 Apr." in said
    silent = " ".join(bill_document(_bill(_card(tmp_path)), "spring", q).about)
    assert "Charges by the day count every one of them" in silent


@pytest.mark.parametrize(
    ("free", "more", "sentence"),
    [
        ('["Sundy"]', "", 'did you mean "sunday"?'),
        ("[3]", "", "is no weekday, no date"),
        ("", 'least_acres = "2 ac"', "needs a charge by the acre"),
        ("", 'least_days = "2 ac"', "2 ac"),
    ],
)
def test_words_that_a_card_does_not_have(tmp_path: Path, free: str, more: str, sentence: str) -> None:
    """They are refused with what would be right."""
    with pytest.raises(JobFileError) as caught:
        load_rate_card(_card(tmp_path, free, more))
    (problem,) = caught.value.problems
    assert sentence in f"{problem.text} {problem.hint}"
