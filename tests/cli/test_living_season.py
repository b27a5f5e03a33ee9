"""One season lives in one store: the list is taken in, what was promised holds, and what is free again is offered."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from living import Clerk, odds_of, places, row

import fieldplan

pytest.importorskip("ortools")

NAMES = ("A", "B", "C", "D")


@pytest.fixture
def clerk(tmp_path: Path) -> Clerk:
    """Four requests of 12 acres, one drill, first come first served and early: A, B, C, D one after the other."""
    return (
        Clerk(tmp_path / "spring")
        .season(early_by_rules="true")
        .list(*(row(name, asked=f"2027-03-0{k}") for k, name in enumerate(NAMES, start=1)))
    )


def test_a_plan_is_entered_and_entered_once(clerk: Clerk) -> None:
    """Four requests and four bookings; planned again, nothing is new."""
    bookings = clerk.bookings()
    assert [one["kind"] for one in clerk.entries] == ["request"] * 4 + ["planned"] * 4
    assert clerk.bookings() == bookings
    assert len(clerk.entries) == 8
    assert all(len(bookings[name]["days"]) == 3 for name in NAMES)


def test_a_what_if_enters_nothing(clerk: Clerk) -> None:
    """Neither a plan with --what-if, nor rain with a day that is only supposed to be lost."""
    clerk.does("plan --what-if")
    assert not (clerk.folder / "season.ledger").exists()
    clerk.does("plan")
    clerk.does("rain --today 2027-05-03 --lost 2027-05-04", "rain --today 2027-05-03 --done A=50%")
    assert len(clerk.entries) == 8


def test_plan_phone_confirm_rain(clerk: Clerk) -> None:
    """Who said yes keeps drill and days through rain; the odds fall by the day lost inside; the others go round it."""
    before = clerk.bookings()
    clerk.record("confirm request=A day=2027-04-01", "confirm request=C day=2027-04-02")
    clerk.record(f"lost day={before['C']['days'][1]} why=rain")
    found = clerk.json("rain --today 2027-05-03")
    changes = {one["request"]: one for one in found["changes"]}
    for name in ("A", "C"):
        assert changes[name]["now"] == changes[name]["was"]
    needed = 1  # 12 acres are 7 h of work: one day of 8 h
    assert changes["A"]["odds_prob"] == pytest.approx(odds_of(3, needed))
    assert changes["C"]["odds_prob"] == pytest.approx(odds_of(2, needed))
    (clash,) = found["clashes"]
    assert (clash["request"], clash["behind"], clash["short_days"]) == ("C", "D", 1)
    assert [one["why"] for one in clash["lost"]] == ["rain"]
    after = clerk.bookings()
    assert places(after, ("A", "C")) == places(before, ("A", "C"))
    assert before["C"]["days"][1] in after["C"]["days"]
    assert after["C"]["odds_prob"] == pytest.approx(odds_of(2, needed))


def test_a_choice_that_is_offered_can_be_entered(clerk: Clerk) -> None:
    """C is a day short and D, behind it, has not said yes: D could have other days, and C then gets one more."""
    before = clerk.bookings()
    clerk.record("confirm request=C day=2027-04-02", "confirm request=D day=2027-04-02")
    clerk.record(f"lost day={before['C']['days'][1]} why=breakdown")
    (clash,) = clerk.json("rain --today 2027-05-03")["clashes"]
    moves = next(one for one in clash["choices"] if one["command"].startswith("release request=D"))
    release, confirm = moves["command"].split("; ")
    clerk.record(f"{release} day=2027-05-01", f"{confirm} day=2027-05-01")
    days = " ".join([*before["C"]["days"], before["D"]["days"][0]])
    clerk.record(f'confirm request=C day=2027-05-01 days="{days}"')
    after = clerk.json("rain --today 2027-05-03")
    assert not after["clashes"]
    (longer,) = [one for one in after["changes"] if one["request"] == "C"]
    assert longer["odds_prob"] == pytest.approx(odds_of(3, 1))


def test_an_overrun_names_both_and_moves_nobody(clerk: Clerk) -> None:
    """A's drill is still out on its last day with nothing sown, and B stands behind it: both are named."""
    before = clerk.bookings()
    clerk.record("confirm request=A day=2027-04-01", "confirm request=B day=2027-04-01")
    clerk.record('out request=A drill=one day=2027-05-03 meter="100 ac"')
    found = clerk.json(f"rain --today {before['A']['days'][-1]}")
    (clash,) = found["clashes"]
    assert (clash["request"], clash["behind"]) == ("A", "B")
    assert found["assumed_not_done"] == ["A"]
    assert places(clerk.bookings(), ("B",)) == places(before, ("B",))
    clerk.record(f"done request=A day={before['A']['days'][-1]} share=100%")
    assert not clerk.json(f"rain --today {before['A']['days'][-1]}")["clashes"]


