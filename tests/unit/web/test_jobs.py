"""Jobs in their folder: whole or not at all, never over what another page has saved, and nowhere else."""

from __future__ import annotations

import json
import os
import threading
import time
from contextlib import suppress
from pathlib import Path

import pytest
from conftest import SAMPLES
from desks import sample_job, small_draft, with_exclusion, with_hours

from fieldplan.errors import BoundaryError, FieldplanError, InputError, UsageError
from fieldplan.web.draft import Draft
from fieldplan.web.jobs import LOCK, Jobs, OvertakenError

BAD_NAMES = (
    *(
        "",
        " ",
        ".",
        "..",
        "../other",
        "a/b",
        "a\\b",
        "/etc",
        "C:",
        "a\0b",
        "a\nb",
        ".hidden",
        "-rf",
        "~",
        "a" * 81,
    ),
    *(
        "CON",
        "nul",
        "lpt1.txt",
        "a:b",
        "a*",
        "a?b",
        'a"b',
        "<a>",
        "a|b",
        "trailing.",
        "trailing ",
        "‮gpj.exe",
    ),
)


@pytest.fixture
def jobs(tmp_path: Path) -> Jobs:
    """An empty folder of jobs."""
    return Jobs(tmp_path / "jobs")


def _codes(error: FieldplanError) -> list[str]:
    return [problem.code for problem in error.problems]


@pytest.mark.parametrize("name", BAD_NAMES)
def test_a_name_that_leads_elsewhere_is_none(name: str, jobs: Jobs, tmp_path: Path) -> None:
    """Neither read nor written, and nothing is made outside of the folder."""
    for act in (
        jobs.take_up,
        jobs.is_there,
        jobs.folder_of,
        lambda one: jobs.save(one, Draft(), revision=0),
    ):
        with pytest.raises(UsageError):
            act(name)
    assert not [place for place in tmp_path.iterdir() if place.name != "jobs"]


@pytest.mark.parametrize("name", ["north 40", "Ä-field (2)", "O'Neil & sons", "2027_spring", "農場"])
def test_a_plain_name_is_one(name: str, jobs: Jobs) -> None:
    """Letters of any script, digits, spaces and a few signs."""
    jobs.save(name, small_draft(1), revision=0)
    assert jobs.take_up(name).name == name
    assert [one.name for one in jobs.listed()] == [name]


def test_a_link_out_of_the_folder_is_no_job(jobs: Jobs, tmp_path: Path) -> None:
    """Though its name is plain."""
    jobs.save("elsewhere", small_draft(1), revision=0)
    (tmp_path / "outside").mkdir()
    for file in (jobs.folder / "elsewhere").iterdir():
        file.rename(tmp_path / "outside" / file.name)
    (jobs.folder / "elsewhere").rmdir()
    (jobs.folder / "elsewhere").symlink_to(tmp_path / "outside")
    assert jobs.listed() == ()
    for act in (jobs.take_up, lambda one: jobs.save(one, Draft(), revision=1)):
        with pytest.raises(UsageError) as refused:
            act("elsewhere")
        assert _codes(refused.value) == ["desk-name"]


def test_a_job_is_opened_as_it_was_saved(jobs: Jobs) -> None:
    """Map, tables, units and variants."""
    draft = with_exclusion(small_draft(3), reason="pond")
    assert jobs.save("a", draft, revision=0, units="metric", variants=({"name": "fast"},)) == 1
    kept = jobs.take_up("a")
    assert [one.geometry for one in kept.draft.ground] == [one.geometry for one in draft.ground]
    assert kept.draft.tables == draft.tables
    assert (kept.units, kept.variants, kept.revision, kept.read_only) == (
        "metric",
        ({"name": "fast"},),
        1,
        None,
    )


def test_only_what_has_changed_is_written(jobs: Jobs) -> None:
    """Other hours leave the map as it is; its file is not even touched."""
    draft = small_draft(2)
    jobs.save("a", draft, revision=0)
    before = {file.name: file.stat().st_mtime_ns for file in jobs.folder_of("a").iterdir()}
    jobs.save("a", with_hours(draft, "9 h"), revision=1, before=draft)
    after = {file.name: file.stat().st_mtime_ns for file in jobs.folder_of("a").iterdir()}
    assert {name for name in after if name != LOCK and after[name] != before[name]} == {
        "job.toml",
        "desk.json",
    }
    assert jobs.take_up("a").draft.tables["booking"]["hours_per_day"] == "9 h"


