"""Benchmarks are run by hand, and would rot unseen."""

from __future__ import annotations

import sys

import pytest
from benchmarks import stages
from conftest import SAMPLES


def test_benchmark_of_stages_runs(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """On one field of the sample farm."""
    monkeypatch.setattr(sys, "argv", ["stages", str(SAMPLES / "farm.geojson"), "--most", "1"])
    stages.main()
    assert "1 fields planned, 0 refused" in capsys.readouterr().out
