"""Every command that a page of the season prints can be copied, and runs on that store as it stands."""

from __future__ import annotations

import shlex
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from living import Clerk, row

from fieldplan.cli.main import exit_code

pytest.importorskip("ortools")

NAMES = ("A", "B", "C", "D")
OUT = 'out request=A drill=one day=2027-05-03 meter="100 ac"'
STORIES: dict[str, tuple[tuple[str, ...], str, int]] = {
    "gone": (("confirm request=A day=2027-04-01",), "plan", 1),
    "outside": (("confirm request=B day=2027-04-01",), "plan", 1),
    "offers": (
        (
            "confirm request=A day=2027-04-01",
            "confirm request=B day=2027-04-01",
            "cancel request=A day=2027-04-02",
        ),
        "offers",
        4,
    ),
    "refill": (("confirm request=D day=2027-04-01", "cancel request=D day=2027-04-02"), "offers", 1),
    "asked": ((), "rain --today 2027-05-05", 4),
    "overrun": (("confirm request=B day=2027-04-01", OUT), "rain --today 2027-05-05", 3),
    "longer": (
        ("confirm request=C day=2027-04-01", "lost day=2027-05-11 why=rain"),
        "rain --today 2027-05-03",
        1,
    ),
    "itself": (
        (
            "confirm request=C day=2027-04-01",
            "confirm request=D day=2027-04-01",
            "lost day=2027-05-11 why=rain",
        ),
        "rain --today 2027-05-03",
        3,
    ),
    "behind": (
        ("confirm request=C day=2027-04-01", "lost day=2027-05-10 until=2027-05-12 why=rain"),
        "rain --today 2027-05-03",
        4,
    ),
    "hopeless": (
        ("confirm request=D day=2027-04-01", "lost day=2027-05-10 until=2027-06-05 why=breakdown"),
        "rain --today 2027-05-03",
        2,
    ),
}
"""What was entered, the page, and the fewest commands that it prints."""


def groups(page: str) -> Iterator[list[str]]:
    """The commands of a page; those on lines after each other are to be entered one after the other."""
    group: list[str] = []
    for line in page.replace("\\\n", " ").splitlines():
        if line.strip().startswith("fieldplan season "):
            group.append(line.strip())
        elif group:
            yield group
            group = []
    if group:
        yield group


@pytest.mark.parametrize("story", STORIES)
def test_every_printed_command_runs(tmp_path: Path, story: str) -> None:
    """Each group of commands on a copy of the store, as it was when the page was printed."""
    clerk = Clerk(tmp_path / "spring 2027").season(early_by_rules="true")
    clerk.list(*(row(name, asked=f"2027-03-0{k}") for k, name in enumerate(NAMES, start=1))).does("plan")
    lines, page, least = STORIES[story]
    clerk.record(*lines)
    if story == "gone":
        clerk.edit("A", None)
    if story == "outside":
        clerk.edit("B", row("B", asked="2027-03-02", ready="2027-05-20"))
    clerk.does(page)
    if page == "plan":
        clerk.does(page)
    found = list(groups(clerk.out))
    assert sum(map(len, found)) >= least, clerk.out
    assert "…" not in " ".join(" ".join(group) for group in found)
    kept = tmp_path / "kept"
    shutil.copytree(clerk.folder, kept)
    for group in found:
        for command in group:
            assert exit_code(shlex.split(command)[1:]) == 0, command
        shutil.rmtree(clerk.folder)
        shutil.copytree(kept, clerk.folder)


def test_a_hopeless_booking_has_a_choice(tmp_path: Path) -> None:
    """All days that D could have are lost: beside leaving it, it can wait, first in line, or be withdrawn; once the drill is
    with it, its work can be split.
    """
    clerk = Clerk(tmp_path / "spring").season(early_by_rules="true", closes="2027-05-15")
    clerk.list(row("D", until="2027-05-15")).does("plan")
    clerk.record("confirm request=D day=2027-04-01", "lost day=2027-05-03 until=2027-05-15 why=rain")
    (clash,) = clerk.json("rain --today 2027-05-03")["clashes"]
    assert [one["command"] for one in clash["choices"]] == [
        'cancel request=D cause="days lost"',
        "withdraw request=D",
        "",
    ]
    clerk.record('out request=D drill=one day=2027-05-03 meter="100 ac"')
    (clash,) = clerk.json("rain --today 2027-05-05")["clashes"]
    assert any("split it" in one["what"] for one in clash["choices"])


def test_what_is_said_at_the_desk_is_of_today(tmp_path: Path) -> None:
    """A yes without a day is of today, which is said; when a drill went out, a field was sown or a day was lost is not
    guessed, and neither is a day in a file of entries.
    """
    clerk = Clerk(tmp_path / "spring").season().list(row("A"), row("B")).does("plan")
    clerk.record("confirm request=A --today 2027-04-02")
    assert "day=2027-04-02" in clerk.said
    assert clerk.entries[-1]["facts"]["day"] == "2027-04-02"
    clerk.record("confirm request=B day=2027-04-01 --today 2027-04-02")
    assert "day=" not in clerk.said
    for line in ('out request=A drill=one meter="100 ac"', "lost why=rain", "sown request=A field=A"):
        assert clerk.run(f"record {line}") == 3
        assert "has no day" in clerk.said
    entries = clerk.folder / "late.csv"
    entries.write_text("kind,request,why\nwithdraw,A,sold\n", encoding="utf-8")
    assert clerk.run(f'record --from "{entries}"') == 3
    assert "has no day" in clerk.said


def test_a_row_that_cannot_be_read_stops_only_entries_about_it(tmp_path: Path) -> None:
    """A date in another form in B's row: A's answer on the telephone is entered, with a warning; B's is refused with what is
    wrong, and so is one of nobody known while a row has no id.
    """
    clerk = Clerk(tmp_path / "spring").season().list(row("A"), row("B")).does("plan")
    clerk.edit("B", row("B", until="05/10/2027"))
    clerk.record("confirm request=A day=2027-04-02", "lost day=2027-05-04 why=rain")
    assert '"05/10/2027" is not a date' in clerk.err
    assert clerk.run("record confirm request=B day=2027-04-02") == 3
    assert '"05/10/2027" is not a date' in clerk.err
    assert clerk.run("plan") == 3
    clerk.edit("B", row("B", until="05/10/2027").replace("B,", ",", 1))
    clerk.record("done request=A share=50% day=2027-05-04")
    assert clerk.run("record confirm request=C day=2027-04-02") == 3
    assert '"05/10/2027" is not a date' in clerk.err
