"""The README's outputs are what the program prints."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from conftest import ROOT, SAMPLES, TODAY

from fieldplan.cli.main import exit_code

_SHOWN = re.compile(r"```text\n\$ fieldplan (?P<command>[^\n]*)\n(?P<output>.*?)```", re.DOTALL)
SHOWN = [
    (found["command"], found["output"])
    for found in _SHOWN.finditer((ROOT / "README.md").read_text(encoding="utf-8"))
]


@pytest.mark.parametrize(("command", "output"), SHOWN, ids=[command for command, _ in SHOWN])
def test_command_prints_what_the_readme_shows(
    command: str, output: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each command of the README that stands above its output."""
    monkeypatch.chdir(ROOT)
    assert exit_code(shlex.split(command)) == 0
    assert capsys.readouterr().out == output


def test_the_season_starts_as_shown(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The start of the season's page."""
    monkeypatch.chdir(ROOT)
    shown = (
        (ROOT / "README.md")
        .read_text(encoding="utf-8")
        .partition("```text\nThistle Flats spring")[2]
        .partition("```")[0]
    )
    assert exit_code(["season", "plan", "sample_fields/season.toml"]) == 0
    assert shown
    assert capsys.readouterr().out.startswith("Thistle Flats spring" + shown.rstrip())


def test_the_first_page_starts_as_shown(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The start of the main command's page."""
    monkeypatch.chdir(ROOT)
    shown = (
        (ROOT / "README.md")
        .read_text(encoding="utf-8")
        .partition("```text\nPlan for")[2]
        .partition("```")[0]
    )
    assert (
        exit_code(
            [
                "plan",
                "sample_fields/farm.geojson",
                "--job",
                "sample_fields/farm.toml",
                "--today",
                f"{TODAY}",
            ]
        )
        == 0
    )
    assert shown
    assert capsys.readouterr().out.startswith("Plan for" + shown.rstrip())


def test_a_season_goes_from_requests_to_board_report_as_the_readme_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every command of that section in order, in a folder that holds nothing but the samples; the last
    prints what is shown.
    """
    shutil.copytree(SAMPLES, tmp_path / "sample_fields")
    monkeypatch.chdir(tmp_path)
    section = (
        (ROOT / "README.md")
        .read_text(encoding="utf-8")
        .partition("## A season of rentals")[2]
        .partition("\n## ")[0]
    )
    blocks = re.findall(r"```sh\n(.*?)```", section, re.DOTALL)
    commands = [line for block in blocks for line in block.splitlines() if line.startswith("fieldplan ")]
    assert [shlex.split(command)[2] for command in commands] == [
        "plan",
        "rain",
        "capacity",
        "record",
        "record",
        "invoice",
        "packet",
        "board",
    ]
    for command in commands:
        capsys.readouterr()
        assert exit_code(shlex.split(command)[1:]) == 0, command
    shown = section.rpartition("```text\n")[2].partition("```")[0]
    assert capsys.readouterr().out.startswith(shown.rstrip())
    assert {
        "season.xlsx",
        "month-board.pdf",
        "hand-over.pdf",
        "invoice-r10.pdf",
        "packet-r03.pdf",
        "board.pdf",
    } <= {path.name for path in (tmp_path / "bookings").iterdir()}
