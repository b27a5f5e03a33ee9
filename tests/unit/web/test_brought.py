"""A job made by hand or by the command line, brought with its files in one go: the same numbers as there."""

from __future__ import annotations

import io
import json
import zipfile
from pathlib import Path

import pytest
from conftest import SAMPLES
from desks import TODAY

from fieldplan.cli.main import exit_code
from fieldplan.errors import FieldplanError
from fieldplan.jobfile.load import read_toml
from fieldplan.report.data.plan_json import plan_json
from fieldplan.web.arrived import Arrived, sources_in
from fieldplan.web.brought import brought
from fieldplan.web.draft import Draft
from fieldplan.web.intake import put_into, read
from fieldplan.web.jobs import Jobs
from fieldplan.web.made import job_files
from fieldplan.web.worker import Asked, Known, answer_to
from fieldplan.web.written import without_exclusion_keys


def _files(*names: str) -> tuple[Arrived, ...]:
    return tuple(Arrived(name=name, content=(SAMPLES / name).read_bytes()) for name in names)


def _zipped(files: tuple[Arrived, ...], called: str = "job.zip") -> Arrived:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for one in files:
            archive.writestr(f"my job/{one.name}", one.content)
    return Arrived(name=called, content=packed.getvalue())


def _draft(arrived: tuple[Arrived, ...], folder: Path) -> Draft:
    """The draft that the page makes of files, with those that its job names beside it."""
    took = brought(arrived)
    assert took.tables is not None
    draft = Draft(tables=without_exclusion_keys(took.tables))
    for files, holds in ((took.fields, "fields"), (took.exclusions, "exclusions")):
        place = folder / f"private {holds}"
        place.mkdir()
        for source in sources_in(files, place) if files else ():
            found = read(source, holds)  # type: ignore[arg-type]
            assert found.problems == ()
            draft, _ = put_into(draft, found)
    for one in took.beside:
        (folder / one.name).write_bytes(one.content)
    return draft


def _plan(draft: Draft, folder: Path) -> dict[str, object]:
    answer = answer_to(Asked(number=1, draft=draft, folder=folder, today=TODAY), Known())
    assert answer.problems == ()
    assert answer.plan is not None
    said: dict[str, object] = json.loads(plan_json(answer.plan))
    return said


def _said_by_the_command_line(
    fields: Path, job: Path, capsys: pytest.CaptureFixture[str]
) -> dict[str, object]:
    capsys.readouterr()
    assert exit_code(["plan", str(fields), "--job", str(job), "--json", "--today", TODAY.isoformat()]) == 0
    said: dict[str, object] = json.loads(capsys.readouterr().out)
    return said


@pytest.mark.parametrize("zipped", [False, True], ids=["loose", "zipped"])
@pytest.mark.parametrize(
    "names",
    [("farm.toml", "rates.toml", "farm.geojson"), ("restoration.toml", "restoration.zip")],
    ids=["farm", "restoration"],
)
def test_a_job_brought_whole_has_the_numbers_of_the_command_line(
    names: tuple[str, ...], zipped: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """All of its plan, to the last digit."""
    files = _files(*names)
    here = _plan(_draft((_zipped(files),) if zipped else files, tmp_path), tmp_path)
    there = _said_by_the_command_line(SAMPLES / names[-1], SAMPLES / names[0], capsys)
    assert here == there


def test_what_the_page_gave_to_take_along_comes_back(tmp_path: Path) -> None:
    """The zip file of a job with a pond and a rate card is the same job, its pond on the map, again."""
    files = _files("farm.toml", "rates.toml", "farm.geojson")
    pond = _files("ponds.gpkg")[0]
    text = (
        files[0]
        .content.decode()
        .replace("\n[[mix]]", '\n[field.ell]\nexclusions = "ponds.gpkg"\n\n[[mix]]', 1)
    )
    files = (Arrived(name="farm.toml", content=text.encode()), *files[1:], pond)
    (tmp_path / "one").mkdir()
    first = _draft(files, tmp_path / "one")
    assert first.of_layer("exclusions")
    assert first.tables == read_toml(SAMPLES / "farm.toml")
    jobs = Jobs(tmp_path / "jobs")
    jobs.save("farm", first, revision=0)
    jobs.put_beside("farm", {"rates.toml": SAMPLES / "rates.toml"})
    made = job_files(first, jobs.folder_of("farm"), "farm")
    (tmp_path / "two").mkdir()
    second = _draft((Arrived(name=made.name, content=made.content),), tmp_path / "two")
    assert second.tables == first.tables
    assert (tmp_path / "two" / "rates.toml").read_bytes() == (SAMPLES / "rates.toml").read_bytes()
    assert _plan(second, tmp_path / "two") == _plan(first, tmp_path / "one")


def test_a_job_without_exclusions_comes_back_too(tmp_path: Path) -> None:
    """Its file of exclusions, with nothing in it, is no boundary."""
    jobs, files = Jobs(tmp_path / "jobs"), _files("restoration.toml", "restoration.zip")
    first = _draft(files, tmp_path)
    jobs.save("a", first, revision=0)
    made = job_files(first, jobs.folder_of("a"), "a")
    took = brought((Arrived(name=made.name, content=made.content),))
    assert [one.name for one in took.fields] == ["fields.gpkg"]
    assert took.tables == first.tables


def test_files_without_a_job_file_are_boundaries() -> None:
    """As they came, zip files unopened."""
    files = _files("farm.geojson", "restoration.zip")
    took = brought(files)
    assert (took.tables, took.fields, took.beside) == (None, files, ())


@pytest.mark.parametrize(
    ("files", "code"),
    [
        (_files("farm.toml", "restoration.toml"), "dropped-two-jobs"),
        ((Arrived(name="job.toml", content=b"[drill\nrows = 8"),), "toml"),
        ((_zipped(tuple(Arrived(name=f"{n}.toml", content=b"") for n in range(65))),), "dropped-too-many"),
        ((_zipped((*_files("farm.toml"), Arrived(name="big.csv", content=bytes(65_000_000)))),), "dropped-too-large"),
    ],
    ids=["two jobs", "no TOML", "too many", "too large"],
)  # fmt: skip
def test_what_cannot_be_taken_is_said(files: tuple[Arrived, ...], code: str) -> None:
    """By its code."""
    with pytest.raises(FieldplanError) as refused:
        brought(files)
    assert code in refused.value.problems[0].code


def test_a_zip_file_that_is_none_is_left_to_the_reader() -> None:
    """Which says what is wrong with it."""
    broken = Arrived(name="job.zip", content=b"PK\x03\x04 and nothing")
    assert brought((broken,)).fields == (broken,)
