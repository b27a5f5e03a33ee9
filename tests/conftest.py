"""Shared instances: small enough to check on paper."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from fieldplan.coverage.terms import Rig
from fieldplan.jobfile.load import load_job
from fieldplan.kernels.ahead import make_ready
from fieldplan.model.job import Job, WorkingTerms
from fieldplan.office import office
from fieldplan.records import whose

ROOT = Path(__file__).resolve().parent.parent
SAMPLES = ROOT / "sample_fields"
TODAY = date(2027, 4, 1)
"""The day on which the sample jobs are planned."""
PRACTICE = ROOT.parent / "shared" / "fields" / "practice.gpkg"


LONG = (
    "browser/test_page.py::test_no_rule_of_accessibility_is_broken[dark]",
    "cli/test_any_argument.py::test_odd_values_of_any_option",
    "cli/test_commands.py::test_json_has_the_contract_keys_and_closes",
    "cli/test_findings.py::test_three_narrow_parcels_of_sixty",
    "cli/test_outputs_are_whole.py::test_a_full_disk_is_one_sentence_for_every_output",
    "cli/test_outputs_are_whole.py::test_two_runs_at_once",
    "cli/test_region.py::test_killed_and_gone_on_with",
    "cli/test_region_cluster.py",
    "cli/test_season.py::test_capacity_says_what_a_change_would_buy",
    "cli/test_season_records.py::test_nothing_confirmed_is_lost_when_the_program_is_killed",
    "cli/test_season_store.py::test_killed_at_any_moment",
    "cli/test_what_is_printed.py::test_pages_are_printed_in_character_sets_that_lack_their_signs[ascii]",
    "cli/test_what_is_printed.py::test_pages_are_printed_in_character_sets_that_lack_their_signs[cp437]",
    "property/test_audit_measured_anew.py::test_the_audit_is_what_the_drive_covers_on_star",
    "property/test_block_laws.py::test_convex_fields_are_near_the_best_of_all_headings[corners2]",
    "property/test_block_laws.py::test_convex_fields_are_near_the_best_of_all_headings[corners6]",
    "property/test_block_laws.py::test_convex_fields_are_near_the_best_of_all_headings[corners7]",
    "property/test_lifted_laws.py::test_totals_stay_when_field_and_waterway_are_turned",
    "property/test_living_against_every_way.py",
    "property/test_open_edge_laws.py::test_turns_swing_out",
    "property/test_promises_hold.py",
    "property/test_seed_laws.py::test_labels_add_to_parcels",
    "property/test_seed_laws.py::test_loaded_is_sown",
    "property/test_seed_laws.py::test_seed_runs_out_sooner",
    "reference/test_against_published_overlap.py",
    "unit/region/test_crew.py",
    "unit/tables/test_every_cell_counts.py",
)
"""Tests that take ten seconds and more each, or together: they run with --long."""


def pytest_addoption(parser: pytest.Parser) -> None:
    """--long runs every test."""
    parser.addoption("--long", action="store_true", help="run the tests too that take long")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what takes long, unless it is asked for or is all that was asked for."""
    long = [item for item in items if item.nodeid.removeprefix("tests/").startswith(LONG)]
    if config.getoption("--long") or len(long) == len(items):
        return
    left = set(long)
    config.hook.pytest_deselected(items=long)
    items[:] = [item for item in items if item not in left]


def unwrapped(text: str) -> str:
    """A printed page as one line: how it is wrapped depends on the numbers in it."""
    return " ".join(text.split())


@pytest.fixture(scope="session", autouse=True)
def kernels_ready() -> None:
    """No page says that it waited for kernels, and no process of tests keeps what compiling takes."""
    make_ready()


@pytest.fixture(scope="session", autouse=True)
def samples_without_store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """A store that a command begins for the sample season stands in a folder of its own, not beside the samples."""
    beside = whose.ledger_path_of

    def apart(season_path: Path, ledger_path: Path | None) -> Path:
        path = beside(season_path, ledger_path)
        at_samples = ledger_path is None and path.parent.resolve() == SAMPLES
        return tmp_path_factory.mktemp("store") / path.name if at_samples else path

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(office, "ledger_path_of", apart)
        yield


@pytest.fixture(scope="session")
def job() -> Job:
    """The job of the sample farm."""
    return load_job(SAMPLES / "farm.toml")


@pytest.fixture(scope="session")
def working(job: Job) -> WorkingTerms:
    """Working terms of the sample farm."""
    return job.working


@pytest.fixture(scope="session")
def rig(job: Job) -> Rig:
    """The ten-foot rig of the sample farm."""
    return replace(Rig.of(job), width_m=3.048)
