"""Which mix each field of a job is sown with."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from fieldplan.errors import InputError, Problem, problem
from fieldplan.facts import Fact
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.job import Job
from fieldplan.model.seed import Mix
from fieldplan.model.spelling import nearest

MAX_NAMED = 10
"""At most so many fields are named in a hint."""


def mixes_by_field(boundary: BoundaryFile, job: Job) -> dict[str, Mix]:
    """The mix of each field by its id.

    The job file decides, then the field's attribute ``mix``, then the job's mix if it has only one.

    Raises
    ------
    InputError
        If a field names a mix that the job does not have, a job of several mixes leaves the choice open,
        or the job file names a field that the boundary file does not have.
    """
    by_name = {mix.name: mix for mix in job.mixes}
    similar_attributes = tuple(
        Fact(note.code, note.values)
        for note in boundary.notes
        if note.code == "attribute-like" and note.values["known"] == "mix"
    )
    mixes: dict[str, Mix] = {}
    problems: list[Problem] = []
    for field in boundary.fields:
        named = job.terms_for(field.field_id).mix or field.mix
        found = mix_problem(
            field.field_id, named, tuple(by_name), file=boundary.path, job=job.path, like=similar_attributes
        )
        if found is not None:
            problems.append(found)
        else:
            mixes[field.field_id] = job.mixes[0] if named is None else by_name[named]
    known_ids = dict.fromkeys(field.field_id for field in boundary.fields)
    problems += [
        problem(
            "field-unknown/in-job",
            file=str(job.path),
            about=f"[field.{field_id}]",
            boundary=str(boundary.path),
            near=nearest(field_id, known_ids) or "",
            known=tuple(known_ids)[:MAX_NAMED],
        )
        for field_id in job.fields
        if field_id not in known_ids
    ]
    if problems:
        raise InputError(tuple(problems))
    return mixes


def mix_problem(
    field_id: str,
    named: str | None,
    known: Sequence[str],
    *,
    file: Path,
    job: Path,
    like: tuple[Fact, ...] = (),
) -> Problem | None:
    """What is in the way of knowing the mix of a field; ``None`` if nothing is.

    Parameters
    ----------
    field_id
        The field.
    named
        The mix that is named for it; ``None`` if none is.
    known
        The names of the job's mixes.
    file, job
        The boundary file and the job file.
    like
        Attributes of the boundary file that may be meant as the mix.
    """
    if named in known or (named is None and len(known) == 1):
        return None
    return problem(
        "mix-unknown" if named else "mix-unknown/not-said",
        file=str(file),
        about=f'field "{field_id}"',
        field=field_id,
        mix=named or "",
        near=nearest(named, known) or "" if named else "",
        like=like,
        job=str(job),
        known=tuple(known),
    )
