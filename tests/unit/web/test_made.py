"""Files of a plan from the page are those of the command line."""

from __future__ import annotations

import zipfile
from dataclasses import replace
from io import BytesIO

import pytest
from conftest import SAMPLES, TODAY

from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.jobfile.load import load_job
from fieldplan.planner import plan_job, setup_cards
from fieldplan.report.output import PlanAsked
from fieldplan.report.outputs import PLAN, writers_of
from fieldplan.report.words.quantities import Quantities
from fieldplan.web.answer import Answer
from fieldplan.web.draft import Draft
from fieldplan.web.made import asked, made, output_named
from fieldplan.web.parts.out import GROUPS


@pytest.fixture(scope="module")
def answer() -> Answer:
    """The L-shaped field of the farm."""
    boundary = load_fields(SAMPLES / "farm.geojson", ReadingTerms(), ())
    ell = replace(boundary, fields=tuple(one for one in boundary.fields if one.field_id == "ell"))
    plan = plan_job(ell, load_job(SAMPLES / "farm.toml"), today=TODAY)
    return Answer(draft=Draft(), boundary_name="farm.geojson", plan=plan)


def test_one_file_is_the_command_lines(answer: Answer, tmp_path: object) -> None:
    """The cover byte for byte; the name it has there."""
    assert answer.plan is not None
    file = made("cover", asked(answer, "us", "us-letter"), "farm")
    there = PlanAsked(
        plan=answer.plan,
        cards=setup_cards(answer.plan),
        boundary_name="farm.geojson",
        q=Quantities("us"),
        paper="us-letter",
    )
    ((name, write),) = writers_of((output_named("cover"),), there).items()  # type: ignore[arg-type]
    write(tmp_path / name)  # type: ignore[operator]
    assert (file.name, file.kind) == (name, "application/pdf")
    assert file.content == (tmp_path / name).read_bytes()  # type: ignore[operator]


def test_several_files_are_one_zip_that_is_always_the_same(answer: Answer) -> None:
    """Maps of a job come together, named for the job."""
    first, second = (made("svg", asked(answer, "metric", "a4"), "farm") for _ in range(2))
    assert first == second
    assert first.name == "farm svg.zip"
    with zipfile.ZipFile(BytesIO(first.content)) as files:
        assert "map-ell.svg" in files.namelist()


def test_every_output_is_offered_once() -> None:
    """The buttons and the outputs of the command line are the same; a new one is offered under its own name."""
    offered = [name for _, each in GROUPS for name, _ in each]
    assert sorted(offered) == sorted(one.name for one in PLAN)
