"""Letters: each is written when it is due, once, into a file of its own, in the district's words."""

from __future__ import annotations

import json
import os
import re
from pathlib import Path

import pytest
from conftest import SAMPLES
from living import Clerk, row
from pypdf import PdfReader

from fieldplan.cli import season_letters
from fieldplan.cli.main import exit_code
from fieldplan.errors import UsageError
from fieldplan.model.letters import LETTER_KINDS
from fieldplan.report.letters.read import shipped
from fieldplan.report.letters.template import template_of

pytest.importorskip("ortools")

LETTERHEAD = '["Thistle Flats District (invented)", "12 Depot Road"]'
DAYS = ("2027-05-10", "2027-05-11", "2027-05-12")
OUT = 'out request=A drill=one day=2027-05-03 meter="100 ac"'
IN = 'in request=A day=2027-05-05 meter="112.4 ac"'


@pytest.fixture
def clerk(tmp_path: Path) -> Clerk:
    """A season of one drill and two renters, planned and confirmed: A from May 3, B after A."""
    rows = [
        row("A", renter="Ash Bend", asked="2027-03-01"),
        row("B", renter="Larkfold", asked="2027-03-02"),
    ]
    made = Clerk(tmp_path / "spring").season(early_by_rules="true", letterhead=LETTERHEAD)
    made.list(*rows).does("plan")
    return made.record("confirm request=A day=2027-04-01", "confirm request=B day=2027-04-02")


def _written(clerk: Clerk, day: str, *kinds: str) -> list[tuple[str, str, str]]:
    """Kind, request and file of each letter that is written on a day."""
    letters = clerk.json(f"letters {' '.join(kinds)} --day {day} --out {clerk.folder / 'letters'}")[
        "letters"
    ]
    return [(one["letter"], one["request"], one["file"]) for one in letters]


def _due(clerk: Clerk, day: str, *kinds: str) -> list[tuple[str, str]]:
    """Kind and request of each letter that is due on a day; nothing is written."""
    return [
        (one["letter"], one["request"])
        for one in clerk.json(f"letters {' '.join(kinds)} --day {day}")["letters"]
    ]


def _text(clerk: Clerk, line: str) -> str:
    clerk.does(f"letters {line} --text")
    return re.sub(r"\s+", " ", clerk.out)


def test_letters_of_a_season_come_one_after_the_other(clerk: Clerk) -> None:
    """Confirmation, reminder, invoice, reminder of the payment, end: each once, each in two files, each an entry."""
    assert _written(clerk, "2027-04-03") == [
        ("confirmation", "A", "2027-04-03-confirmation-a.pdf"),
        ("confirmation", "B", "2027-04-03-confirmation-b.pdf"),
    ]
    assert _due(clerk, "2027-04-03") == _due(clerk, "2027-04-25") == []
    assert _written(clerk, "2027-04-26") == [("pick-up", "A", "2027-04-26-pick-up-a.pdf")]
    assert _due(clerk, "2027-04-27") == []
    clerk.record(OUT, IN, "withdraw request=B day=2027-05-04 why=sold")
    assert _due(clerk, "2027-05-04") == []
    assert [kind for kind, *_ in _written(clerk, "2027-05-05")] == ["invoice"]
    assert _due(clerk, "2027-06-04") == []  # the card of the samples: paid in 30 days
    assert _due(clerk, "2027-06-05") == [("payment", "A")]
    assert [kind for kind, *_ in _written(clerk, "2027-06-06")] == ["payment", "season-end"]
    files = sorted(path.name for path in (clerk.folder / "letters").iterdir())
    entered = [one["facts"] for one in clerk.entries if one["kind"] == "letter"]
    assert len(entered) == 6
    assert files == sorted(
        name for one in entered for name in (one["file"], one["file"].replace(".pdf", ".txt"))
    )


