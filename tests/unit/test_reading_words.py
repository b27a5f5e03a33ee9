"""Sentences about reading a file: its numbers as they are, its size, and its name as the user knows it."""

from __future__ import annotations

from pathlib import Path

import boundary_builders as s
import pytest

from fieldplan.boundary.exclusions import load_exclusions
from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError
from fieldplan.facts import fact
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.report.words.sentences import sentence


@pytest.mark.parametrize("system", ["us", "metric"])
def test_numbers_of_a_file_are_said_in_its_own_unit(system: System) -> None:
    """Whether they are meters, feet or degrees is what is asked."""
    bounds = fact("bounds", west=284256.0426, east=285080.58139, south=-1.0, north=2)
    parted = {"us": ",", "metric": "\u00a0"}[system]
    assert (
        sentence(bounds, Quantities(system)) == f"x from 284{parted}256 to 285{parted}081, y from -1 to 2"
    )


@pytest.mark.parametrize(
    ("n", "shown"), [(1_001, "1,001 bytes"), (50_000_000, "50 MB"), (3_200_000_000, "3.2 GB")]
)
def test_sizes_of_files_are_as_exact_as_one_needs(n: int, shown: str) -> None:
    """Whole bytes of small ones, so that none has 0 MB."""
    assert Quantities().measured("most_bytes", n) == shown


@pytest.mark.parametrize(
    ("name", "content", "code", "text"),
    [
        ("damaged.kml", "<kml><Document>", "file-unreadable", "the XML is damaged or incomplete"),
        (
            "twice.json",
            '{"type": "FeatureCollection", "type": "FeatureCollection", "features": []}',
            "json-name-twice",
            '"type" appears',
        ),
    ],
)
def test_a_copy_is_named_as_the_user_knows_it(
    name: str, content: str, code: str, text: str, tmp_path: Path
) -> None:
    """What a zip holds is copied out before it is read; neither guard nor reader names the copy."""
    path = s.zipped(tmp_path / "farm.zip", {name: content})
    with pytest.raises(BoundaryError) as refused:
        load_fields(path)
    (problem,) = refused.value.problems
    assert (problem.code, problem.file) == (code, f"{path}, {name}")
    assert problem.text.startswith(f"{path}, {name}: {text}")


def test_what_a_zip_holds_besides_is_told_with_its_reason(tmp_path: Path) -> None:
    """A member of no format that is read."""
    path = s.zipped(
        tmp_path / "farm.zip", {"a.geojson": s.geojson(tmp_path / "a.geojson", s.SQUARE), "b.csv": "hello"}
    )
    (note,) = load_fields(path).notes
    assert note.text.startswith(f"Left out: {path}, b.csv: is not in a format that fieldplan reads (")
    assert note.text.endswith(").")


def test_remarks_on_a_file_of_exclusions_name_it(tmp_path: Path) -> None:
    """They stand among those on the boundary file."""
    path = s.shapefile(tmp_path / "wet.shp", s.POND)
    path.with_suffix(".shx").unlink()
    texts = [note.text for note in load_exclusions(path, ReadingTerms()).notes]
    assert any(text.startswith("wet.shp: The .shx index was missing") for text in texts), texts
