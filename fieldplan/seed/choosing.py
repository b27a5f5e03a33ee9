"""Which mix each field of a job is sown with."""

from __future__ import annotations

from fieldplan.errors import InputError, Problem
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
    known = ", ".join(f'"{name}"' for name in by_name)
    mixes: dict[str, Mix] = {}
    problems: list[Problem] = []
    for field in boundary.fields:
        named = job.terms_for(field.field_id).mix or field.mix
        if named in by_name:
            mixes[field.field_id] = by_name[named]
        elif named is None and len(job.mixes) == 1:
            mixes[field.field_id] = job.mixes[0]
        else:
            text = f'asks for mix "{named}"' if named else "does not say which mix it gets"
            near = (
                did_you_mean(named, by_name)
                if named
                else "".join(f"{note.told} " for note in boundary.notes if note.code == "attribute-like")
            )
            problems.append(Problem(
                code="mix-unknown", told=f'{boundary.path}: field "{field.field_id}" {text}; {job.path} has {known}.',
                told_hint=near + f'add [field.{field.field_id}] mix = "…" to the job file, or an attribute mix to the field'))  # fmt: skip
    known_ids = {field.field_id for field in boundary.fields}
    hint = "fields there: " + ", ".join(field.field_id for field in boundary.fields[:10])
    problems += [
        Problem(
            code="field-unknown",
            told=f"{job.path}: [field.{field_id}] names no field of {boundary.path}.",
            told_hint=did_you_mean(field_id, known_ids) + hint,
        )
        for field_id in job.fields
        if field_id not in known_ids
    ]
    if problems:
        raise InputError(tuple(problems))
    return mixes