def test_paper_and_text_say_the_same(clerk: Clerk) -> None:
    """Word for word, but for the boxes that are drawn on paper, and the order of cells that a reader of PDF finds."""
    clerk.record(OUT, IN)
    for day in ("2027-04-03", "2027-04-28", "2027-05-06", "2027-06-06"):
        for *_, file in _written(clerk, day):
            path = clerk.folder / "letters" / file
            on_paper = " ".join(page.extract_text() for page in PdfReader(path).pages)
            on_paper = on_paper.replace("\u200b", "")  # where a long word may be broken
            as_text = path.with_suffix(".txt").read_text(encoding="utf-8")
            words = re.sub(r"\[[ x]\]", "", as_text).split()
            assert sorted(words) == sorted(on_paper.split()), file


def test_a_letter_of_every_kind_stands_under_the_letterhead(clerk: Clerk) -> None:
    """With name, day, heading and the seal of the ledger, which holds; no field is left unfilled."""
    found = clerk.json(f"letters confirmation --day 2027-04-03 --out {clerk.folder / 'letters'}")["letters"]
    clerk.record(
        "release request=B day=2027-04-04",
        f"confirm request=B day=2027-04-05 drill=one first={DAYS[0]} days='{' '.join(DAYS)}'",
    )
    found += clerk.json("letters --day 2027-04-28")["letters"]
    clerk.record(OUT, IN)
    for day in ("2027-05-06", "2027-06-08"):
        found += clerk.json(f"letters --day {day} --out {clerk.folder / 'letters'}")["letters"]
    with_offer = (
        Clerk(clerk.folder.parent / "other").season(letterhead=LETTERHEAD).list(*clerk.rows.values())
    )
    with_offer.does("plan").record("confirm request=A day=2027-04-01")
    _written(with_offer, "2027-04-01", "confirmation")
    with_offer.record("cancel request=A day=2027-04-02")
    found += with_offer.json("letters offer cancellation --day 2027-04-03")["letters"]
    assert {one["letter"] for one in found} == set(LETTER_KINDS)
    for one in found:
        assert one["text"].startswith("Thistle Flats District (invented)\n12 Depot Road\n")
        assert one["renter"] in one["text"]
        assert "{" not in one["text"]
        assert "None" not in one["text"]
        seal = re.search(r"Seal (\S+) of the ledger", one["text"])
        assert seal
        (with_offer if one["letter"] in ("offer", "cancellation") else clerk).does(
            f"ledger --seal {seal[1]}"
        )


def test_no_file_is_ever_replaced(clerk: Clerk) -> None:
    """A file that is there keeps its content; the letter goes beside it, and a name that the ledger has is not used again."""
    folder = clerk.folder / "letters"
    folder.mkdir()
    (folder / "2027-04-03-confirmation-a.txt").write_text("mine", encoding="utf-8")
    files = [file for *_, file in _written(clerk, "2027-04-03")]
    assert files == ["2027-04-03-confirmation-a-2.pdf", "2027-04-03-confirmation-b.pdf"]
    assert (folder / "2027-04-03-confirmation-a.txt").read_text(encoding="utf-8") == "mine"
    for path in folder.iterdir():
        path.unlink()
    row_b = next(one["number"] for one in clerk.entries if one["facts"].get("file", "").endswith("-b.pdf"))
    clerk.record(f"strike corrects={row_b} day=2027-04-03 why=lost")
    assert _written(clerk, "2027-04-03") == [("confirmation", "B", "2027-04-03-confirmation-b-2.pdf")]


def test_a_struck_letter_is_due_again(clerk: Clerk) -> None:
    """And one that was sent by hand and entered is not."""
    clerk.record(
        "letter request=A day=2027-04-02 what=confirmation drill=one days='2027-05-03 2027-05-04 2027-05-05'"
    )
    days = clerk.bookings()["A"]["days"]
    assert days == ["2027-05-03", "2027-05-04", "2027-05-05"]
    assert _due(clerk, "2027-04-03") == [("confirmation", "B")]
    clerk.record(f"strike corrects={clerk.entries[-1]['number']} day=2027-04-03 why=returned")
    assert _due(clerk, "2027-04-03") == [("confirmation", "A"), ("confirmation", "B")]
    assert clerk.run("record letter request=A day=2027-04-02 what=confirmed") == 3
    assert "confirmation" in clerk.said


