"""Entries gathered by request: what counts where several say something."""

from __future__ import annotations

from datetime import date

import pytest
from unit.ledger_of_one import entries_of, request_of

from fieldplan.model.booked import Confirmed
from fieldplan.model.records import Account, Ground
from fieldplan.records.accounts import accounts_of
from fieldplan.records.current_entries import current_entries
from fieldplan.records.packet import packet_of

DAY = date(2027, 5, 3)
GROUND = Ground(field_id="a", mapped_m2=40_000.0, plantable_m2=40_000.0)


def _account(*typed: tuple[str, str], listed: str = "pasture") -> Account:
    """The account of R1 after entries written as kind and facts."""
    entries = []
    for kind, words in typed:
        facts = dict(word.split("=", 1) for word in f"request=R1|day={DAY}|{words}".split("|") if word)
        if kind == "strike":
            del facts["request"]
        entries.append((kind, facts))
    request = request_of(DAY, {"practice": listed})
    (account,) = accounts_of(current_entries(entries_of(entries)), [request])
    return account


def test_the_practice_of_the_entry_goes_before_that_of_the_list() -> None:
    """Sown as said; else as the list has it."""
    account = _account(
        ("out", "drill=d|meter=1 ac"), ("sown", "field=a|practice=cover crop"), ("sown", "field=b")
    )
    assert [one.practice for one in account.sown] == ["cover crop", "pasture"]


def test_the_last_confirmation_and_the_last_fact_count() -> None:
    """A renter says yes to other days; the return says otherwise than the going out."""
    account = _account(
        ("confirm", "drill=d|first=2027-05-03"),
        ("confirm", "drill=e|first=2027-05-10"),
        ("out", "drill=d|meter=1 ac|bill=area=inside, cleaned=yes"),
        ("in", "meter=2 ac|bill=cleaned=no"),
    )
    assert account.confirmed == Confirmed(drill="e", first=date(2027, 5, 10))
    assert account.facts == {"area": "inside", "cleaned": "no"}


def test_a_struck_correction_strikes_the_row_it_began_as() -> None:
    """A remark, put right, then struck: nothing is left; put right twice: the last word stands, once."""
    assert (
        _account(
            ("remark", "text=a"), ("remark", "text=b|corrects=1"), ("strike", "why=x|corrects=2")
        ).remarks
        == ()
    )
    twice = _account(("remark", "text=a"), ("remark", "text=b|corrects=1"), ("remark", "text=c|corrects=2"))
    assert [remark.facts["text"] for remark in twice.remarks] == ["c"]


def test_a_returned_loan_and_one_still_out() -> None:
    """Metered ground and days are those of rentals that are over."""
    account = _account(("out", "drill=d|meter=1 ac"), ("in", "meter=3 ac"), ("out", "drill=d|meter=3 ac"))
    assert not account.returned
    assert (round(account.drilled_m2 / 4046.8564224, 6), account.days) == (2, 1)


@pytest.mark.parametrize(
    ("listed", "sown", "practice", "cautions"),
    [
        ("pasture", "", "pasture", 0),  # the request alone says it
        ("", "cover crop", "cover crop", 0),  # the record alone
        ("Pasture", "pasture", "pasture", 0),
        (
            "pasture",
            "cover crop",
            "cover crop",
            1,
        ),  # both, and differently: the record counts, and it is said
    ],
)
def test_a_packet_takes_the_practice_from_whichever_says_it(
    listed: str, sown: str, practice: str, cautions: int
) -> None:
    """From the row of the list, or from the entry of a field sown."""
    typed = "field=a" + (f"|practice={sown}" if sown else "")
    found = packet_of(_account(("out", "drill=d|meter=1 ac"), ("sown", typed), listed=listed), [GROUND])
    assert found.facts["practice"] == practice
    assert sum(one.code == "practice-differs" for one in found.cautions) == cautions


def test_a_packet_has_the_practice_of_the_request_before_anything_is_sown() -> None:
    """Nothing is sown yet: the row of the list says pasture."""
    found = packet_of(_account(("out", "drill=d|meter=1 ac"), listed="pasture"), [GROUND])
    assert found.facts["practice"] == "pasture"