def test_work_that_needs_longer_takes_days_that_nobody_has(clerk: Clerk) -> None:
    """D is last and alone behind C: out with nothing done on its last day, it goes on for the days that its work needs."""
    before = clerk.bookings()
    clerk.record('out request=D drill=one day=2027-05-03 meter="100 ac"')
    last = before["D"]["days"][-1]
    clerk.json(f"rain --today {last}")
    after = clerk.bookings()
    assert set(before["D"]["days"]) < set(after["D"]["days"])
    assert after["D"]["confirmed"]


def test_withdraw_and_refill(clerk: Clerk) -> None:
    """A row that is gone is asked about; once withdrawn, its days go to nobody until somebody said yes."""
    clerk.edit("A", row("A", asked="2027-03-01", until="2027-05-05"))
    clerk.edit("C", row("C", asked="2027-03-03", ready="2027-05-10", until="2027-05-12"))
    clerk.edit("D", row("D", asked="2027-03-04", ready="2027-05-03", until="2027-05-05"))
    before = clerk.bookings()
    assert "D" not in before
    clerk.record(*(f"confirm request={name} day=2027-04-01" for name in ("A", "B", "C")))
    clerk.edit("A", None)
    found = clerk.json("plan")
    assert found["since"]["gone"] == ["A"]
    assert {one["request"] for one in found["bookings"]} == {"A", "B", "C"}
    clerk.does("plan")
    assert "A is gone from the list. Was it withdrawn?" in clerk.said
    clerk.record('withdraw request=A day=2027-04-20 why="sold the field"')
    found = clerk.json("plan")
    assert {one["request"] for one in found["bookings"]} == {"B", "C"}
    assert [(one["request"], one["days"]) for one in found["since"]["freed"]] == [
        ("A", before["A"]["days"])
    ]
    assert "on offer" in {one["request"]: one for one in found["refused"]}["D"]["reason"]
    offers = clerk.json("offers")["offers"]
    assert [(one["request"], one["days"], one["earlier_days"]) for one in offers] == [
        ("D", before["A"]["days"], None),
        ("B", before["A"]["days"], 3),
    ]
    clerk.record("decline request=D drill=one first=2027-05-03 day=2027-04-21")
    assert [one["request"] for one in clerk.json("offers")["offers"]] == ["B"]
    clerk.record(
        "release request=B day=2027-04-21", "confirm request=B drill=one first=2027-05-03 day=2027-04-21"
    )
    after = clerk.json("plan")
    assert {one["request"]: one["days"] for one in after["bookings"]} == {
        "B": before["A"]["days"],
        "C": before["C"]["days"],
    }
    assert [(one["request"], one["days"]) for one in after["since"]["freed"]] == [
        ("B", before["B"]["days"])
    ]


def test_what_nobody_wants_is_given_away_when_the_clerk_says_so(clerk: Clerk) -> None:
    """With --refill the rules give freed days to whoever comes."""
    before = clerk.bookings()
    clerk.record("confirm request=A day=2027-04-01", "cancel request=A day=2027-04-02 why=hail")
    kept = clerk.bookings()
    assert "2027-05-03" not in [day for one in kept.values() for day in one["days"]]
    refilled = clerk.bookings("plan --refill")
    assert sorted(one["days"][0] for one in refilled.values()) == sorted(
        one["days"][0] for one in before.values()
    )