def test_a_letter_that_was_entered_without_its_drill_told_nothing(clerk: Clerk) -> None:
    """Of days without a drill nobody knows what they were; the letter is due still."""
    clerk.record("letter request=A day=2027-04-02 what=confirmation days='2027-05-03 2027-05-04'")
    assert _due(clerk, "2027-04-03") == [("confirmation", "A"), ("confirmation", "B")]


def test_days_that_changed_are_told_with_the_old_ones(clerk: Clerk) -> None:
    """Once they are confirmed; before that, and where no days are left, the page says whom to phone."""
    _written(clerk, "2027-04-03")
    was = clerk.bookings()["B"]["days"]
    clerk.record("release request=B day=2027-04-04")
    assert _due(clerk, "2027-04-05") == []
    clerk.record(f"confirm request=B day=2027-04-05 drill=one first={DAYS[0]} days='{' '.join(DAYS)}'")
    assert _due(clerk, "2027-04-05", "moved", "confirmation") == [("moved", "B")]
    text = _text(clerk, "moved --day 2027-04-05")
    assert "We wrote to you about one, Thu 06 May to Sat 08 May 2027, 3 working days." in text
    assert (was[0], was[-1]) == ("2027-05-06", "2027-05-08")
    assert "one, Mon 10 May to Wed 12 May 2027, 3 working days" in text
    assert [kind for kind, *_ in _written(clerk, "2027-04-05", "moved")] == ["moved"]
    assert _due(clerk, "2027-04-06", "moved", "confirmation") == []
    clerk.record("refused request=B day=2027-04-06 why=flood")
    clerk.does("letters moved --day 2027-04-06")
    assert "moved, B: the letter of 05 Apr 2027 told of days that it does not have any more" in clerk.said


def test_a_booking_that_was_cancelled_after_its_letter_is_taken_back_in_writing(clerk: Clerk) -> None:
    """Once, with the days that were told, while they are still to come; struck, it is due again; a new yes is confirmed anew."""
    assert _due(clerk, "2027-04-03", "cancellation") == []
    _written(clerk, "2027-04-03")
    clerk.record('cancel request=B day=2027-04-06 why="knee is bad"')
    assert _due(clerk, "2027-04-07", "moved", "cancellation") == [("cancellation", "B")]
    assert _due(clerk, "2027-05-09", "cancellation") == []  # its days were May 6 to 8
    text = _text(clerk, "cancellation --day 2027-04-07")
    assert (
        'We wrote to you on Saturday, April 3, 2027 that the drill "one" is yours for these days:' in text
    )
    assert "Thu 06 May to Sat 08 May 2027, 3 working days" in text
    assert "That booking was cancelled on Tuesday, April 6, 2027." in text
    assert "Your request stays on our list." in text
    assert "knee" not in text  # a district's own template may name the reason
    clerk.does("plan")  # gives B days again that nobody said yes to: the letter is due all the same
    assert _written(clerk, "2027-04-07") == [("cancellation", "B", "2027-04-07-cancellation-b.pdf")]
    assert _due(clerk, "2027-04-08", "moved", "cancellation") == []
    clerk.record(f"strike corrects={clerk.entries[-1]['number']} day=2027-04-08 why=returned")
    assert _due(clerk, "2027-04-08", "cancellation") == [("cancellation", "B")]
    _written(clerk, "2027-04-08", "cancellation")
    clerk.record("confirm request=B day=2027-04-09")
    assert _due(clerk, "2027-04-09", "moved", "cancellation", "confirmation") == [("confirmation", "B")]


def test_a_cancellation_says_what_became_of_the_request(clerk: Clerk) -> None:
    """Nothing of a list for a request that was withdrawn; the reason where a district's own words ask for it."""
    _written(clerk, "2027-04-03")
    clerk.record('cancel request=B day=2027-04-06 why="knee is bad"')
    _own(clerk, cancellation="Over\nFor {renter}: {drill}, {first_day}.\nBecause: {why}.\n{waits}")
    assert (
        "Over For Larkfold: one, Thursday, May 6, 2027. Because: knee is bad. Your request stays"
        in _text(clerk, "cancellation --day 2027-04-07")
    )
    clerk.record("withdraw request=B day=2027-04-07")
    assert "Because: knee is bad. Small spring" not in _text(clerk, "cancellation --day 2027-04-07")
    assert "stays on our list" not in clerk.said


