"""The ``fieldplan`` command: finds the subcommand, turns errors into text and exit codes."""

from __future__ import annotations

import importlib
import signal
import sys
import traceback
from collections.abc import Sequence
from types import FrameType

import click

from fieldplan.cli.arguments import refuse_unusable
from fieldplan.cli.reader import Reader
from fieldplan.cli.streams import ReaderGone, take_streams
from fieldplan.errors import FieldplanError, InputError, Problem
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import BothUnits, Quantities
from fieldplan.report.words.sentences import hint_sentence, sentence

COMMANDS = {
    "plan": "Plan a job: acres, passes, seed, refills, hours and days to book.",
    "check": "Say what a boundary file holds and what is in the way of a plan.",
    "seed": "Say what seed to buy, bring and tip in, with labels for every batch.",
    "setup": "Print the set-up card of a drill and a mix.",
    "calibrate": "Say what to catch, and what a catch says.",
    "fee": "Say what a job costs by a district's rate card.",
    "compare": "Plan the same fields with several drills, speeds or working days.",
    "progress": "Say how a job goes: pace, seed and days left.",
    "season": "Lend drills back to back: who has which one when.",
    "acres": "Measure fields, beside the ways that give wrong acres.",
    "init": "Write a commented job file to start from.",
}
MODULES = {"progress": "progress_command"}
"""Commands whose module is not named for them."""
BUG_EXIT, INTERRUPTED_EXIT = 1, 130
MANY_MISSING = 3
"""From so many missing values on, they are said as one list."""
MAX_SHOWN = 40
"""Problems of one input that are shown; a list with thousands has one cause."""
_MAX_MESSAGE = 1000
_STOPS = ("SIGTERM", "SIGHUP", "SIGBREAK")
"""Signals that end a program, on systems that have them."""


class LazyGroup(click.Group):
    """A group that loads the module of a command only when that command runs."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names in the order a newcomer meets them."""
        del ctx
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, loaded now."""
        del ctx
        if cmd_name not in COMMANDS:
            return None
        command = importlib.import_module(f"fieldplan.cli.{MODULES.get(cmd_name, cmd_name)}").command
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands without loading them."""
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.command(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="fieldplan")
def fieldplan() -> None:
    """From field boundaries to acres, passes, seed, hours and days to book for a rented drill.

    \b
    fieldplan init .
    fieldplan check fields.geojson
    fieldplan plan fields.geojson --job job.toml
    """


def run() -> None:
    """Run the command line and exit: 0 done, 1 bug, 2 usage, 3 input or disk can't be used, 4 no plan, 130
    interrupted.
    """
    for name in _STOPS:
        number = getattr(signal, name, None)
        if (
            number is not None and signal.getsignal(number) == signal.SIG_DFL
        ):  # not where the system was told to ignore it
            signal.signal(number, _interrupt)
    try:
        take_streams()
    except FieldplanError as error:
        sys.exit(_failed(error, BothUnits()))
    sys.exit(exit_code(sys.argv[1:]))


def _interrupt(number: int, frame: FrameType | None) -> None:
    """Being told to stop is as being interrupted: what is half done is put back and cleared."""
    del number, frame
    raise KeyboardInterrupt


def exit_code(arguments: list[str]) -> int:
    """Run a command line, say on stderr what went wrong, and give the exit code."""
    reader = Reader()
    try:
        refuse_unusable(arguments)
        result = fieldplan.main(args=arguments, prog_name="fieldplan", standalone_mode=False, obj=reader)
    except click.exceptions.NoArgsIsHelpError as error:
        error.show()
        return error.exit_code
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except (click.Abort, KeyboardInterrupt):
        click.echo("Interrupted; nothing was left half written.", err=True)
        return INTERRUPTED_EXIT
    except FieldplanError as error:
        return _failed(error, reader.quantities)
    except ReaderGone:
        return 0
    except OSError as problem:
        if problem.filename is None:
            return _bug()
        unusable = InputError.of(
            "file-unusable", file=str(problem.filename), why=problem.strerror or str(problem)
        )
        return _failed(unusable, reader.quantities)
    except Exception:
        return _bug()
    return result if isinstance(result, int) else 0


def _bug() -> int:
    traceback.print_exc()
    click.echo(
        "This is a bug in fieldplan. Please report it with the lines above and the files, if you can.",
        err=True,
    )
    return BUG_EXIT


def _failed(error: FieldplanError, q: Quantities) -> int:
    """Say what went wrong; many missing values are one list to fill in."""
    missing = [problem for problem in error.problems if problem.code == "key-missing"]
    problems = list(error.problems)
    if len(missing) >= MANY_MISSING:
        problems = [problem for problem in problems if problem.code != "key-missing"]
    for problem in problems[:MAX_SHOWN]:
        click.echo(f"Error: {_readable(sentence(problem, q))}", err=True)
        if hint := hint_sentence(problem, q):
            click.echo(f"Try: {_readable(hint)}", err=True)
    if len(problems) > MAX_SHOWN:
        click.echo(f"Error: and {len(problems) - MAX_SHOWN:,} more like these.", err=True)
    if len(missing) >= MANY_MISSING:  # last: another fault may be why they are missing
        _say_missing(missing, q)
    return error.exit_code


def _say_missing(missing: Sequence[Problem], q: Quantities) -> None:
    """Values that are missing as one list to fill in."""
    files = ", ".join(dict.fromkeys(one.file for one in missing))
    click.echo(
        f"Error: {_readable(files)}: {len(missing)} values are missing that only you know.", err=True
    )
    click.echo("Try: fill in", err=True)
    for one in missing[:MAX_SHOWN]:
        where = " ".join(part for part in (one.about, one.key) if part)
        click.echo(f"  {_readable(where)}: {_readable(hint_sentence(one, q))}", err=True)


def _readable(text: str) -> str:
    """A sentence harmless for a terminal, and no longer than one can read: it may quote what was typed."""
    text = plain(text)
    return (
        text if len(text) <= _MAX_MESSAGE else f"{text[: _MAX_MESSAGE // 2]} … {text[-_MAX_MESSAGE // 4 :]}"
    )
