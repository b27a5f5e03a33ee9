"""Exclusions that are kept ready between the fields of a large file: made ready once, and only for the same files."""

from __future__ import annotations

from pathlib import Path

import boundary_builders as s
import pytest
from shapely import box

from fieldplan.boundary import cut
from fieldplan.boundary.exclusions import ExclusionFile, load_exclusions
from fieldplan.boundary.load import examine
from fieldplan.boundary.terms import ReadingTerms

W, S = -95.7, 44.2
FIELD = box(W, S, W + 0.01, S + 0.01)


def _file(folder: Path, name: str, side: float) -> ExclusionFile:
    path = s.geojson(folder / name, box(W + 0.002, S + 0.002, W + 0.002 + side, S + 0.002 + side))
    return load_exclusions(path, ReadingTerms())


def test_other_files_are_other_exclusions(tmp_path: Path) -> None:
    """Though there are as many: a square of half the side takes a quarter of the ground, whatever was asked before."""
    fields = s.geojson(tmp_path / "fields.geojson", FIELD)
    wide, narrow = _file(tmp_path, "wide.geojson", 0.004), _file(tmp_path, "narrow.geojson", 0.002)
    of_wide, of_narrow, again = (
        examine(fields, exclusions=[file]).fields[0].excluded_m2 for file in (wide, narrow, wide)
    )
    assert again == of_wide
    assert of_narrow == pytest.approx(of_wide / 4, rel=1e-3)  # parallels are of nearly one length
    assert examine(fields, exclusions=[narrow, wide]).fields[0].excluded_m2 == pytest.approx(
        of_wide, rel=1e-5
    )
    assert examine(fields).fields[0].excluded_m2 == 0


def test_exclusions_are_made_ready_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A county's fields come one at a time, with the same thousands of exclusions for each."""
    fields = s.geojson(tmp_path / "fields.geojson", FIELD)
    file = _file(tmp_path, "wet.geojson", 0.004)
    first = examine(fields, exclusions=[file]).fields[0]
    monkeypatch.setattr(cut, "_reach", None)
    assert examine(fields, exclusions=[file]).fields[0].excluded_m2 == first.excluded_m2 > 0
