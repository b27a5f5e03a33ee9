"""Entries gathered by request: what counts where several say something."""

from __future__ import annotations

from datetime import date

from fieldplan.model.records import Account, Entry, Fresh
from fieldplan.model.season import Confirmed, Request
from fieldplan.records.accounts import accounts_of
from fieldplan.records.current_entries import current_entries
from fieldplan.records.kinds import facts_of

DAY = date(2027, 5, 3)


def _account(*typed: tuple[str, str]) -> Account:
    """The account of R1 after entries written as kind and facts."""
    entries = []
    for n, (kind, words) in enumerate(typed, start=1):
        facts = dict(word.split("=", 1) for word in f"request=R1|day={DAY}|{words}".split("|") if word)
        corrects = int(facts.pop("corrects")) if "corrects" in facts else None
        if kind == "strike":
            del facts["request"]
        entries.append(
            Entry(
                number=n,
                entered="",
                kind=kind,
                typed=facts,
                corrects=corrects,
                facts=facts_of(Fresh(kind=kind, typed=facts, corrects=corrects)),
            )
        )
    request = Request(
        row=2,
        request_id="R1",
        renter="x",
        ready=DAY,
        until=DAY,
        asked=None,
        fields=None,
        ground_m2=1.0,
        place_lonlat=(0.0, 0.0),
        mix=None,
        pto_power_w=None,
        facts={"practice": "pasture"},
    )
    (account,) = accounts_of(current_entries(entries), [request])
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
