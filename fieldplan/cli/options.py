"""Options and arguments that commands share."""

from __future__ import annotations

import functools
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any, get_args

import click

from fieldplan.boundary.terms import LARGEST_SET_BACK_M, ReadingTerms
from fieldplan.cli.reader import units_callback
from fieldplan.cli.streams import Printed
from fieldplan.errors import InputError, QuantityError, UsageError
from fieldplan.jobfile.days import day
from fieldplan.model.field import SearchWord
from fieldplan.model.job import Job
from fieldplan.report.files import refuse_early
from fieldplan.typed_place import place_in
from fieldplan.typed_quantity import parse_quantity
from fieldplan.units import Kind


class _JobPath(click.Path):
    """A job file, which a newcomer may not have yet."""

    def get_missing_message(self, param: click.Parameter, ctx: click.Context | None) -> str:  # noqa: ARG002
        """How to come by one."""
        return "fieldplan init writes one with questions to answer; fieldplan desk asks them in a browser, without any file"


boundary_argument = click.argument("boundary", metavar="FIELDS", type=click.Path(path_type=Path))
job_option = click.option(
    "--job",
    "job_path",
    metavar="JOB.toml",
    required=True,
    type=_JobPath(path_type=Path),
    help="The job file: drill, seed mixes, how you work and book. fieldplan init writes one.",
)
search_option = click.option(
    "--search",
    type=click.Choice(get_args(SearchWord)),
    help="How many routes over a field are compared.  [default: usual]",
)
units_option = click.option(
    "--units",
    type=click.Choice(["us", "metric"]),
    default="us",
    show_default=True,
    is_eager=True,
    callback=units_callback,
    help="Units of pages and files.",
)


def season_file(path: Path) -> Path:
    """The file of a season that is named by it or by its folder."""
    return path / "season.toml" if path.is_dir() else path


def _season_file(ctx: click.Context, param: click.Parameter, value: Path) -> Path:
    del ctx, param
    return season_file(value)


def _season_files(ctx: click.Context, param: click.Parameter, value: tuple[Path, ...]) -> list[Path]:
    del ctx, param
    return [season_file(path) for path in value]


seasons_argument = click.argument(
    "season_paths",
    metavar="SEASON.toml...",
    nargs=-1,
    required=True,
    type=click.Path(path_type=Path),
    callback=_season_files,
)
season_argument = click.argument(
    "season_path",
    metavar="SEASON.toml",
    type=click.Path(path_type=Path),
    callback=_season_file,
)
paper_option = click.option(
    "--paper",
    type=click.Choice(["us-letter", "a4"]),
    default="us-letter",
    show_default=True,
    help="Paper size of PDF files.",
)

letterhead_option = click.option(
    "--letterhead",
    "letterhead_path",
    metavar="FILE.toml",
    type=click.Path(path_type=Path),
    help="Put the letterhead of this job file or season's file at the top.",
)


def _as_json(ctx: click.Context, param: click.Parameter, value: bool) -> bool:
    """Tell the stream that it prints JSON, so that signs it lacks can be escaped."""
    del ctx, param
    if isinstance(sys.stdout, Printed):
        sys.stdout.as_json = value
    return value


json_option = click.option(
    "--json",
    "as_json",
    is_flag=True,
    callback=_as_json,
    help="Print one JSON object in SI units instead of the page.",
)


def date_of(name: str, text: str) -> date:
    """The date that an option holds.

    Parameters
    ----------
    name
        The option, such as ``--today``.
    text
        What was typed, as year-month-day.

    Raises
    ------
    UsageError
        If it is not a date from 2000 to 2100.
    """
    try:
        return day(date.fromisoformat(text))
    except (ValueError, InputError):
        raise UsageError.of("date-unreadable", about=name, given=text) from None


def _today(ctx: click.Context, param: click.Parameter, value: str | None) -> date:
    del ctx, param
    return date.today() if value is None else date_of("--today", value)


