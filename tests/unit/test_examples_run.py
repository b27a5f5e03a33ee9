"""Examples for people run: those of docstrings, of the README and of the sample fields."""

from __future__ import annotations

import doctest
import importlib
import pkgutil
import runpy
import shutil
from pathlib import Path

import pytest
from conftest import ROOT, SAMPLES

import fieldplan

MODULES = sorted(
    one.name
    for one in pkgutil.walk_packages(fieldplan.__path__, "fieldplan.")
    if not one.ispkg and ">>> " in (ROOT / f"{one.name.replace('.', '/')}.py").read_text(encoding="utf-8")
)


@pytest.mark.parametrize("name", MODULES)
def test_examples_of_docstrings_run(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """In the folder of the sample fields."""
    monkeypatch.chdir(SAMPLES)
    result = doctest.testmod(importlib.import_module(name))
    assert result.attempted > 0
    assert result.failed == 0


def test_examples_of_the_readme_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The section for Python, in a folder that holds nothing but the samples."""
    shutil.copytree(SAMPLES, tmp_path / "sample_fields")
    monkeypatch.chdir(tmp_path)
    section = (ROOT / "README.md").read_text(encoding="utf-8").partition("## From Python")[2]
    shown = section.partition("```pycon\n")[2].partition("```")[0]
    example = doctest.DocTestParser().get_doctest(shown, {}, "README", "README.md", 0)
    assert len(example.examples) > 5
    assert doctest.DocTestRunner().run(example).failed == 0


def test_worked_example_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every cell, in a copy of the folder it stands in; what it shows last is what it wrote."""
    shutil.copytree(SAMPLES, tmp_path / "sample_fields")
    monkeypatch.chdir(tmp_path / "sample_fields")
    found = runpy.run_path("from_python.py")
    assert {one.name for one in found["written"]} == {"plan.html", "plan.gpx", "manifest.json"}
    assert list(found["job_hours"]) == sorted(found["job_hours"], reverse=True)
    assert set(found["drier"].fields["RP-4"].field.excluded_by_reason_m2) == {"wet"}
