"""Files of a plan from the page are those of the command line."""

from __future__ import annotations

import zipfile
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pytest
from conftest import SAMPLES, TODAY

from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.jobfile.load import load_job, read_toml
from fieldplan.planner import plan_job, setup_cards
from fieldplan.report.output import PlanAsked
from fieldplan.report.outputs import PLAN, writers_of
from fieldplan.report.words.quantities import Quantities
from fieldplan.web.answer import Answer
from fieldplan.web.draft import Draft
from fieldplan.web.jobs import Jobs
from fieldplan.web.made import asked, job_files, made, output_named
from fieldplan.web.parts.out import GROUPS
from fieldplan.web.written import drawn_of


@pytest.fixture(scope="module")
def answer() -> Answer:
    """The L-shaped field of the farm."""
    boundary = load_fields(SAMPLES / "farm.geojson", ReadingTerms(), ())
    ell = replace(boundary, fields=tuple(one for one in boundary.fields if one.field_id == "ell"))
    plan = plan_job(ell, load_job(SAMPLES / "farm.toml"), today=TODAY)
    return Answer(draft=Draft(), boundary_name="farm.geojson", plan=plan)


def test_one_file_is_the_command_lines(answer: Answer, tmp_path: Path) -> None:
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
    cover = output_named("cover")
    assert cover is not None
    ((name, write),) = writers_of((cover,), there).items()
    write(tmp_path / name)
    assert (file.name, file.kind) == (name, "application/pdf")
    assert file.content == (tmp_path / name).read_bytes()


def test_several_files_are_one_zip_that_is_always_the_same(answer: Answer) -> None:
    """Maps of a job come together, named for the job."""
    first, second = (made("svg", asked(answer, "metric", "a4"), "farm") for _ in range(2))
    assert first == second
    assert first.name == "farm svg.zip"
    with zipfile.ZipFile(BytesIO(first.content)) as files:
        assert "map-ell.svg" in files.namelist()


def test_every_output_is_offered_once() -> None:
    """The buttons and the outputs of the command line are the same; a new one is offered under its own name."""
    offered = [name for _, each in GROUPS for name, _, _ in each]
    assert sorted(offered) == sorted(one.name for one in PLAN)


def test_the_job_taken_along_plans_the_same(answer: Answer, tmp_path: Path) -> None:
    """Map, job file and the rate card that it names: unpacked elsewhere, the command line has the same numbers."""
    boundary = load_fields(SAMPLES / "farm.geojson", ReadingTerms(), ())
    ell = replace(boundary, fields=tuple(one for one in boundary.fields if one.field_id == "ell"))
    draft = Draft(ground=drawn_of(ell), tables=read_toml(SAMPLES / "farm.toml"))
    jobs = Jobs(tmp_path / "jobs")
    jobs.save("farm", draft, revision=0)
    jobs.put_beside("farm", {"rates.toml": SAMPLES / "rates.toml"})
    file = job_files(draft, jobs.folder_of("farm"), "farm")
    with zipfile.ZipFile(BytesIO(file.content)) as files:
        assert sorted(files.namelist()) == ["exclusions.gpkg", "fields.gpkg", "job.toml", "rates.toml"]
        files.extractall(tmp_path / "there")
    there = plan_job(
        load_fields(tmp_path / "there" / "fields.gpkg"),
        load_job(tmp_path / "there" / "job.toml"),
        today=TODAY,
    )
    assert answer.plan is not None
    assert there.job_time == answer.plan.job_time
    assert there.order == answer.plan.order
    assert there.cost.total == answer.plan.cost.total
