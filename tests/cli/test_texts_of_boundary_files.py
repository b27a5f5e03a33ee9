"""Text of boundary files: read in the character set it is in, or said to be lost; nothing is left out without a word."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import boundary_builders as s
import pytest
from boundary_builders import SQUARE

from fieldplan.boundary.load import examine
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.model.boundary import Examination


def _shapefile(folder: Path, name: bytes, cpg: str | None) -> Path:
    """A Shapefile whose one name is these bytes."""
    path = folder / "fields.shp"
    s.frame([SQUARE], name=["?" * len(name)]).to_file(path, driver="ESRI Shapefile")
    table = path.with_suffix(".dbf")
    content = bytearray(table.read_bytes().replace(b"?" * len(name), name))
    content[29] = 0  # the code page mark
    table.write_bytes(content)
    path.with_suffix(".cpg").unlink()
    if cpg is not None:
        path.with_suffix(".cpg").write_text(cpg, encoding="utf-8")
    return path


def _codes(found: Examination) -> set[str]:
    assert not found.problems, found.problems
    return {note.code for note in found.notes}


@pytest.mark.parametrize(
    ("name", "encoding", "cpg"),
    [
        ("Grünland", "cp1252", "ANSI 1252"),
        ("Grünland", "cp1252", "1252"),
        ("Grünland", "latin-1", "88591"),
        ("Grünland", "cp850", "OEM 850"),
        ("田圃", "cp932", "932"),
        ("Čejka", "utf-8", "65001"),
        ("Čejka", "utf-8", "\ufeffUTF-8\n"),
        ("Čejka", "utf-8", ""),
        ("Čejka", "utf-8", "LDID/87"),
    ],
)
def test_the_set_that_is_said_is_used(name: str, encoding: str, cpg: str, tmp_path: Path) -> None:
    """However a .cpg spells it; one that says nothing known counts as none."""
    found = examine(_shapefile(tmp_path, name.encode(encoding), cpg))
    assert [field.name for field in found.fields] == [name]
    assert not {"encoding-guessed", "encoding-unfit"} & _codes(found)


@pytest.mark.parametrize("cpg", ["UTF-8", "klingon", "rot13", "ascii"])
def test_text_in_another_set_than_is_said_is_guessed_with_a_word(cpg: str, tmp_path: Path) -> None:
    """A name must not become empty, nor a mix the first of the job, because one part of the file is wrong."""
    found = examine(_shapefile(tmp_path, "Grünland".encode("cp1252"), cpg))
    assert [field.name for field in found.fields] == ["Grünland"]
    assert "encoding-unfit" in _codes(found)


def test_text_that_is_not_in_the_set_asked_for_is_said_to_be_lost(tmp_path: Path) -> None:
    """With --encoding the person answers for it, and is told what it cost."""
    path = _shapefile(tmp_path, "Grünland".encode("cp1252"), None)
    assert "text-unread" in _codes(examine(path, ReadingTerms(encoding="UTF-8")))


def test_damaged_text_of_a_geopackage_is_said_to_be_lost(tmp_path: Path) -> None:
    """The library leaves it out; the outline stays."""
    path = s.vector(tmp_path / "fields.gpkg", SQUARE, s.moved(SQUARE, 0.02), driver="GPKG")
    with closing(sqlite3.connect(path)) as database:
        for (trigger,) in database.execute(
            "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall():
            database.execute(f'DROP TRIGGER "{trigger}"')
        table = database.execute("SELECT table_name FROM gpkg_contents").fetchone()[0]
        database.execute(f"UPDATE \"{table}\" SET name = CAST(x'e9e8' AS text) WHERE fid = 1")
        database.commit()
    found = examine(path)
    assert len(found.fields) == 2
    assert "text-unread" in _codes(found)
