"""Seals of printed papers: they hold while entries are added, and show a tail that was cut and a chain that was made anew."""

from __future__ import annotations

import base64
import hmac
import json
import re
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from living import Clerk, row

from fieldplan.records import ledger

TRIGGERS = ("entry_update", "entry_delete", "about_update", "about_delete")
"""What keeps a program from changing a ledger by mistake; nobody who means to is kept by it."""


@pytest.fixture
def clerk(tmp_path: Path) -> Clerk:
    """A season with five entries."""
    made = Clerk(tmp_path / "spring").season().list(row("A"), row("B"))
    return made.record(
        "met request=A what=agreement day=2027-04-01",
        "deposit request=A sum=$100 day=2027-04-02",
        'out request=A drill=one day=2027-05-03 meter="100 ac"',
        'in request=A day=2027-05-05 meter="112 ac"',
        "paid request=A sum=$120 day=2027-05-20",
    )


def _seal(clerk: Clerk) -> str:
    """The seal that an invoice carries."""
    clerk.does("invoice A --day 2027-05-25")
    found = re.search(r"Seal (\S+) of the ledger", clerk.said)
    assert found
    return found[1]


def _tampered(clerk: Clerk, *statements: str) -> None:
    """Change the ledger behind its own back."""
    with closing(sqlite3.connect(clerk.folder / "season.ledger", isolation_level=None)) as store:
        for trigger in TRIGGERS:
            store.execute(f"DROP TRIGGER {trigger}")
        for statement in statements:
            store.execute(statement)


def _made_anew(clerk: Clerk) -> None:
    """Seal every row of the ledger again, as somebody would who knows how."""
    with closing(sqlite3.connect(clerk.folder / "season.ledger", isolation_level=None)) as store:
        seal = str(store.execute("SELECT season FROM about").fetchone()[0])
        rows = store.execute(
            "SELECT number, entered, kind, facts, corrects FROM entry ORDER BY number"
        ).fetchall()
        for one in rows:
            seal = ledger._seal(seal, one)
            store.execute("UPDATE entry SET seal = ? WHERE number = ?", (seal, one[0]))


def test_a_seal_holds_while_entries_are_added(clerk: Clerk) -> None:
    """Printed on a paper, typed from it, and checked months later."""
    seal = _seal(clerk)
    assert seal.startswith("5-")
    clerk.does(f"ledger --check --seal {seal}")
    assert f"Seal {seal} holds: 5 entries as when it was printed; none came since." in clerk.said
    clerk.record("remark request=A text=fine day=2027-06-01", "remark request=B text=dry day=2027-06-02")
    clerk.does(f"ledger --seal {seal}")
    assert f"Seal {seal} holds: 5 entries as when it was printed; 2 entries came since." in clerk.said
    found = clerk.json(f"ledger --check --seal {seal}")
    assert found["printed"] == [{"seal": seal, "holds": True, "entries_since": 2}]
    assert found["entries"] == 7
    assert found["seal"] == clerk.json("ledger")["seal"] == clerk.json("board")["seal"]


def test_a_cut_tail_is_found(clerk: Clerk) -> None:
    """The payment is taken out at the end: the chain itself is whole, and only the seal shows it."""
    seal = _seal(clerk)
    _tampered(clerk, "DELETE FROM entry WHERE number = 5")
    clerk.does("ledger --check")
    assert clerk.run(f"ledger --check --seal {seal}") == 3
    assert "shorter than when the seal was printed: 4 entries now, 5 then" in clerk.said
    assert clerk.out == ""


def test_a_tail_that_was_cut_and_entered_otherwise_is_found(clerk: Clerk) -> None:
    """As many entries as before and more, the last one another."""
    seal = _seal(clerk)
    _tampered(clerk, "DELETE FROM entry WHERE number = 5")
    clerk.record("paid request=A sum=$20 day=2027-05-20", "remark request=A text=fine day=2027-06-01")
    assert clerk.run(f"ledger --seal {seal}") == 3
    assert "is another chain: the first 5 entries are not those that the seal was printed for" in clerk.said


def test_a_chain_that_was_made_anew_is_found(clerk: Clerk) -> None:
    """An early row is changed and all later ones sealed again: the chain is whole, the seal shows it."""
    seal = _seal(clerk)
    _tampered(clerk, "UPDATE entry SET facts = replace(facts, '$100', '$10') WHERE number = 2")
    assert clerk.run("ledger --check") == 3  # a row alone is found without a seal
    _made_anew(clerk)
    clerk.does("ledger --check")
    assert clerk.entries[1]["facts"]["sum"] == "$10"
    assert clerk.run(f"ledger --check --seal {seal}") == 3
    assert "is another chain" in clerk.said


