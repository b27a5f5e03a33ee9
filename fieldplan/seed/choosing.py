"""Which mix each field of a job is sown with."""

from __future__ import annotations

from fieldplan.errors import InputError, Problem, problem
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.job import Job
from fieldplan.model.seed import Mix
from fieldplan.model.spelling import did_you_mean


def mixes_by_field(boundary: BoundaryFile, job: Job) -> dict[str, Mix]:
    """The mix of each field: what the job file says, else the field's own attribute, else the job's only mix.

    Raises
    ------
    InputError
        If a field names no mix of the job, or several mixes leave the choice open, or the job file names a field that is not there.
    """
    by_name = {mix.name: mix for mix in job.mixes}
    known = tuple(f'"{name}"' for name in by_name)
    mixes: dict[str, Mix] = {}
    problems: list[Problem] = []
    for field in boundary.fields:
        named = job.terms_for(field.field_id).mix or field.mix
        if named in by_name:
            mixes[field.field_id] = by_name[named]
        elif named is None and len(job.mixes) == 1:
            mixes[field.field_id] = job.mixes[0]
        else:
            near = (
                did_you_mean(named, by_name)
                if named
                else "".join(f"{note.told} " for note in boundary.notes if note.code == "attribute-like")
            )
            problems.append(problem(
                "mix-unknown" if named else "mix-unknown/not-said", file=str(boundary.path), about=f'field "{field.field_id}"',
                mix=named or "", job_file=str(job.path), known=known, near=near, field_id=field.field_id,
            ))  # fmt: skip
    known_ids = {field.field_id for field in boundary.fields}
    first_ids = tuple(field.field_id for field in boundary.fields[:10])
    problems += [
        problem(
            "field-unknown", file=str(job.path), about=f"[field.{field_id}]", boundary=str(boundary.path),
            near=did_you_mean(field_id, known_ids), fields=first_ids,
        )
        for field_id in job.fields
        if field_id not in known_ids
    ]  # fmt: skip
    if problems:
        raise InputError(tuple(problems))
    return mixes
