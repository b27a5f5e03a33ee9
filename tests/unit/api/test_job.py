"""A job as a mapping is checked like a job file."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np
import pandas as pd
import pytest
from conftest import SAMPLES

import fieldplan

Tables = dict[str, Any]


@pytest.fixture
def tables(samples: Path) -> Tables:
    """The tables of the sample farm's job, in a folder where its rate card lies."""
    return tomllib.loads((samples / "farm.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", ["farm.toml", "restoration.toml"])
def test_mapping_is_the_job_of_its_file(name: str, samples: Path) -> None:
    """Every value and note but the path."""
    made = fieldplan.read_job(tomllib.loads((samples / name).read_text(encoding="utf-8")))
    assert replace(made, path=Path(name)) == fieldplan.read_job(name)


@pytest.mark.usefixtures("samples")
def test_job_comes_back_as_it_is() -> None:
    """Checked already."""
    job = fieldplan.load_job("farm.toml")
    assert fieldplan.read_job(job) is job


def test_values_may_be_of_types_that_mean_the_same(tables: Tables) -> None:
    """Tuples, read-only mappings, paths, numbers of numpy, dates and times of pandas."""
    tables["drill"] |= {"rows": np.int64(16), "box": tuple(map(MappingProxyType, tables["drill"]["box"]))}
    tables["cost"]["rate_card"] = Path("rates.toml")
    tables["booking"] |= {"start": pd.Timestamp(2027, 5, 3), "finish_by": date(2027, 6, 30)}
    job = fieldplan.read_job(tables)
    assert job.drill == fieldplan.load_job(SAMPLES / "farm.toml").drill
    assert (job.booking.start, job.booking.finish_by) == (date(2027, 5, 3), date(2027, 6, 30))


def _set(table: str, key: str, value: Any) -> Callable[[Tables], None]:
    return lambda tables: tables[table].__setitem__(key, value)


BAD: dict[str, tuple[Callable[[Tables], Any], str]] = {
    "a bare number": (_set("drill", "row_spacing", 7.5), "job: [drill] row_spacing"),
    "another unit": (_set("working", "field_speed", "10 ft"), "job: [working] field_speed"),
    "nothing": (_set("booking", "fieldwork_day_chance", None), "job: [booking] fieldwork_day_chance"),
    "an unknown key": (_set("tractor", "pto_pwer", "75 hp"), 'job: [tractor] has no key "pto_pwer"'),
    "an unknown table": (lambda tables: tables.setdefault("drils", {}), "job: has no table [drils]"),
    "a missing key": (lambda tables: tables["drill"].pop("rows"), "job: [drill] rows is missing"),
    "a set": (_set("booking", "days_off", {"Sunday"}), "job: [booking] days_off"),
    "a list for a table": (lambda tables: tables.update(working=["4 mph"]), "job: working"),
}


@pytest.mark.parametrize("what", BAD)
def test_faults_name_table_and_key(what: str, tables: Tables) -> None:
    """As those of a job file name its tables and keys, with what to try beneath the error."""
    spoil, expected = BAD[what]
    spoil(tables)
    with pytest.raises(fieldplan.JobFileError) as refused:
        fieldplan.read_job(tables)
    assert str(refused.value).startswith(expected), str(refused.value)
    assert refused.value.__notes__[0].startswith("Try: ")


def test_faults_are_those_of_the_file(tables: Tables, samples: Path) -> None:
    """All of them together, code by code."""
    text = (samples / "farm.toml").read_text(encoding="utf-8")
    (samples / "bad.toml").write_text(
        text.replace('"7.5 in"', "7.5").replace('"4.5 mph"', '"4.5"'), encoding="utf-8"
    )
    tables["drill"]["row_spacing"], tables["working"]["field_speed"] = 7.5, "4.5"
    found = []
    for source in ("bad.toml", tables):
        with pytest.raises(fieldplan.JobFileError) as refused:
            fieldplan.read_job(source)
        found.append([(one.code, one.case, one.about, one.key) for one in refused.value.problems])
    assert found[0] == found[1]
    assert len(found[0]) == 2


def test_other_types_are_refused_by_name(tables: Tables) -> None:
    """What is no path, mapping or job, and keys that are no text."""
    with pytest.raises(TypeError, match="job must be a path, a mapping or a Job, not list"):
        fieldplan.read_job([tables])  # type: ignore[arg-type]
    with pytest.raises(TypeError, match="keys of tables must be text, not 4"):
        fieldplan.read_job(tables | {"field": {4: {"slope": "8 %"}}})