def today_option_of(what: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """The option ``--today``, with what it is for."""
    return click.option("--today", metavar="YYYY-MM-DD", callback=_today, help=what)


today_option = today_option_of("Plan as if it were this day.")
force_option = click.option("--force", is_flag=True, is_eager=True, help="Overwrite existing files.")


def out_option(text: str, *names: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """The option for the folder to write files into. A folder that cannot be written to, or that has files
    of these names already, is refused before any work is done.

    Parameters
    ----------
    text
        The help of the option.
    names
        Files that are always written there.
    """

    def refused_early(ctx: click.Context, param: click.Parameter, value: Path | None) -> Path | None:
        del param
        if value is not None and not ctx.resilient_parsing:
            refuse_early(value, names, force=ctx.params.get("force", False))
        return value

    return click.option(
        "--out", "folder", metavar="DIR", type=click.Path(path_type=Path), callback=refused_early, help=text
    )


def quantity_option(
    name: str, kind: Kind, text: str, *, required: bool = False
) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """An option for a quantity, typed as text with its unit; the command gets a number in SI.

    Parameters
    ----------
    name
        The option, such as ``--distance``.
    kind
        What the quantity measures.
    text
        The help of the option.
    required
        Whether a command cannot do without it.
    """

    def parse(ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:
        del ctx, param
        if value is None:
            return None
        try:
            return parse_quantity(value, kind)
        except QuantityError as error:
            raise UsageError.from_other(error, about=name) from None

    return click.option(name, metavar=kind.upper(), callback=parse, help=text, required=required)


_READING = (
    click.option(
        "--crs", metavar="CODE", help="Reference system of the coordinates: an EPSG code or a name."
    ),
    click.option(
        "--axes",
        type=click.Choice(["lon-lat", "lat-lon"]),
        help="Which number of each pair comes first, if the file leaves that open.",
    ),
    click.option(
        "--near",
        metavar="PLACE",
        help='A place near the fields, such as 44.25,-95.75 or "44 15 N 95 45 W". Fields over 500 km away are questioned.',
    ),
    click.option(
        "--place-is-right",
        is_flag=True,
        help="Accept fields over 100 km from the others, or outside the area of their reference system.",
    ),
    click.option(
        "--layer",
        "layers",
        metavar="NAME",
        multiple=True,
        help="Read only this layer. Repeat for several.",
    ),
    click.option(
        "--where",
        metavar="CONDITION",
        multiple=True,
        help='Read only features with this attribute, such as "crop = oats". Repeat for several.',
    ),
    click.option("--id-field", metavar="NAME", help="Attribute with the id of a field."),
    click.option("--name-field", metavar="NAME", help="Attribute with the name of a field."),
    click.option("--mix-field", metavar="NAME", help="Attribute with the mix of a field.  [default: mix]"),
    click.option(
        "--encoding", metavar="SET", help="Character set of text in a Shapefile or table, such as CP1250."
    ),
    click.option(
        "--repair", is_flag=True, help="Mend outlines even if that changes their acres by over 0.5 %."
    ),
    click.option(
        "--skip-bad", is_flag=True, help="Leave out features that cannot be used, instead of stopping."
    ),
    click.option(
        "--guide",
        "guides",
        metavar="FILE",
        multiple=True,
        type=click.Path(path_type=Path),
        help="File of lines that passes follow. Repeat for several.",
    ),
)
_EXCLUDING = (
    click.option(
        "--exclusions",
        "exclusion_paths",
        metavar="FILE",
        multiple=True,
        type=click.Path(path_type=Path),
        help="File of ground not to sow, each feature with a reason. Repeat for several.",
    ),
    click.option(
        "--set-back",
        metavar="LENGTH",
        default="0 ft",
        show_default=True,
        help="Distance to keep from exclusions that have no set_back of their own.",
    ),
)


def reading_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options for reading a boundary file to a command.

    The command gets ``terms``, how to read boundary files, and ``excluding``: the paths of exclusion files
    and the set-back in meters.
    """

    @functools.wraps(command)
    def with_terms(
        *args: Any, exclusion_paths: tuple[Path, ...], set_back: str, near: str | None, **given: Any
    ) -> Any:
        reading = {name: given.pop(name) for name in ReadingTerms.__dataclass_fields__ if name != "near"}
        terms = ReadingTerms(near=_place(near), **reading)
        return command(*args, terms=terms, excluding=(exclusion_paths, _length_m(set_back)), **given)

    for option in reversed((*_READING, *_EXCLUDING)):
        with_terms = option(with_terms)
    return with_terms


def _place(text: str | None) -> tuple[float, float] | None:
    if text is None:
        return None
    found = place_in(text)
    if found is None:
        raise UsageError.of("near-unreadable", about="--near", given=text)
    return found


def _length_m(text: str) -> float:
    try:
        value = parse_quantity(text, "length")
    except QuantityError as error:
        raise UsageError.of(
            "set-back-unreadable/option", about="--set-back", why=error.problems[0]
        ) from None
    if not 0 <= value <= LARGEST_SET_BACK_M:
        raise UsageError.of(
            "set-back-unreadable/option-range", about="--set-back", given=text, most_m=LARGEST_SET_BACK_M
        )
    return value


def with_working(job: Job, key: str, **terms: object) -> Job:
    """The job with terms of ``[working]`` that the command line gives in place of a key; no default was used for it."""
    default = ("default-used", f"working.{key}")
    kept = [note for note in job.notes if (note.code, note.values.get("key")) != default]
    working: Any = replace(job.working, **terms)  # type: ignore[arg-type]
    return replace(job, working=working, notes=tuple(kept))
