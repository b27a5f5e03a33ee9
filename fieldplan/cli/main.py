"""The ``fieldplan`` command: find the subcommand, turn errors into text and exit codes."""

from __future__ import annotations

import importlib
import signal
import sys
import traceback
from collections.abc import Sequence
from types import FrameType

import click

from fieldplan.cli.arguments import refuse_unusable
from fieldplan.cli.explained import Rows, write_sections
from fieldplan.cli.reader import Reader
from fieldplan.cli.streams import ReaderGone, take_streams
from fieldplan.errors import FieldplanError, InputError, Problem
from fieldplan.report.words.both_units import BothUnits
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import hint_sentence, sentence

COMMANDS = {
    "plan": "Plan a job: acres, passes, seed, refills, hours and days to book.",
    "check": "List what a boundary file holds and what is in the way of a plan.",
    "seed": "List seed to buy, to bring to each parcel and to pour in.",
    "species": "Show what is published of a species, each figure with its source.",
    "mix": "Design a mix from seeds wanted, shares and prices.",
    "stock": "Keep seed lots that jobs draw from: left, retest, buy.",
    "setup": "Print the set-up card for a drill and a mix.",
    "calibrate": "Work out what to catch, and the real rate from a catch.",
    "fee": "Work out what a job costs by a rate card.",
    "compare": "Compare drills, speeds, days, starts or crews on the same fields.",
    "progress": "Compare the work so far with the plan: seed, pace, days left.",
    "weather": "Tell fieldwork days from a daily weather record.",
    "season": "Run a rental program: schedule, ledger, invoices, reports.",
    "region": "Plan every parcel of a county: hours, drills and seed in all.",
    "desk": "Open the planning page in a browser on this machine.",
    "acres": "Measure the acres of fields.",
    "init": "Write a job file to fill in.",
}
MODULES = {"progress": "progress_command"}
"""Commands whose module is not named for them."""
BUG_EXIT, INTERRUPTED_EXIT = 1, 130
MANY_MISSING = 3
"""This many missing values or more are printed as one list."""
MAX_PRINTED = 40
"""Problems of one input that are printed; thousands of them have one cause."""
_MAX_MESSAGE = 1000
_STOPS = ("SIGTERM", "SIGHUP", "SIGBREAK")
"""Signals that end a program, on systems that have them."""


GOOD_TO_KNOW: dict[str, Rows] = {
    "Good to know": (
        ("COMMAND --help", "Explains a command, with examples."),
        (
            "units",
            "Pages are in US units, or in metric with --units metric. --json prints SI. "
            "Rate cards always bill acres.",
        ),
        (
            "files",
            "Are written all or none, even if the disk fills up or the program is killed, and never over an "
            "existing file without --force. Two runs into one folder take turns.",
        ),
        (
            "characters",
            "Files are UTF-8. What is printed suits the terminal: plainer signs, ? for letters that it lacks.",
        ),
        (
            "exit codes",
            "0 done, 1 a bug, 2 wrong usage, 3 input that cannot be used or a full disk, 4 no plan possible, "
            "130 interrupted.",
        ),
    ),
}


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
        write_sections(formatter, GOOD_TO_KNOW)


@click.command(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="fieldplan")
def fieldplan() -> None:
    """Plan jobs with a rented no-till drill: acres, passes, seed, hours and days to book.

    \b
    fieldplan init .                                write job.toml and fill it in
    fieldplan check fields.geojson                  see what the file holds
    fieldplan plan fields.geojson --job job.toml    print the plan
    """


def run() -> None:
    """Run the command line and exit.

    The exit code is 0 if done, 1 for a bug, 2 for wrong usage, 3 for input or a disk that cannot be used, 4
    if there is no plan, 130 if interrupted.
    """
    for name in _STOPS:
        number = getattr(signal, name, None)
        # a signal that the system was told to ignore stays ignored
        if number is not None and signal.getsignal(number) == signal.SIG_DFL:
            signal.signal(number, _interrupt)
    try:
        take_streams()
    except FieldplanError as error:
        sys.exit(_failed(error, BothUnits()))
    sys.exit(exit_code(sys.argv[1:]))


def _interrupt(number: int, frame: FrameType | None) -> None:
    """Treat a signal to stop as an interruption, so that half-written files are cleared."""
    del number, frame
    raise KeyboardInterrupt


def exit_code(arguments: list[str]) -> int:
    """Run a command line, print on stderr what went wrong, and return the exit code.

    Parameters
    ----------
    arguments
        The words of the command line after the program's name.
    """
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
        click.echo("Interrupted. No file was left half written.", err=True)
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
        "This is a bug in fieldplan. Please report it with the lines above and, if you can, the files.",
        err=True,
    )
    return BUG_EXIT


def _failed(error: FieldplanError, q: Quantities) -> int:
    """Print what went wrong; many missing values become one list to fill in."""
    missing = [problem for problem in error.problems if problem.code == "key-missing"]
    problems = list(error.problems)
    if len(missing) >= MANY_MISSING:
        problems = [problem for problem in problems if problem.code != "key-missing"]
    for problem in problems[:MAX_PRINTED]:
        click.echo(f"Error: {_readable(sentence(problem, q))}", err=True)
        if hint := hint_sentence(problem, q):
            click.echo(f"Try: {_readable(hint)}", err=True)
    if len(problems) > MAX_PRINTED:
        click.echo(f"Error: and {len(problems) - MAX_PRINTED:,} more like these.", err=True)
    if len(missing) >= MANY_MISSING:  # last: another fault may be why they are missing
        _print_missing(missing, q)
    return error.exit_code


def _print_missing(missing: Sequence[Problem], q: Quantities) -> None:
    """Print missing values as one list to fill in."""
    files = ", ".join(dict.fromkeys(problem.file for problem in missing))
    click.echo(
        f"Error: {_readable(files)}: {len(missing)} values are missing that only you know.", err=True
    )
    click.echo("Try: fill in", err=True)
    for problem in missing[:MAX_PRINTED]:
        where = " ".join(part for part in (problem.about, problem.key) if part)
        click.echo(f"  {_readable(where)}: {_readable(hint_sentence(problem, q))}", err=True)


def _readable(text: str) -> str:
    """A sentence that does a terminal no harm and is not too long to read: it may quote what was typed."""
    text = plain(text)
    if len(text) <= _MAX_MESSAGE:
        return text
    return f"{text[: _MAX_MESSAGE // 2]} … {text[-_MAX_MESSAGE // 4 :]}"