def test_a_pick_up_is_reminded_of_again_when_its_days_changed(clerk: Clerk) -> None:
    """Once for each days, and not before the days ahead that were asked for."""
    assert _due(clerk, "2027-04-28", "pick-up") == [("pick-up", "A")]
    clerk.does(f"letters pick-up --ahead 30 --day 2027-04-28 --out {clerk.folder / 'letters'}")
    assert _due(clerk, "2027-04-30", "pick-up") == []
    clerk.record("release request=B day=2027-04-30")
    clerk.record(f"confirm request=B day=2027-04-30 drill=one first={DAYS[0]} days='{' '.join(DAYS)}'")
    assert _due(clerk, "2027-04-30", "pick-up") == []
    assert _due(clerk, "2027-05-03", "pick-up") == [("pick-up", "B")]


def test_an_offer_goes_to_the_first_in_line_and_waits_for_the_answer(clerk: Clerk) -> None:
    """Days of A are free: not A, but B and then C may have them; nobody is asked twice, nor before the answer."""
    clerk.record("cancel request=A day=2027-04-10")
    clerk.edit("C", row("C", renter="Cold Spring", asked="2027-03-09")).does("plan --today 2027-04-10")
    assert _due(clerk, "2027-04-11", "offer") == [("offer", "B")]
    text = _text(clerk, "offer --day 2027-04-11")
    assert "Mon 03 May to Wed 05 May 2027, 3 working days" in text
    assert "3 days earlier than the days that you have now: one, Thu 06 May to Sat 08 May 2027" in text
    _written(clerk, "2027-04-11", "offer")
    assert _due(clerk, "2027-04-12", "offer") == []
    clerk.does("letters offer --day 2027-04-12")
    assert "offer, B: the offer of 2027-04-11 has no answer yet" in clerk.said
    clerk.record("decline request=B drill=one first=2027-05-03 day=2027-04-12")
    assert _due(clerk, "2027-04-12", "offer") == [("offer", "C")]


@pytest.fixture
def given_back(tmp_path: Path) -> Clerk:
    """Four confirmed bookings of three days in a row from May 3: A's days are free, B has taken them, and gave them back too."""
    made = Clerk(tmp_path / "spring").season(early_by_rules="true")
    made.list(*(row(name, asked=f"2027-03-0{k}") for k, name in enumerate("ABCD", start=1))).does("plan")
    made.record(*(f"confirm request={name} day=2027-04-01" for name in "ABCD"))
    return made.record(
        "cancel request=A day=2027-04-02",
        "release request=B day=2027-04-03",
        "confirm request=B drill=one first=2027-05-03 day=2027-04-03",
        "cancel request=B day=2027-04-04",
    )


def test_days_that_two_gave_back_one_after_the_other_are_offered_once(given_back: Clerk) -> None:
    """The three days of A are those of B now, beside B's own: two spans, not three, and neither is for who gave it back."""
    offers = given_back.json("offers")["offers"]
    spans = {(one["freed_by"], one["request"]): one["days"] for one in offers}
    assert set(spans) == {("B", "A"), ("B", "C"), ("B", "D")}
    assert [(one["request"], one["days"][0]) for one in offers] == [
        ("A", "2027-05-04"),  # with May 6, which A did not give back
        ("C", "2027-05-04"),
        ("D", "2027-05-04"),
        ("C", "2027-05-03"),
        ("D", "2027-05-03"),
    ]


def test_nobody_gets_two_offers_at_once_and_no_day_is_offered_twice(given_back: Clerk) -> None:
    """A is asked about May 4 to 6; C, first in line for May 3 to 5, after that; both spans only to C, one offer."""
    assert _due(given_back, "2027-04-05", "offer") == [("offer", "A")]
    given_back.does("letters offer --day 2027-04-05")
    assert (
        "offer, C: its offer of one from 2027-05-03 on waits for the answer to another" in given_back.said
    )
    given_back.record("withdraw request=A day=2027-04-05")
    assert _due(given_back, "2027-04-05", "offer") == [("offer", "C")]
    _written(given_back, "2027-04-05", "offer")
    assert _due(given_back, "2027-04-06", "offer") == []