def test_the_time_of_an_entry_is_sealed_too(clerk: Clerk) -> None:
    """The same entries written at another time are another chain."""
    seal = _seal(clerk)
    _tampered(clerk, "UPDATE entry SET entered = '2027-01-01T00:00:00.000000+00:00' WHERE number = 5")
    _made_anew(clerk)
    assert clerk.run(f"ledger --seal {seal}") == 3


def test_a_copy_of_another_season_does_not_fit(clerk: Clerk, tmp_path: Path) -> None:
    """The same entries in another season's ledger have another seal."""
    seal = _seal(clerk)
    clerk.does("ledger --csv")
    (tmp_path / "entries.csv").write_text(clerk.out, encoding="utf-8")
    other = Clerk(tmp_path / "other").season(name="Other spring").list(row("A"), row("B"))
    other.record(f"--from {tmp_path / 'entries.csv'}")
    assert other.run(f"ledger --seal {seal}") == 3
    assert "is another chain" in other.said


def test_a_seal_is_read_as_people_type_it(clerk: Clerk) -> None:
    """Small letters, blanks for hyphens, and the digits that its alphabet lacks."""
    seal = _seal(clerk)
    number, _, letters = seal.partition("-")
    for typed in (
        seal.lower(),
        seal.replace("-", " "),
        seal.replace("-", ""),
        f"{number}-{letters.replace('O', '0').replace('I', '1').replace('B', '8')}",
    ):
        clerk.does(f"ledger --check --seal '{typed}'")
        assert "holds" in clerk.said, typed


def test_a_slip_in_a_seal_is_not_taken_for_another_chain(clerk: Clerk) -> None:
    """Every letter changed, and two neighbors exchanged: almost all of them are told from a chain that was changed."""
    seal = _seal(clerk)
    slips = {
        seal[:k] + ("C" if c != "C" else "D") + seal[k + 1 :]
        for k, c in enumerate(seal)
        if k > 1 and c != "-"
    }
    slips |= {
        seal[:k] + seal[k + 1] + seal[k] + seal[k + 2 :]
        for k in range(2, len(seal) - 1)
        if "-" not in seal[k : k + 2]
    }
    slips |= {f"6{seal[1:]}", f"51{seal[1:]}"}
    slips.discard(seal)
    codes = [clerk.run(f"ledger --seal {one}") for one in sorted(slips)]
    assert len(slips) > 20
    assert codes.count(2) >= len(slips) - 2  # one in 1,024 slips through
    assert clerk.run("ledger --seal 5-AAAA") == 2
    assert '"5-AAAA" is not a seal' in clerk.said


def test_letters_of_a_seal_are_the_head_of_the_chain(clerk: Clerk) -> None:
    """Read back by the base 32 of RFC 4648, 18 letters are the first 90 bits of the last row's hash, stretched as RFC 8018
    writes it down: U1 = HMAC(P, S || 1), Uk = HMAC(P, Uk-1), all of them exclusive-or.
    """
    letters = _seal(clerk).partition("-")[2].replace("-", "")
    with closing(sqlite3.connect(clerk.folder / "season.ledger")) as store:
        (head,) = store.execute("SELECT seal FROM entry WHERE number = 5").fetchone()
    bits = int.from_bytes(base64.b32decode(f"{letters}===="), "big") >> (96 - 90)  # twelve whole bytes
    step = hmac.digest(bytes.fromhex(head), b"fieldplan seal" + (1).to_bytes(4, "big"), "sha256")
    mixed = int.from_bytes(step, "big")
    for _ in range(99_999):
        step = hmac.digest(bytes.fromhex(head), step, "sha256")
        mixed ^= int.from_bytes(step, "big")
    assert bits == mixed >> (256 - 90)


def test_papers_of_one_moment_carry_one_seal(clerk: Clerk, tmp_path: Path) -> None:
    """Invoice, packet and board report, printed and as JSON; a ledger without entries has none."""
    seals = {_seal(clerk)}
    for line in ("packet A", "board"):
        clerk.does(line)
        seals |= set(re.findall(r"Seal (\S+) of the ledger: 5 entries", clerk.said))
        seals.add(clerk.json(line)["seal"])
    assert len(seals) == 1
    shutil.rmtree(clerk.folder)
    bare = Clerk(tmp_path / "bare").season().list(row("A"))
    bare.record("met request=A what=agreement day=2027-04-01")
    _tampered(bare, "DELETE FROM entry")
    assert json.dumps(bare.json("board")["seal"]) == '""'
    bare.does("board")
    assert "Seal" not in bare.out
    bare.does("ledger --check")
    assert "has no entries" in bare.said