def test_days_given_back_and_done_early_are_offered(clerk: Clerk) -> None:
    """B gives its last day back; A's drill comes home a day early: both days are free, and nobody else moved."""
    before = clerk.bookings()
    clerk.record("confirm request=A day=2027-04-01", "confirm request=B day=2027-04-01")
    clerk.record(f"shorten request=B last={before['B']['days'][1]} day=2027-04-02")
    clerk.record('out request=A drill=one day=2027-05-03 meter="100 ac"')
    clerk.record('in request=A day=2027-05-04 meter="112 ac"')
    found = clerk.json("plan")
    assert [(one["request"], one["cause"], one["days"]) for one in found["since"]["freed"]] == [
        ("B", "shorten", before["B"]["days"][2:]),
        ("A", "in", before["A"]["days"][2:]),
    ]
    after = {one["request"]: one for one in found["bookings"]}
    assert after["B"]["days"] == before["B"]["days"][:2]
    assert after["B"]["odds_prob"] == pytest.approx(odds_of(2, 1))


def test_the_store_takes_in_what_changed_in_the_list(clerk: Clerk) -> None:
    """A new row, a changed window and a changed telephone number; names and numbers are not in the chain."""
    clerk.does("plan")
    clerk.edit("E", row("E", asked="2027-03-09", phone="555-0199"))
    clerk.edit("B", row("B", asked="2027-03-02", ready="2027-05-17", phone="555-0142"))
    found = clerk.json("plan")
    assert found["since"]["came"] == ["E"]
    assert found["since"]["changed"] == {"B": ["ready", "phone"]}
    changed = [one for one in clerk.entries if one["kind"] == "changed"]
    assert [json.loads(one["facts"]["cells"]) for one in changed] == [{"ready": "2027-05-17"}]
    assert changed[0]["facts"]["personal"] == "phone"
    chain = json.dumps(clerk.entries)
    assert "555-0142" not in chain
    assert "E farm" not in chain


def test_a_confirmed_booking_outside_its_new_dates_is_asked_about(clerk: Clerk) -> None:
    """The clerk changes the window under a yes: the booking stays, and the page asks."""
    before = clerk.bookings()
    clerk.record("confirm request=A day=2027-04-01")
    clerk.edit("A", row("A", asked="2027-03-01", ready="2027-05-10"))
    found = clerk.json("plan")
    assert found["since"]["outside"] == ["A"]
    assert places({one["request"]: one for one in found["bookings"]}, "A") == places(before, "A")


def test_a_farther_request_or_another_job_file_shortens_nothing_that_was_promised(clerk: Clerk) -> None:
    """A farm 60 miles off makes all bookings longer; withdrawn, those that were promised keep their days and odds."""
    far = row("F", asked="2027-02-01").replace("44.250,-95.750", "45.100,-95.750")
    clerk.edit("F", far).does("plan")
    before = clerk.bookings()
    assert len(before["A"]["days"]) > 3
    clerk.record("confirm request=A day=2027-04-01", "withdraw request=F day=2027-04-02")
    text = (clerk.folder / "season.toml").read_text(encoding="utf-8").replace('"80 %"', '"60 %"')
    (clerk.folder / "season.toml").write_text(text, encoding="utf-8")
    after = clerk.bookings()
    assert places(after, "A") == places(before, "A")
    assert after["A"]["odds_prob"] == before["A"]["odds_prob"]
    assert len(after["B"]["days"]) < len(before["B"]["days"])


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        (
            "confirm request=A drill=one first=2027-05-10 day=2027-04-03",
            "A is confirmed with one from 2027-05-03",
        ),
        ('confirm request=A days="2027-05-03" day=2027-04-03', "would lose days"),
        ("confirm request=B drill=one first=2027-05-04 day=2027-04-03", "of these days are A's"),
        ("release request=B day=2027-04-03", "B is not confirmed"),
        ("cancel request=E day=2027-04-03", 'no request is called "E"'),
        ("shorten request=A last=2027-05-20 day=2027-04-03", "no booking with that last day inside it"),
        ('planned request=A drill=one days="2027-05-10 2027-05-11" day=2027-04-03', "cannot be moved"),
        ("lost day=2027-05-04 until=2027-05-01 why=rain", "until is before day"),
        ("confirm request=B drill=one first=2027-05-09 day=2027-04-03", "does not work on 2027-05-09"),
        ("confirm request=B drill=one first=2027-06-05 day=2027-04-03", "the season has 1 left"),
        ("done request=B day=2027-05-04 share=half", "done share"),
        ("confirm request=A days=soon day=2027-04-03", "not a date in the form"),
    ],
)
def test_what_does_not_fit_a_promise_is_refused(clerk: Clerk, line: str, sentence: str) -> None:
    """By name, with what would be right; nothing is entered."""
    clerk.does("plan").record("confirm request=A day=2027-04-01")
    n_entries = len(clerk.entries)
    assert clerk.run(f"record {line}") == 3
    assert sentence in clerk.said
    assert "Try: " in clerk.err
    assert len(clerk.entries) == n_entries