def test_an_offer_stands_until_it_is_answered(given_back: Clerk) -> None:
    """A request that comes first in line meanwhile is not asked about the same days, and is once they were declined."""
    _written(given_back, "2027-04-05", "offer")
    given_back.edit("Z", row("Z", asked="2027-01-02")).does("plan --today 2027-04-06")
    assert given_back.json("offers")["offers"][0]["request"] == "Z"
    assert _due(given_back, "2027-04-06", "offer") == []
    given_back.record("decline request=A drill=one first=2027-05-04 day=2027-04-07")
    assert ("offer", "Z") in _due(given_back, "2027-04-07", "offer")


def test_an_invoice_is_written_again_when_a_return_was_corrected(clerk: Clerk) -> None:
    """And says which one it replaces; sums are those of the invoice command."""
    clerk.record(OUT, IN)
    _written(clerk, "2027-05-06", "invoice")
    clerk.record("paid request=A sum=$20 day=2027-05-07", "remark request=A text=fine day=2027-05-07")
    assert _due(clerk, "2027-05-08", "invoice") == []
    row_in = next(one["number"] for one in clerk.entries if one["kind"] == "in")
    clerk.record(f"{IN.replace('112.4', '115')} corrects={row_in}")
    text = _text(clerk, "invoice --day 2027-05-08")
    bill = clerk.json("invoice A --day 2027-05-08")
    assert "This invoice replaces that of 06 May 2027." in text
    assert f"Please pay ${bill['owed']} by Friday, June 4, 2027." in text
    assert bill["owed"] == "160.00"  # 15 acres at $12, $20 paid


def test_reminders_of_a_payment_keep_their_distance(clerk: Clerk) -> None:
    """The second comes thirty days after the first and names it; none comes once all is paid."""
    clerk.record(OUT, IN)
    _written(clerk, "2027-05-06", "invoice")
    _written(clerk, "2027-06-10", "payment")
    assert _due(clerk, "2027-07-10", "payment") == []
    assert _due(clerk, "2027-07-11", "payment") == [("payment", "A")]
    assert "We reminded you before, on 10 Jun 2027." in _text(clerk, "payment --day 2027-07-11")
    owed = clerk.json("invoice A --day 2027-07-11")["owed"]
    clerk.record(f"paid request=A sum=${owed} day=2027-07-11")
    assert _due(clerk, "2027-07-12", "payment") == []


def test_an_invoice_and_its_reminder_are_not_written_at_once(clerk: Clerk) -> None:
    """Who was never billed is billed first."""
    clerk.record(OUT, IN)
    assert _due(clerk, "2027-07-01", "invoice", "payment") == [("invoice", "A")]
    assert _due(clerk, "2027-07-01", "payment") == [("payment", "A")]


def test_all_invoices_of_a_season_in_one_run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Of the sample season: one for each request that is charged, and the sums are those of the board."""
    store, out = tmp_path / "spring.ledger", tmp_path / "letters"
    season = [str(SAMPLES / "season.toml"), "--ledger", str(store)]
    assert exit_code(["season", "record", *season, "--from", str(SAMPLES / "records.csv")]) == 0
    line = ["season", "letters", *season, "invoice", "--day", "2027-06-30", "--out", str(out)]
    assert exit_code(line) == 0
    capsys.readouterr()
    assert exit_code(["season", "board", *season, "--day", "2027-06-30", "--json"]) == 0
    board = json.loads(capsys.readouterr().out)
    charged = {one["request"]: one["charged"] for one in board["balances"]}
    papers = {path.stem.rpartition("-")[2].upper(): path for path in out.glob("*.txt")}
    assert set(papers) == set(charged)
    assert len(papers) > 8
    for name, path in papers.items():
        total = re.search(r"^ +all +\$([\d,.]+)$", path.read_text(encoding="utf-8"), re.MULTILINE)
        assert total
        assert total[1].replace(",", "") == charged[name], name


def test_a_renter_who_was_taken_out_is_not_named(clerk: Clerk) -> None:
    """Neither by name nor by address; another renter's letter does not name them either."""
    clerk.does("forget A")
    letters = clerk.json("letters --day 2027-04-28 --ahead 30")["letters"]
    assert {one["request"] for one in letters} == {"A", "B"}
    assert not [one for one in letters if "Ash Bend" in one["text"]]