def test_a_field_taken_away_again_is_gone(jobs: Jobs) -> None:
    """And so is the last exclusion."""
    draft = with_exclusion(small_draft(2), reason="pond")
    jobs.save("a", draft, revision=0)
    less = draft.without("pond").without("f1")
    jobs.save("a", less, revision=1, before=draft)
    assert [one.layer for one in jobs.take_up("a").draft.ground] == ["fields"]


def test_what_another_page_saved_is_not_overwritten(jobs: Jobs) -> None:
    """The page whose revision is older is refused, and the files stay."""
    draft = small_draft(1)
    jobs.save("a", draft, revision=0)
    jobs.save("a", with_hours(draft, "9 h"), revision=1, before=draft)
    with pytest.raises(OvertakenError):
        jobs.save("a", with_hours(draft, "5 h"), revision=1, before=draft)
    kept = jobs.take_up("a")
    assert (kept.revision, kept.draft.tables["booking"]["hours_per_day"]) == (2, "9 h")


def test_a_new_job_does_not_replace_one_of_its_name(jobs: Jobs) -> None:
    """A new job has revision 0."""
    jobs.save("a", small_draft(1), revision=0)
    with pytest.raises(OvertakenError):
        jobs.save("a", Draft(), revision=0)


@pytest.mark.parametrize(
    "said",
    [
        {"schema": "fieldplan/desk/2"},
        {"schema": "fieldplan/desk/1", "version": "99.0.0"},
        {"schema": "other/1"},
    ],
    ids=["newer schema", "newer program", "another program's"],
)
def test_a_job_of_a_newer_version_is_only_looked_at(said: dict[str, str], jobs: Jobs) -> None:
    """It opens with the reason, where its files can be read."""
    jobs.save("a", small_draft(1), revision=0)
    (jobs.folder / "a" / "desk.json").write_text(json.dumps(said), encoding="utf-8")
    kept = jobs.take_up("a")
    assert kept.read_only is not None
    assert kept.read_only.code == "desk-newer"
    assert len(kept.draft.ground) == 1


def test_a_job_of_a_newer_version_that_cannot_be_read_is_refused_for_it(jobs: Jobs) -> None:
    """The reason that comes first is the version, not the file."""
    jobs.save("a", small_draft(1), revision=0)
    (jobs.folder / "a" / "desk.json").write_text('{"schema": "fieldplan/desk/7"}', encoding="utf-8")
    (jobs.folder / "a" / "fields.gpkg").write_bytes(b"a format of the future")
    with pytest.raises(UsageError) as refused:
        jobs.take_up("a")
    assert _codes(refused.value)[0] == "desk-newer"


@pytest.mark.parametrize(
    "text", ["", "{", "[]", "null", '{"revision": -1}', "[" * 100_000, '{"variants": 3, "units": []}']
)
def test_a_broken_file_of_the_page_is_refused_or_does_no_harm(text: str, jobs: Jobs) -> None:
    """Never a traceback."""
    jobs.save("a", small_draft(1), revision=0)
    (jobs.folder / "a" / "desk.json").write_text(text, encoding="utf-8")
    if text.startswith("{") and text.endswith("}"):
        kept = jobs.take_up("a")
        assert (kept.revision, kept.variants, kept.units) == (0, (), "us")
    else:
        with pytest.raises(InputError) as refused:
            jobs.take_up("a")
        assert _codes(refused.value) == ["desk-unreadable"]


def test_a_save_that_was_killed_half_way_is_undone(jobs: Jobs, monkeypatch: pytest.MonkeyPatch) -> None:
    """At each move of a file: the job is as it was before or as it was to be, in all of its files."""
    draft = small_draft(1)
    new = with_hours(small_draft(2), "9 h")
    jobs.save("a", draft, revision=0)
    moved = os.replace
    for n_moves in range(12):
        left = [n_moves]

        def killed(source: object, target: object, left: list[int] = left) -> None:
            if left[0] == 0:
                raise KeyboardInterrupt
            left[0] -= 1
            moved(source, target)  # type: ignore[arg-type]

        before = jobs.take_up("a")
        with monkeypatch.context() as patch:
            patch.setattr(os, "replace", killed)
            patch.setattr(os, "rename", killed)
            patch.setattr(Path, "replace", lambda self, target: killed(self, target))
            patch.setattr(Path, "rename", lambda self, target: killed(self, target))
            with suppress(KeyboardInterrupt):
                jobs.save("a", new, revision=before.revision, before=None)
        kept = jobs.take_up("a")
        seen = (kept.revision, len(kept.draft.ground), kept.draft.tables["booking"]["hours_per_day"])
        assert seen in ((1, 1, "8 h"), (2, 2, "9 h"))
        if seen[0] == 2:
            assert n_moves >= 4  # it was killed before each of them
            return
    raise AssertionError("it was never saved")


