"""The files of a plan, made when somebody asks for them."""

from __future__ import annotations

import mimetypes
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from fieldplan.planner import setup_cards
from fieldplan.report.data.zips import zipped
from fieldplan.report.output import Output, PlanAsked
from fieldplan.report.outputs import PLAN, left_out, with_manifest, writers_of
from fieldplan.report.typeset import Paper
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.web.answer import Answer
from fieldplan.web.draft import Draft
from fieldplan.web.jobs import DESK, Jobs
from fieldplan.web.steps import STEPS

ALL = "all"


@dataclass(frozen=True, slots=True)
class Made:
    """A file: its name, its kind as browsers call it, and what is in it."""

    name: str
    kind: str
    content: bytes


def paper_of(system: System) -> Paper:
    """The size of paper that readers of some units print on."""
    return "us-letter" if system == "us" else "a4"


def asked(answer: Answer, system: System, paper: Paper) -> PlanAsked:
    """What outputs are made of.

    Parameters
    ----------
    answer
        One with a plan.
    """
    assert answer.plan is not None
    return PlanAsked(
        plan=answer.plan,
        cards=setup_cards(answer.plan),
        boundary_name=answer.boundary_name,
        q=Quantities(system),
        paper=paper,
    )


def output_named(name: str) -> Output[PlanAsked] | None:
    """The output of a plan that has a name; ``None`` if there is none."""
    return next((one for one in PLAN if one.name == name), None)


def contents_of(name: str, wanted: PlanAsked) -> dict[str, bytes]:
    """The files of an output, or of all, by their names.

    Parameters
    ----------
    name
        The name of an output, or "all".
    wanted
        What it is made of.

    Raises
    ------
    FieldplanError
        If an output cannot be made, such as a calendar without days.
    """
    output = output_named(name)
    if name == ALL:
        missing = left_out(wanted)
        kept = tuple(one for one in PLAN if one.name not in missing)
        writers = with_manifest(writers_of(kept, wanted))
    elif output is not None:
        output.require()
        writers = writers_of((output,), wanted)
    else:
        raise KeyError(name)
    with tempfile.TemporaryDirectory(prefix="fieldplan-desk-") as folder:
        for file, write in writers.items():
            write(Path(folder) / file)
        return {file: (Path(folder) / file).read_bytes() for file in writers}


def made(name: str, wanted: PlanAsked, job: str) -> Made:
    """The files of an output, or of all: one as it is, several in a zip file that is called by the job.

    Raises
    ------
    FieldplanError
        As `contents_of`.
    """
    return _one(contents_of(name, wanted), job if name == ALL else f"{job} {name}")


def job_files(draft: Draft, folder: Path, job: str) -> Made:
    """The job itself in a zip file: its boundary files and job file as they stand, and the files that it names.

    Parameters
    ----------
    folder
        Where the job is saved.
    """
    with tempfile.TemporaryDirectory(prefix="fieldplan-desk-") as place:
        there = Path(place) / "job"
        there.mkdir()
        for path in folder.iterdir() if folder.is_dir() else ():
            if (
                path.is_file()
                and not path.is_symlink()
                and path.name not in (DESK, STEPS)
                and not path.name.startswith(".")
            ):
                (there / path.name).write_bytes(path.read_bytes())
        Jobs(Path(place)).save("job", draft, revision=0)
        left = sorted(
            path for path in there.iterdir() if path.name != DESK and not path.name.startswith(".")
        )
        contents = {path.name: path.read_bytes() for path in left}
    return Made(f"{job}.zip", "application/zip", zipped(contents))


def _one(contents: Mapping[str, bytes], called: str) -> Made:
    if len(contents) == 1:
        ((file, content),) = contents.items()
        return Made(file, mimetypes.guess_type(file)[0] or "application/octet-stream", content)
    return Made(f"{called}.zip", "application/zip", zipped(contents))