def test_nothing_is_left_where_somebody_wrote_meanwhile(
    clerk: Clerk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The files of letters that could not be entered are taken away again."""

    def moved_on(*_: object, **__: object) -> None:
        raise UsageError.of("store-moved-on", file="x", row=1)

    monkeypatch.setattr(season_letters, "enter", moved_on)
    assert clerk.run(f"letters --day 2027-04-03 --out {clerk.folder / 'letters'}") == 2
    assert not list(clerk.folder.glob("letters/*"))
    assert not [one for one in clerk.entries if one["kind"] == "letter"]


def _own(clerk: Clerk, **templates: str) -> None:
    folder = clerk.folder / "words"
    folder.mkdir(exist_ok=True)
    for name, text in templates.items():
        (folder / f"{name.replace('_', '-')}.txt").write_text(text, encoding="utf-8")
    path = clerk.folder / "season.toml"
    text = path.read_text(encoding="utf-8")
    if "templates" not in text:
        path.write_text(text.replace("[season]", '[season]\ntemplates = "words"', 1), encoding="utf-8")


def test_a_district_writes_in_its_own_words(clerk: Clerk) -> None:
    """Its template in place of ours, on paper too; lines without anything to say are left out; others stay ours."""
    own = "# ours\nYes, {renter}\n\nYou have {{it}}: {drill}, {days}.\nShared: {sharing}.\n\n\n{requirements}\nBye"
    _own(clerk, confirmation=own)
    (found,) = clerk.json("letters confirmation --request A --day 2027-04-03")["letters"]
    assert found["title"] == "Yes, Ash Bend"
    assert (
        "Yes, Ash Bend\n\nYou have {it}: one, Mon 03 May to Wed 05 May 2027, 3 working days.\n\nBye\n"
        in found["text"]
    )
    _written(clerk, "2027-04-03", "confirmation")
    page = PdfReader(clerk.folder / "letters" / "2027-04-03-confirmation-a.pdf").pages[0]
    assert "You have {it}: one" in " ".join(page.extract_text().split())
    assert "Your days with the drill are near" in _text(clerk, "pick-up --day 2027-04-28")


def test_faults_of_templates_are_named_with_their_line_before_anything_is_written(clerk: Clerk) -> None:
    """All of them at once, with what was probably meant."""
    _own(
        clerk,
        confirmation="# remark\nDear {rentr}\n\nText {\n{requirements} and more\n{owed}",
        invoice="Only a heading",
        reminder="x\ny",
        moved="{requirements}\nNew {days}",
    )
    assert clerk.run(f"letters --day 2027-04-03 --out {clerk.folder / 'letters'}") == 3
    said = clerk.said
    assert (
        'confirmation.txt: line 2 names "rentr", which this letter does not have. Try: did you mean "renter"?'
        in said
    )
    assert "confirmation.txt: line 4 has a brace without its partner" in said
    assert 'confirmation.txt: line 5 has the table "requirements" beside other text' in said
    assert 'confirmation.txt: line 6 names "owed", which this letter does not have' in said
    assert "invoice.txt: has no text" in said
    assert "reminder.txt: is named for no kind of letter" in said
    assert "moved.txt: has a table in its heading" in said
    assert not (clerk.folder / "letters").exists()
    assert not [one for one in clerk.entries if one["kind"] == "letter"]


def test_a_folder_of_templates_that_is_not_there_is_refused(clerk: Clerk) -> None:
    """So is a file in its place."""
    _own(clerk)
    (clerk.folder / "words").rmdir()
    assert clerk.run("letters") == 3
    assert "words: is not a folder of templates" in clerk.said
    (clerk.folder / "words").write_text("x", encoding="utf-8")
    assert clerk.run("letters") == 3


@pytest.mark.parametrize("bad", ["a pipe", "a link to a device", "UTF-16", "too large", "a folder"])
def test_a_template_that_is_no_text_file_is_refused(clerk: Clerk, bad: str) -> None:
    """In words, without waiting."""
    _own(clerk)
    path = clerk.folder / "words" / "offer.txt"
    if bad == "a pipe":
        os.mkfifo(path)
    elif bad == "a link to a device":
        path.symlink_to("/dev/zero")
    elif bad == "UTF-16":
        path.write_bytes("Days\n{days}".encode("utf-16"))
    elif bad == "too large":
        path.write_text("x\n" * 100_000, encoding="utf-8")
    else:
        path.mkdir()
    assert clerk.run("letters") == 3
    assert "offer.txt" in clerk.said
    assert "Error: " in clerk.said


def test_the_templates_that_come_along_are_written_out_to_be_edited(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each with remarks on its fields, and read back each is as it was; what is there is not replaced."""
    folder = tmp_path / "words"
    assert exit_code(["season", "templates", str(folder)]) == 0
    assert {path.name for path in folder.iterdir()} == {f"{kind}.txt" for kind in LETTER_KINDS}
    for kind in LETTER_KINDS:
        text = (folder / f"{kind}.txt").read_text(encoding="utf-8")
        assert "{renter}: the renter's name" in text
        assert template_of(kind, text, "a") == template_of(kind, shipped(kind), "b")
    assert exit_code(["season", "templates", str(folder)]) == 2
    assert "--force" in capsys.readouterr().err


def test_what_cannot_be_billed_does_not_keep_others_from_it(clerk: Clerk) -> None:
    """The page says why; a season without a rate card bills nobody."""
    clerk.record(OUT, IN)
    path = clerk.folder / "season.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(re.sub(r"rate_card = .*\n", "", text), encoding="utf-8")
    clerk.does("letters invoice season-end --day 2027-06-30")
    assert "invoice, A: the season's file names no rate card" in clerk.said
    assert "No letter is due." in clerk.said


def test_a_request_that_is_not_there_is_refused(clerk: Clerk) -> None:
    """With those that are."""
    assert clerk.run("letters --request Z") == 2
    assert "A" in clerk.said


def test_a_first_invoice_asks_for_nothing_in_the_past(clerk: Clerk) -> None:
    """Back on May 5, with 30 days to pay: a first invoice of May 20 asks for June 4. One of June 20 says that it was due then,
    and the clerk is told that it charges for paying late, and how not to; one that replaces another is left alone.
    """
    clerk.record(OUT, IN)
    in_time = _text(clerk, "invoice --day 2027-05-20")
    assert re.search(r"Please pay \$[\d.]+ by Friday, June 4, 2027\.", in_time)
    late = _text(clerk, "invoice --day 2027-06-20")
    assert re.search(r"\$[\d.]+ was due by Friday, June 4, 2027 \(30 days after the return\)\.", late)
    assert "Please pay $" not in late
    assert clerk.json("letters invoice --day 2027-05-20")["doubts"] == []
    (doubt,) = clerk.json("letters invoice --day 2027-06-20")["doubts"]
    bill = clerk.json("invoice A --day 2027-06-20")
    (charge,) = [one for one in bill["lines"] if one["name"] == "late payment"]
    assert (doubt["code"], doubt["request"]) == ("late-on-first-bill", "A")
    clerk.does("letters invoice --day 2027-06-20")
    assert f"charges ${charge['amount']} for paying late" in clerk.said
    assert "late payment" not in _text(clerk, "invoice --day 2027-06-04").partition("Please pay")[0]
    clerk.does("invoice A --day 2027-06-20")
    assert "Was due by Fri 04 Jun 2027 (30 days after the return)" in clerk.said
    assert "Look again: A has had no invoice yet" in clerk.err
    _written(clerk, "2027-05-20", "invoice")
    clerk.does("invoice A --day 2027-06-20")
    assert "Look again" not in clerk.err
    clerk.record('in request=A day=2027-05-05 meter="112.6 ac" corrects=8')
    clerk.does("letters invoice --day 2027-06-20")
    assert "LOOK AGAIN" not in clerk.out
