"""Files of an output and the manifest of them."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

from fieldplan.report.outputs import MANIFEST, PLAN, SEASON, always_of, names_of, with_manifest


def _writer(text: str):  # type: ignore[no-untyped-def]
    return lambda path: path.write_text(text, encoding="utf-8")


def test_files_are_written_by_name_and_the_manifest_last(tmp_path: Path) -> None:
    """Whatever order they were asked for in; with the size of each and the digest that the standard library
    gives.
    """
    writers = with_manifest({"b.txt": _writer("beta"), "c.txt": _writer(""), "a.txt": _writer("alpha")})
    assert list(writers) == ["a.txt", "b.txt", "c.txt", MANIFEST]
    for name, write in writers.items():
        write(tmp_path / name)
    assert json.loads((tmp_path / MANIFEST).read_text()) == {
        "schema": "fieldplan/manifest/1",
        "files": [
            {"file": f"{name}.txt", "bytes": len(text), "sha256": hashlib.sha256(text.encode()).hexdigest()}
            for name, text in (("a", "alpha"), ("b", "beta"), ("c", ""))
        ],
    }


def test_every_output_is_offered_by_a_name_of_its_own() -> None:
    """And so are the files that are always there."""
    assert len(set(names_of(PLAN))) == len(PLAN)
    assert {"season.svg", "season.xlsx"} <= set(always_of(SEASON))