def test_a_copy_has_the_files_that_the_job_names(jobs: Jobs) -> None:
    """And a name of its own; the job stays."""
    sample_job(jobs, "farm")
    new = jobs.duplicate("farm", "farm")
    assert new == "farm (2)"
    assert (jobs.folder / new / "rates.toml").read_bytes() == (SAMPLES / "rates.toml").read_bytes()
    assert jobs.take_up(new).draft.tables == jobs.take_up("farm").draft.tables


@pytest.mark.parametrize(
    "name", ["job.toml", "desk.json", "../rates.toml", "a/b.toml", ".bashrc", "", "fields.gpkg"]
)
def test_a_file_beside_a_job_has_a_plain_name_of_its_own(name: str, jobs: Jobs) -> None:
    """None of the job's own, and none that leads out."""
    jobs.save("a", small_draft(1), revision=0)
    before = {file.name for file in jobs.folder_of("a").iterdir()}
    with pytest.raises(UsageError):
        jobs.put_beside("a", {name: SAMPLES / "rates.toml"})
    assert {file.name for file in jobs.folder_of("a").iterdir()} == before


def test_a_folder_that_cannot_be_written_is_said(jobs: Jobs, tmp_path: Path) -> None:
    """A file stands where the folder should be."""
    (tmp_path / "jobs").write_text("", encoding="utf-8")
    assert jobs.listed() == ()
    with pytest.raises(UsageError):
        jobs.save("a", small_draft(1), revision=0)


def test_a_map_of_other_layers_is_refused_and_stays(jobs: Jobs) -> None:
    """A file that somebody made by hand: opened without its layers, the next save would write them away."""
    import geopandas
    from shapely import box

    jobs.save("a", small_draft(1), revision=0)
    path = jobs.folder / "a" / "fields.gpkg"
    for layer, crs in (("parcels", 4326), ("fields", 32615)):
        path.unlink()
        geopandas.GeoDataFrame(geometry=[box(500_000, 4.9e6, 500_400, 4.9004e6)], crs=crs).to_file(
            path, layer=layer
        )
        before = path.read_bytes()
        with pytest.raises(BoundaryError) as refused:
            jobs.take_up("a")
        assert _codes(refused.value) == ["desk-map-other"]
        assert path.read_bytes() == before


def test_a_job_is_never_read_half_saved(jobs: Jobs) -> None:
    """While another program saves it over and over, each reading finds all files of one revision."""
    draft = small_draft(1)
    jobs.save("a", with_hours(draft, "1 h"), revision=0)

    def save() -> None:
        for revision in range(1, 13):
            more = small_draft(1 + revision % 3)
            jobs.save("a", with_hours(more, f"{1 + revision % 3} h"), revision=revision)

    saving = threading.Thread(target=save)
    saving.start()
    n_read = 0
    while saving.is_alive():
        kept = jobs.take_up("a")
        assert kept.draft.tables["booking"]["hours_per_day"] == f"{len(kept.draft.ground)} h"
        assert len(kept.draft.ground) == 1 + (kept.revision - 1) % 3
        n_read += 1
        time.sleep(0.03)  # the other gets its turn
    saving.join()
    assert n_read > 0


def test_units_chosen_before_a_number_are_kept_with_the_job(jobs: Jobs) -> None:
    """They stand with the page's own file, not in the job file, and what somebody wrote there does no harm."""
    rate = (("mix", 0, "component", 0), "rate")
    draft = Draft(tables={"mix": [{"component": [{}]}]}, units={rate: "{} lb/ac bulk"})
    jobs.save("a", draft, revision=0)
    assert jobs.take_up("a").draft == draft
    assert "bulk" not in (jobs.folder_of("a") / "job.toml").read_text(encoding="utf-8")
    file = jobs.folder_of("a") / "desk.json"
    said = json.loads(file.read_text(encoding="utf-8"))
    for chosen in (None, 3, ["x"], [[[], "rate", "{} lb"]], [[["mix", 0.5], "rate", "{} lb"]]):
        file.write_text(json.dumps({**said, "chosen": chosen}), encoding="utf-8")
        assert jobs.take_up("a").draft.units == {}
