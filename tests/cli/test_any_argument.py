"""Whatever is typed after any option of any command: an answer or a sentence, never a traceback."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import boundary_builders as s
import click
import pytest
from conftest import SAMPLES

from fieldplan.cli.main import exit_code, fieldplan

REFUSED = {
    "\0": "NUL",
    "a\0b": "NUL",
    "\udcff": "not text",
    "x\udc80": "not text",
    "": "is empty",
    " \t": "is empty",
    "9" * 20_000: "characters long",
}
"""What is refused wherever it stands, and a word of why."""
ODD = (
    "9" * 5000,
    "a" * 300,
    "nan",
    "inf",
    "1e999",
    "-1",
    "0000-00-00",
    "9999-99-99",
    "1e999 ft",
    "nan ac",
    "=",
    "=nan",
    "%s{}",
    "\x1b[31m",
    "💥",
)
FIXED = {
    "FIELDS": "field.geojson",
    "JOB.toml": "farm.toml",
    "SEASON.toml": "season.toml",
    "CARD.toml": "rates.toml",
    "TARGET.toml": "target.toml",
    "STOCK.csv": "stock.csv",
    "KIND": "moved",
    "DIR": "out",
    "season.json": "none.json",
    "REQUEST": "R01",
    "AREA": "1 ac",
    "TIME": "1 h",
}


def _commands(
    command: click.Command, context: click.Context, path: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    if not isinstance(command, click.Group):
        yield path, command
        return
    for name in command.list_commands(context):
        found = command.get_command(context, name)
        assert found is not None
        yield from _commands(found, context, (*path, name))


def _taking_values() -> list[tuple[tuple[str, ...], click.Command, click.Parameter]]:
    """Every option and argument that takes a value; options that commands share once."""
    found = {}
    for path, command in _commands(fieldplan, click.Context(fieldplan)):
        for param in command.params:
            if not (isinstance(param, click.Option) and param.is_flag):
                found.setdefault(
                    (param.opts[0], getattr(param, "metavar", None), getattr(param, "help", path)),
                    (path, command, param),
                )
    return list(found.values())


def _typed(path: tuple[str, ...], command: click.Command, one: click.Parameter, value: str) -> list[str]:
    """A command line with this value, and what the command needs besides."""
    words = [*path]
    for other in command.params:
        if other is not one and other.required:
            known = FIXED.get(str(other.metavar), "1")
            words += [known] if isinstance(other, click.Argument) else [other.opts[0], known]
    return (
        [*words, "--", value]
        if isinstance(one, click.Argument) and not value.startswith("-")
        else [*words, f"{one.opts[0]}={value}"]
    )


@pytest.fixture
def _samples(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The sample files and a small field where commands are run."""
    for one in SAMPLES.iterdir():
        shutil.copy(one, tmp_path)
    s.geojson(tmp_path / "field.geojson", s.SQUARE)
    monkeypatch.chdir(tmp_path)


@pytest.mark.usefixtures("_samples")
def test_what_is_no_value_is_refused_by_every_option(capsys: pytest.CaptureFixture[str]) -> None:
    """NUL, bytes that are no text, nothing, blanks and endless values: exit 2, and the option is named."""
    options = _taking_values()
    assert len(options) > 60
    for path, command, one in options:
        for value, why in REFUSED.items():
            code, sentence = exit_code(_typed(path, command, one, value)), capsys.readouterr().err
            assert code == 2, (path, one.opts, value[:9], sentence)
            assert why in sentence
            assert "Traceback" not in sentence
            assert isinstance(one, click.Argument) or one.opts[0] in sentence
    assert not Path("out").exists()


@pytest.mark.usefixtures("_samples")
def test_odd_values_of_any_option_give_an_answer_or_a_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    """Numbers that are none or endless, dates that no calendar has, names that no disk takes; slow commands, and one
    that serves until it is stopped, are left to the test above.
    """
    for path, command, one in _taking_values():
        if path[:2] in {("season", "plan"), ("season", "capacity"), ("season", "rain"), ("desk",)}:
            continue
        if (path, one.opts[0]) == (("region",), "--out"):  # each folder would get a region of its own
            continue
        for value in ODD:
            code, sentence = exit_code(_typed(path, command, one, value)), capsys.readouterr().err
            assert code in (0, 2, 3, 4), (path, one.opts, value[:9], sentence)
            assert "Traceback" not in sentence


@pytest.mark.usefixtures("_samples")
@pytest.mark.parametrize("words", [["--out", ""], ["--out="], ["--out", "  "], ["--write", ","]])
def test_a_folder_without_a_name_is_not_this_one(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """--out with nothing after it writes nowhere, neither does an empty list of what to write."""
    before = sorted(Path().iterdir())
    more = ["--out", "out"] if "--write" in words else []
    assert exit_code(["plan", "field.geojson", "--job", "farm.toml", *more, *words]) == 2
    assert words[0].rstrip("=") in capsys.readouterr().err
    assert sorted(Path().iterdir()) == before


@pytest.mark.skipif(os.name == "nt", reason="names are text there")
@pytest.mark.usefixtures("_samples")
def test_files_whose_names_are_no_text_are_read(capsys: pytest.CaptureFixture[str]) -> None:
    """A field, a job and a folder that are there may be called what the system lets them be called."""
    odd = os.fsdecode(b"f\xff")
    for name in ("field.geojson", "farm.toml"):
        shutil.copy(name, odd + name)
    Path(odd).mkdir()
    command = [
        "plan",
        f"{odd}field.geojson",
        f"--job={odd}farm.toml",
        "--today",
        "2027-04-01",
        "--out",
        odd,
        "--write",
        "json,page,kml",
    ]
    assert exit_code(command) == 0, capsys.readouterr().err
    assert sorted(one.name for one in Path(odd).iterdir()) == [
        "manifest.json",
        "plan.html",
        "plan.json",
        "plan.kml",
    ]