def test_rain_needs_a_plan(clerk: Clerk) -> None:
    """Without a store, and with one that has no booking."""
    assert clerk.run("rain --today 2027-05-03") == 3
    clerk.record("remark request=A day=2027-05-03 text=x")
    assert clerk.run("rain --today 2027-05-03") == 3
    assert "fieldplan season plan first" in clerk.err


def test_the_rules_decide_who_is_early_where_the_season_says_so(tmp_path: Path) -> None:
    """Two short jobs and a long one before them in the queue: least waiting puts the short ones first, the rules do not."""
    rows = [
        row("L", acres="38", asked="2027-03-01"),
        row("S", asked="2027-03-02"),
        row("T", asked="2027-03-03"),
    ]
    usual = Clerk(tmp_path / "usual").season().list(*rows).bookings()
    by_rules = Clerk(tmp_path / "early").season(early_by_rules="true").list(*rows).bookings()
    assert max(usual, key=lambda name: usual[name]["days"]) == "L"
    assert sorted(by_rules, key=lambda name: by_rules[name]["days"]) == ["L", "S", "T"]
    waits = [sum(one["waiting_days"] for one in found.values()) for found in (usual, by_rules)]
    assert waits[0] < waits[1]


def test_who_shares_days_keeps_them_when_the_other_withdraws(tmp_path: Path) -> None:
    """Two jobs of an acre fit in one day: both say yes; one withdraws, and the other's days and odds stay, in rain too."""
    clerk = Clerk(tmp_path / "spring").season(share_days="true", early_by_rules="true")
    clerk.list(*(row(name, asked=f"2027-03-0{k}", acres="1") for k, name in enumerate(NAMES, start=1)))
    before = clerk.bookings()
    assert before["A"]["shares_with"] == ["B"]
    clerk.record("confirm request=A day=2027-04-01", "confirm request=B day=2027-04-01")
    assert places(clerk.bookings(), "AB") == places(before, "AB")
    clerk.record("withdraw request=B day=2027-04-02", f"lost day={before['A']['days'][0]} why=rain")
    found = clerk.json("rain --today 2027-05-03")
    (own,) = [one for one in found["changes"] if one["request"] == "A"]
    assert own["now"]["days"] == before["A"]["days"]
    assert own["odds_prob"] == pytest.approx(odds_of(2, 1))
    after = clerk.bookings()
    assert places(after, "A") == places(before, "A")
    assert after["A"]["shares_with"] == []


def test_a_longer_booking_is_planned_before_it_is_offered(clerk: Clerk) -> None:
    """C is a day short, and D behind it has not said yes: one more day for C moves D, as the choice says."""
    before = clerk.bookings()
    clerk.record("confirm request=C day=2027-04-02", f"lost day={before['C']['days'][1]} why=rain")
    (clash,) = clerk.json("rain --today 2027-05-03")["clashes"]
    longer = clash["choices"][0]
    assert "that moves 1 booking that nobody has confirmed" in longer["what"]
    clerk.record(f"{longer['command'].partition(';')[0]} day=2027-04-03")
    found = clerk.json("rain --today 2027-05-03")
    assert not found["clashes"]
    assert [one["request"] for one in found["changes"] if one["moved"]] == ["D"]


def test_a_notebook_sees_what_the_commands_see(clerk: Clerk) -> None:
    """Bookings and offers of the store; nothing is entered by looking."""
    before = clerk.bookings()
    clerk.record("confirm request=A day=2027-04-01", "cancel request=A day=2027-04-02")
    season = fieldplan.read_season(clerk.folder / "season.toml")
    n_entries = len(clerk.entries)
    assert "2027-05-03" not in set(season.plan().bookings()["first_day"].dt.strftime("%Y-%m-%d"))
    offers = season.offers()
    assert list(offers["request"]) == [one["request"] for one in clerk.json("offers")["offers"]]
    assert offers["days"][0] == before["A"]["days"]
    assert len(clerk.entries) == n_entries
