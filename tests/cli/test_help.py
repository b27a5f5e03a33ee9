"""Help that reads well in a terminal of 80 columns."""

from __future__ import annotations

import click
import pytest

from fieldplan.cli.main import COMMANDS, exit_code, fieldplan

WIDTH = 80


def _commands() -> list[list[str]]:
    names = [[name] for name in COMMANDS]
    season = fieldplan.get_command(click.Context(fieldplan), "season")
    assert isinstance(season, click.Group)
    return [[], *names, *(["season", name] for name in season.commands)]


@pytest.mark.parametrize("words", _commands(), ids=" ".join)
def test_help_fits_the_terminal(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """No line of any help, examples among them, is cut or broken by a terminal of 80 columns."""
    assert exit_code([*words, "--help"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line for line in lines if len(line) > WIDTH] == []


def test_the_list_of_commands_is_one_line_each(capsys: pytest.CaptureFixture[str]) -> None:
    """What a newcomer reads first can be scanned."""
    assert exit_code(["--help"]) == 0
    lines = [line.strip() for line in capsys.readouterr().out.splitlines()]
    assert all(any(line.endswith(text) for line in lines) for text in COMMANDS.values())


def test_check_help_explains_each_case_with_an_answer(capsys: pytest.CaptureFixture[str]) -> None:
    """What is found in boundary files, what happens, and the option that answers it."""
    assert exit_code(["check", "--help"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    for answer in ("--crs", "--axes", "--place-is-right", "--repair", "--skip-bad", "--where", "--layer"):
        assert f"Answer: {answer}" in text or f", {answer}" in text or f"or {answer}" in text, answer
