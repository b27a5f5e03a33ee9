"""The README's commands run, and what it shows is what the program prints."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from conftest import ROOT, SAMPLES

from fieldplan.cli.main import exit_code

README = (ROOT / "README.md").read_text(encoding="utf-8")
_SHOWN = re.compile(r"```text\n\$ fieldplan (?P<command>[^\n]*)\n(?P<output>.*?)```", re.DOTALL)
SHOWN = [(found["command"], found["output"]) for found in _SHOWN.finditer(README)]
WRITTEN = {
    "A farmer": {"job.toml", "plans/plan.html", "plans/plan.kml"},
    "A restoration crew": {"crew/seed-order.xlsx"},
    "A district clerk": {
        f"bookings/{name}"
        for name in (
            "season.xlsx",
            "month-board.pdf",
            "hand-over.pdf",
            "invoice-r10.pdf",
            "packet-r03.pdf",
            "board.pdf",
        )
    }
    | {"letters/2027-06-20-invoice-r10.pdf", "letters/2027-06-20-invoice-r10.txt"},
    "A state office": {"county/summary.csv", "county/map.svg", "county/fields/part-0000000.parquet"},
}


def _commands(heading: str) -> list[list[str]]:
    """The commands of a section, in order."""
    section = README.partition(f"\n## {heading}\n")[2].partition("\n## ")[0]
    blocks = re.findall(r"```sh\n(.*?)```", section, re.DOTALL)
    lines = [line for block in blocks for line in block.splitlines() if line.startswith("fieldplan ")]
    return [shlex.split(line, comments=True)[1:] for line in lines]


def test_an_output_is_shown() -> None:
    """A newcomer sees what comes out before installing anything."""
    assert SHOWN


@pytest.mark.parametrize(("command", "output"), SHOWN, ids=[command for command, _ in SHOWN])
def test_command_prints_what_the_readme_shows(
    command: str, output: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each command of the README that stands above its output."""
    monkeypatch.chdir(ROOT)
    assert exit_code(shlex.split(command)) == 0
    assert capsys.readouterr().out == output


@pytest.mark.parametrize("heading", WRITTEN)
def test_every_command_of_a_section_runs_in_order(
    heading: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """In a folder that holds nothing but the samples; each prints something, and the files are there."""
    shutil.copytree(SAMPLES, tmp_path / "sample_fields")
    monkeypatch.chdir(tmp_path)
    commands = _commands(heading)
    assert len(commands) >= 2
    for command in commands:
        capsys.readouterr()
        assert exit_code(command) == 0, command
        assert capsys.readouterr().out, command
    assert all((tmp_path / name).is_file() for name in WRITTEN[heading])


def test_the_clerk_goes_from_requests_to_board_report() -> None:
    """No step of a season is left out."""
    steps = [command[1] for command in _commands("A district clerk")]
    assert steps == [
        "plan",
        "record",
        "record",
        "record",
        "rain",
        "record",
        "offers",
        "capacity",
        "record",
        "invoice",
        "packet",
        "letters",
        "renters",
        "board",
        "ledger",
        "years",
    ]
