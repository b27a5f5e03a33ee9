"""Which mix each field of a job is sown with."""

from __future__ import annotations

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
        if named in by_name:
            mixes[field.field_id] = by_name[named]
        elif named is None and len(job.mixes) == 1:
            mixes[field.field_id] = job.mixes[0]
        else:
            problems.append(
                problem(
                    "mix-unknown" if named else "mix-unknown/not-said",
                    file=str(boundary.path),
                    about=f'field "{field.field_id}"',
                    field=field.field_id,
                    mix=named or "",
                    near=nearest(named, by_name) or "" if named else "",
                    like=similar_attributes,
                    job=str(job.path),
                    known=tuple(by_name),
                )
            )
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
