"""Which mix each field is sown with, and what is said where that is open."""

from __future__ import annotations

from dataclasses import replace

import pytest
from conftest import SAMPLES

from fieldplan.boundary.load import load_fields
from fieldplan.errors import InputError
from fieldplan.jobfile.load import load_job
from fieldplan.model.job import FieldTerms
from fieldplan.seed.choosing import mixes_by_field

BOUNDARY, JOB = load_fields(SAMPLES / "restoration.zip"), load_job(SAMPLES / "restoration.toml")
FIRST = BOUNDARY.fields[0]


def test_the_job_file_comes_before_the_field_and_both_before_the_only_mix() -> None:
    """Asked for by name in either place; else there must be one alone."""
    one, other = JOB.mixes[:2]
    fields = (replace(FIRST, mix=one.name),)
    sentence = replace(JOB, fields={FIRST.field_id: FieldTerms(mix=other.name)})
    assert mixes_by_field(replace(BOUNDARY, fields=fields), sentence) == {FIRST.field_id: other}
    assert mixes_by_field(replace(BOUNDARY, fields=fields), replace(JOB, fields={})) == {
        FIRST.field_id: one
    }
    alone = replace(JOB, fields={}, mixes=(other,))
    assert mixes_by_field(replace(BOUNDARY, fields=(replace(FIRST, mix=None),)), alone) == {
        FIRST.field_id: other
    }


@pytest.mark.parametrize(
    ("mix", "case", "text"),
    [("dry prarie", "", 'asks for mix "dry prarie"'), (None, "not-said", "has no mix")],
)
def test_an_open_choice_is_a_problem_of_the_field(mix: str | None, case: str, text: str) -> None:
    """With the mixes there are, the nearest one, and where to say it."""
    with pytest.raises(InputError) as found:
        mixes_by_field(
            replace(BOUNDARY, fields=(replace(FIRST, mix=mix),), notes=()), replace(JOB, fields={})
        )
    (problem,) = found.value.problems
    known = ", ".join(f'"{mix.name}"' for mix in JOB.mixes)
    assert (problem.code, problem.case) == ("mix-unknown", case)
    assert problem.text == f'{BOUNDARY.path}: field "{FIRST.field_id}" {text}; {JOB.path} has {known}.'
    near = 'did you mean "dry prairie"? ' if mix else ""
    assert (
        problem.hint
        == f'{near}add [field.{FIRST.field_id}] mix = "…" to the job file, or an attribute mix to the field'
    )


def test_terms_of_a_field_that_is_not_there_are_a_problem_of_the_job_file() -> None:
    """With the fields that are."""
    terms = {"nowhere": FieldTerms()}
    with pytest.raises(InputError) as found:
        mixes_by_field(replace(BOUNDARY, fields=(FIRST,)), replace(JOB, fields=terms))
    (problem,) = [problem for problem in found.value.problems if problem.code == "field-unknown"]
    assert problem.text == f"{JOB.path}: [field.nowhere] is not the id of a field in {BOUNDARY.path}."
    assert problem.hint.endswith(f"fields there: {FIRST.field_id}")
