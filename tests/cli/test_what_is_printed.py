"""What is printed can be read in any character set, and that it could not be printed is said."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import boundary_builders as s
import pytest
from conftest import SAMPLES

from fieldplan.cli.signs import escaped, legible

FARM = ["plan", str(SAMPLES / "farm.geojson"), "--job", str(SAMPLES / "farm.toml"), "--today", "2027-04-01"]
CHECK = ["check", str(SAMPLES / "pivot.kml")]
CARD = ["setup", "--job", str(SAMPLES / "restoration.toml"), "--mix", "prairie"]
posix = pytest.mark.skipif(os.name == "nt", reason="needs shell redirection of this kind")


def _printed(arguments: list[str], encoding: str) -> tuple[int, bytes, bytes]:
    environment = {**os.environ, "PYTHONIOENCODING": encoding}
    got = subprocess.run(
        [sys.executable, "-m", "fieldplan", *arguments], env=environment, capture_output=True, check=False
    )
    return got.returncode, got.stdout, got.stderr


@pytest.mark.parametrize("encoding", ["cp1252", "ascii", "cp437"])
def test_pages_are_printed_in_character_sets_that_lack_their_signs(encoding: str) -> None:
    """The page reads the same but for plainer signs, every line of a table as wide as in UTF-8."""
    code, got, _ = _printed(FARM, encoding)
    _, whole, _ = _printed(FARM, "utf-8")
    assert code == 0
    lines, whole_lines = got.decode(encoding).splitlines(), whole.decode("utf-8").splitlines()
    assert len(lines) == len(whole_lines)
    assert "?" not in got.decode(encoding)
    for line, whole_line in zip(lines, whole_lines, strict=True):
        assert len(line) == len(whole_line) + 2 * (whole_line.count("…") if "…" not in line else 0)


def test_names_that_a_character_set_lacks_stay_true_in_json(tmp_path: Path) -> None:
    """A name in Cyrillic and an emoji: question marks on the page, escapes that mean the same in JSON."""
    field = s.geojson(tmp_path / "field.geojson", s.SQUARE)
    field.write_text(field.read_text(encoding="utf-8").replace("north 1", "Поле 💧"), encoding="utf-8")
    command = ["acres", str(field)]
    code, got, sentence = _printed([*command, "--json"], "cp1252")
    assert code == 0, sentence
    assert json.loads(got.decode("ascii"))["fields"][0]["field_id"] == "Поле 💧"
    code, got, _ = _printed(command, "cp1252")
    assert code == 0
    assert b"???? ??" in got


@pytest.mark.parametrize(
    "arguments", [CARD, CHECK, ["--help"], ["season", "record", "--help"], ["plan", "\u2212.geojson"]]
)
def test_no_command_stumbles_over_a_character_set(arguments: list[str]) -> None:
    """Cards, findings, help and complaints too."""
    code, got, sentence = _printed(arguments, "ascii")
    assert code in (0, 2)
    assert got.decode("ascii") + sentence.decode("ascii")
    assert b"Traceback" not in sentence


def test_signs_are_put_plainer_without_moving_columns() -> None:
    """Dots at the end of a cell take the room of its last letters; wide letters leave two marks, joining
    ones none.
    """
    assert legible("a long na…  12 ×", "ascii") == "a long ...  12 x"
    assert legible("…", "cp1252") == "…"
    assert legible("wait …", "ascii") == "wait ..."
    assert legible("畑 e\u0301", "latin-1") == "?? e"
    assert legible("\udcff", "utf-8") == "?"
    assert json.loads(escaped('"é 💧"', "ascii")) == "é 💧"


@posix
@pytest.mark.parametrize("arguments", [FARM, [*FARM, "--json"], ["--help"]])
def test_a_full_disk_behind_standard_output_is_one_sentence(arguments: list[str]) -> None:
    """Exit 3, one sentence, no traceback."""
    with Path("/dev/full").open("w") as full:
        got = subprocess.run(
            [sys.executable, "-m", "fieldplan", *arguments],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert got.returncode == 3
    assert got.stderr.splitlines()[0] == "Error: Not all of the output could be printed (the disk is full)."
    assert len(got.stderr.splitlines()) == 2


@posix
@pytest.mark.parametrize(
    ("redirect", "code"), [(">&-", 3), ("2>&-", 0), ("2>/dev/full", 0), ("| true", 0), ("| head -1", 0)]
)
def test_closed_streams_end_a_run_in_order(redirect: str, code: int) -> None:
    """Nothing can be printed: refused. Nobody reads on: quiet. Complaints go nowhere: the result still
    comes.
    """
    command = f"set -o pipefail; {sys.executable} -m fieldplan acres {SAMPLES / 'farm.geojson'} {redirect}"
    got = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=False)
    assert got.returncode == code
    assert "Traceback" not in got.stderr
    assert "ignored" not in got.stderr


@posix
def test_a_record_that_was_written_but_not_printed_says_so(tmp_path: Path) -> None:
    """Who would only see a failure would enter it again."""
    ledger = tmp_path / "l"
    command = [
        "season",
        "record",
        str(SAMPLES / "season.toml"),
        "rain",
        "drill=ten foot",
        "day=2027-04-20",
        "--ledger",
        str(ledger),
    ]
    with Path("/dev/full").open("w") as full:
        got = subprocess.run(
            [sys.executable, "-m", "fieldplan", *command],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert got.returncode == 3
    assert f"Written to {ledger}: row 1." in got.stderr
    assert "do not enter it again" in got.stderr
