"""Renters: two of one name are two, over seasons; what must be in order before a drill goes out; being taken out."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from living import Clerk, row
from pypdf import PdfReader

from fieldplan.facts import fact
from fieldplan.model.standing import Checked
from fieldplan.report.paper import handover
from fieldplan.report.words.quantities import Quantities

pytest.importorskip("ortools")

OUT = 'out request=A drill=one day=2027-05-03 meter="100 ac"'
IN = 'in request=A day=2027-05-05 meter="112 ac"'


@pytest.fixture
def clerk(tmp_path: Path) -> Clerk:
    """Two renters of one name with two telephone numbers, and one with two requests."""
    rows = [
        row("A", renter="Ash Bend", phone="555-0101", asked="2027-03-01"),
        row("B", renter="Ash Bend", phone="555-0102", asked="2027-03-02"),
        row("C", renter="Larkfold", phone="555-0103", asked="2027-03-03"),
        row("D", renter="Larkfold", phone="555-0103", asked="2027-03-04"),
    ]
    return Clerk(tmp_path / "spring").season(early_by_rules="true").list(*rows)


def test_two_of_one_name_are_two(clerk: Clerk) -> None:
    """They have their own calendars, sums and rows on the board; one with two requests is one."""
    clerk.does(f"plan --out {clerk.folder / 'out'}")
    assert "Ash Bend is the name of several renters (A, B)" in clerk.said
    assert {path.name for path in (clerk.folder / "out").glob("renter-*.ics")} == {
        "renter-a.ics",
        "renter-b.ics",
        "renter-c.ics",
    }
    clerk.record(OUT, IN, 'out request=B drill=one day=2027-05-06 meter="112 ac"')
    clerk.record('in request=B day=2027-05-07 meter="124 ac"', "paid request=A day=2027-05-20 sum=$100")
    renters = {one["renter_id"]: one for one in clerk.json("renters --day 2027-05-31")["renters"]}
    assert list(renters) == ["A", "B", "C"]
    assert [one["renter"] for one in renters.values()] == ["Ash Bend", "Ash Bend", "Larkfold"]
    assert renters["C"]["seasons"][0]["requests"] == ["C", "D"]
    assert (renters["A"]["seasons"][0]["paid"], renters["B"]["seasons"][0]["paid"]) == ("100", "0")
    assert clerk.json("board --day 2027-05-31")["users"] == 2


def test_one_id_is_one_renter(clerk: Clerk) -> None:
    """Two names under one id are refused; the same id brings two rows together."""
    clerk.edit("B", row("B", renter="Ash Bend", renter_id="H1", asked="2027-03-02"))
    clerk.edit("A", row("A", renter="Hazel Draw", renter_id="H1", asked="2027-03-01"))
    assert clerk.run("plan") == 3
    assert "the renter H1 has another name in row 2" in clerk.said
    clerk.edit("A", row("A", renter="Ash Bend", renter_id="H1", asked="2027-03-01")).does("plan")
    assert [one["renter_id"] for one in clerk.json("renters")["renters"]] == ["H1", "C"]


def test_a_renter_is_followed_over_seasons(tmp_path: Path) -> None:
    """What was rented and is owed of last year, its deposit, and that the renter may not rent."""
    last = (
        Clerk(tmp_path / "2026").season(name="Last year").list(row("X", renter="Ash Bend", renter_id="H1"))
    )
    last.does("plan").record(
        "deposit request=X day=2027-04-01 sum=$100",
        OUT.replace("=A", "=X"),
        IN.replace("=A", "=X"),
        'standing request=X day=2027-06-20 good=no why="fee unpaid"',
    )
    now = Clerk(tmp_path / "2027").season(earlier='["../2026"]', before_out='["standing"]')
    now.list(
        row("A", renter="Ash Bend", renter_id="H1"), row("X", renter="Other", asked="2027-03-02")
    ).does("plan")
    first, other = now.json("renters --day 2027-06-30")["renters"]
    assert first["seasons"][1]["charged"] == "158.40"  # 12 ac × $12, and 10 % after 30 days
    (paid_late, _) = now.json("renters --day 2027-05-31")["renters"]
    assert [one["season"] for one in first["seasons"]] == ["Small spring", "Last year"]
    assert (paid_late["seasons"][1]["charged"], paid_late["seasons"][1]["owed"]) == ("144.00", "144.00")
    assert first["seasons"][1]["deposit_held"] == "100"
    assert (first["good_standing"], first["why"]) == (False, "fee unpaid")
    assert (
        len(other["seasons"]) == 1
    )  # its id is that of a request only, which last year somebody else's had
    assert now.run(f"record {OUT.replace('05-03', '06-30')}") == 3
    assert "A: standing: may not rent since 2027-06-20: fee unpaid" in now.said
    now.record('standing request=A day=2027-06-29 good=yes why="paid"', OUT.replace("05-03", "06-30"))


def test_no_requirement_stands_that_the_season_does_not_name(clerk: Clerk) -> None:
    """The drill goes out without a word."""
    clerk.does("plan").record(OUT)


def test_a_drill_goes_out_only_when_all_is_in_order(tmp_path: Path) -> None:
    """Every kind of requirement is named with what is missing; met one by one; the rest let pass with a reason."""
    required = '["agreement", "insurance", "training", "deposit = $100", "tractor", "mix"]'
    weak = row("A", renter="Ash Bend").replace(",75,", ",,").replace("oats and alfalfa", "")
    clerk = Clerk(tmp_path / "spring").season(before_out=required).list(weak).does("plan")
    assert clerk.run(f"record {OUT}") == 3
    for name in ("agreement", "insurance", "training"):
        assert f"A: {name}: not recorded as met" in clerk.said
    assert "A: deposit: 0 is held, 100 is asked for" in clerk.said
    assert "A: tractor: the list gives no tractor_hp" in clerk.said
    assert "A: mix:" not in clerk.said
    clerk.record(
        "met request=A what=agreement day=2027-04-01",
        "met request=A what=insurance day=2027-04-01 until=2027-05-01",
        "deposit request=A day=2027-04-02 sum=$100",
    )
    clerk.edit("A", row("A", renter="Ash Bend"))
    assert clerk.run(f"record {OUT}") == 3
    assert "insurance: held until 2027-05-01 only" in clerk.said
    assert 'Try: fieldplan season record … met request=A what="insurance" first;' in clerk.said
    assert clerk.said.count("Error: ") == 2
    assert clerk.run(f"record {OUT} waive='training, insurance'") == 3
    assert "waive has no why" in clerk.said
    assert clerk.run(f"record {OUT} waive='trainings, insurance' why=x") == 3
    assert 'requires no "trainings"' in clerk.said
    clerk.record(f"{OUT} waive='training, insurance' why='certificate comes Monday'")
    assert clerk.entries[-1]["facts"]["why"] == "certificate comes Monday"


def test_the_check_out_sheet_has_a_line_for_each_requirement(tmp_path: Path) -> None:
    """With what is open, or how it was met; the page says it too."""
    clerk = Clerk(tmp_path / "spring").season(before_out='["agreement", "insurance", "mix"]')
    clerk.list(row("A")).does("plan").record("met request=A what=agreement day=2027-04-01")
    clerk.does(f"plan --out {clerk.folder / 'out'}")
    assert "Before a drill goes out to A: insurance still open." in clerk.said
    (page,) = PdfReader(clerk.folder / "out" / "hand-over.pdf").pages
    text = " ".join(page.extract_text().split())
    assert "Required agreement – met on 2027-04-01" in text
    assert "Required insurance – OPEN: not recorded as met" in text
    assert "Required mix – fits" in text


def test_what_the_same_is_open_of_is_said_once(tmp_path: Path) -> None:
    """Requests with the same open requirements share a line; a deposit that is missing names its sum."""
    clerk = Clerk(tmp_path / "spring").season(before_out='["agreement", "deposit = $100"]')
    clerk.list(row("A"), row("B"), row("C")).does("plan")
    clerk.record("met request=B what=agreement day=2027-04-01").does("plan")
    assert "Before a drill goes out to A, C: agreement, deposit still open." in clerk.said
    assert "Before a drill goes out to B: deposit still open." in clerk.said
    assert clerk.run("record out request=B drill=one day=2027-05-03 meter='1 ac'") == 3
    assert "Try: fieldplan season record … deposit request=B sum=100 first; or let it pass" in clerk.said


def test_earlier_seasons_without_ids_of_renters_are_warned_of(tmp_path: Path) -> None:
    """Nobody could be found again in them; one id in the list is enough."""
    clerk = Clerk(tmp_path / "2027").season().list(row("A"))
    clerk.does("plan")
    new = Clerk(tmp_path / "2028").season(name="Next", earlier='["../2027"]').list(row("A"), row("B"))
    new.does("plan")
    assert "1 earlier season is named, but no request has a renter_id" in new.said
    new.edit("B", row("B", renter_id="H1")).does("plan")
    assert "earlier season is named" not in new.said


def test_requirements_are_ticked_as_they_were_met() -> None:
    """A met one is ticked going out, an open one is left to be ticked by hand; a deposit has a box for its return."""
    shown = Checked(name="insurance", open=None, met=fact("met-shown", met_typed_day=date(2027, 4, 1)))
    short = Checked(name="deposit", open=fact("open-deposit", held="0", least="100"))
    q = Quantities("us")
    assert [handover.required_line(one, q) for one in (shown, short)] == [
        {"name": "insurance", "state": "met on 2027-04-01", "met": True, "returned": False},
        {"name": "deposit", "state": "OPEN: 0 is held, 100 is asked for", "met": False, "returned": True},
    ]


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
def test_a_sheet_with_many_requirements_stays_on_one_page(tmp_path: Path, paper: str) -> None:
    """Ten of them, all open, and still a page a booking with its last line."""
    papers = ", ".join(f'"paper {k}"' for k in range(1, 9))
    clerk = Clerk(tmp_path / "spring").season(before_out=f'[{papers}, "deposit = $100", "tractor"]')
    clerk.list(row("A"), row("B")).does(f"plan --what-if --paper {paper} --out {clerk.folder / 'out'}")
    pages = [page.extract_text() for page in PdfReader(clerk.folder / "out" / "hand-over.pdf").pages]
    assert len(pages) == 2
    for text in pages:
        assert text.count("Required") == 10
        assert "local rules come before this card" in " ".join(text.split())


@pytest.mark.parametrize(
    "required", ['["deposit"]', '["deposit = lots"]', '["agreement = $5"]', '["deposit = -$5"]']
)
def test_a_requirement_that_cannot_be_read_is_refused(tmp_path: Path, required: str) -> None:
    """Before anything goes out by it."""
    clerk = Clerk(tmp_path / "spring").season(before_out=required).list(row("A"))
    assert clerk.run("record remark request=A day=2027-05-03 text=x") == 3
    assert "which is no requirement" in clerk.said


def test_a_person_can_be_taken_out(clerk: Clerk) -> None:
    """Name and number are in no byte of the store; all entries and sums stay; they do not come back with the list."""
    clerk.does(f"plan --out {clerk.folder / 'out'}").record(OUT, IN)
    clerk.record('remark request=A day=2027-05-06 text="Ash Bend was pleased"')
    before = clerk.entries
    sums = clerk.json("board --day 2027-05-31")
    store = clerk.folder / "season.ledger"
    assert b"555-0101" in store.read_bytes()
    clerk.does("forget A")
    assert "The list of requests still has them, in row 2" in clerk.said
    assert "no entry is rewritten: row 11" in clerk.said
    kept = b"".join(path.read_bytes() for path in clerk.folder.glob("season.ledger*"))
    assert b"555-0101" not in kept
    assert kept.count(b"Ash Bend") == 2  # the one who is still there, and the words of the remark
    assert clerk.entries[: len(before)] == before
    assert clerk.entries[-1]["kind"] == "forgotten"
    clerk.does("plan")
    kept = b"".join(path.read_bytes() for path in clerk.folder.glob("season.ledger*"))
    assert b"555-0101" not in kept
    clerk.edit("A", None).does("plan")
    assert clerk.json("board --day 2027-05-31")["charged"] == sums["charged"]
    renters = {one["renter_id"]: one["renter"] for one in clerk.json("renters --day 2027-05-31")["renters"]}
    assert (renters["A"], renters["B"]) == ("A", "Ash Bend")
    assert clerk.run("forget nobody") == 2
