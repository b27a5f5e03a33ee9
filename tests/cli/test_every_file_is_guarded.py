"""Whatever a file is named for, what is no such file is refused quickly and in words: devices, pipes,
folders, huge or odd files.
"""

from __future__ import annotations

import os
import re
import shutil
import time
from collections.abc import Callable
from pathlib import Path

import boundary_builders as s
import pytest
from boundary_builders import SQUARE
from conftest import ROOT, SAMPLES, TODAY

from fieldplan.cli.main import exit_code

LONGEST_S = 10.0
FARM, JOB, CARD, SEASON = (
    str(SAMPLES / name) for name in ("farm.geojson", "farm.toml", "rates.toml", "season.toml")
)
TODAY_IS = ("--today", TODAY.isoformat())
Command = Callable[[Path, str], list[str]]
"""A command line that opens the file at a path; ``folder`` is there for files that name it."""


def _written(folder: Path, name: str, text: str) -> str:
    (folder / name).write_text(text, encoding="utf-8")
    return str(folder / name)


def _toml(text: str) -> str:
    """A file's name as TOML text, whatever is in it."""
    return '"' + "".join(c if c.isalnum() or c in "/._-" else f"\\U{ord(c):08X}" for c in text) + '"'


def _job_with(folder: Path, addition: str) -> str:
    text = Path(JOB).read_text(encoding="utf-8").replace("rates.toml", CARD)
    return _written(folder, "job.toml", f"{text}\n{addition}\n")


def _job_with_weather(folder: Path, named: str) -> str:
    text = Path(JOB).read_text(encoding="utf-8").replace("rates.toml", CARD)
    return _written(folder, "job.toml", text.replace("[booking]", f"[booking]\nweather = {_toml(named)}"))


def _job_of_drill(folder: Path, named: str) -> str:
    text = Path(JOB).read_text(encoding="utf-8").replace("rates.toml", CARD)
    begin = text.index("[drill]")
    end = text.index("\n[", text.rindex("[[drill.box]]") + 1)
    return _written(folder, "job.toml", f"{text[:begin]}[drill]\nuse = {_toml(named)}\n{text[end:]}")


def _season_with(folder: Path, key: str, named: str) -> list[str]:
    for one in SAMPLES.iterdir():
        shutil.copy(one, folder / one.name)
    text = Path(SEASON).read_text(encoding="utf-8")
    if key in ("requests", "rate_card", "job"):
        changed = re.sub(rf'(?m)^{key} = ".*?"', lambda _: f"{key} = {_toml(named)}", text, count=1)
    else:
        changed = text.replace("[season]", f"[season]\n{key} = {_toml(named)}", 1)
    assert changed != text
    return [_written(folder, "season.toml", changed)]


TARGET = (SAMPLES / "target.toml").read_text(encoding="utf-8")
KINDS: dict[str, Command] = {
    "boundary, check": lambda _, bad: ["check", bad],
    "boundary, plan": lambda _, bad: ["plan", bad, "--job", JOB, *TODAY_IS],
    "boundary, region": lambda f, bad: ["region", bad, "--job", JOB, "--out", str(f / "region")],
    "boundary, acres": lambda _, bad: ["acres", bad],
    "exclusions": lambda _, bad: ["check", FARM, "--exclusions", bad],
    "guides": lambda _, bad: ["check", FARM, "--guide", bad],
    "heights": lambda _, bad: ["plan", FARM, "--job", JOB, "--elevation", bad, *TODAY_IS],
    "exclusions of a field": lambda f, bad: [
        "plan",
        FARM,
        "--job",
        _job_with(f, f"[field.north]\nexclusions = {_toml(bad)}"),
        *TODAY_IS,
    ],
    "job, plan": lambda _, bad: ["plan", FARM, "--job", bad, *TODAY_IS],
    "job, region": lambda f, bad: ["region", FARM, "--job", bad, "--out", str(f / "region")],
    "job, seed": lambda _, bad: ["seed", FARM, "--job", bad],
    "job, setup": lambda _, bad: ["setup", "--job", bad],
    "job, calibrate": lambda _, bad: ["calibrate", "--job", bad],
    "job, compare": lambda _, bad: ["compare", FARM, "--job", bad],
    "job, progress": lambda _, bad: [
        "progress",
        FARM,
        "--job",
        bad,
        "--metered",
        "10 ac",
        "--worked",
        "3 h",
    ],
    "drill that a job uses": lambda f, bad: ["plan", FARM, "--job", _job_of_drill(f, bad), *TODAY_IS],
    "target": lambda _, bad: ["mix", bad],
    "stock of a target": lambda f, bad: [
        "mix",
        _written(f, "target.toml", TARGET.replace("[[target]]", f"[[target]]\nstock = {_toml(bad)}", 1)),
    ],
    "stock, read": lambda _, bad: ["stock", "list", bad],
    "stock, needed": lambda _, bad: ["stock", "need", bad, FARM, "--job", JOB, *TODAY_IS],
    "stock, taken back": lambda _, bad: ["stock", "undo", bad],
    "stock, progress": lambda _, bad: [
        *("progress", FARM, "--job", JOB, *TODAY_IS, "--metered", "10 ac", "--worked", "3 h"),
        *("--stock", bad),
    ],
    "rate card, fee": lambda _, bad: ["fee", bad, "--map-acres", "10"],
    "rate card of a season": lambda f, bad: [
        "season",
        "record",
        *_season_with(f, "rate_card", bad),
        "rain",
        "drill=ten foot",
        "day=2027-04-26",
        "--ledger",
        str(f / "a.ledger"),
    ],
    "letterhead": lambda _, bad: ["stock", "list", str(SAMPLES / "stock.csv"), "--letterhead", bad],
    "season": lambda _, bad: ["season", "plan", bad],
    "requests": lambda f, bad: ["season", "plan", *_season_with(f, "requests", bad)],
    "distances": lambda f, bad: ["season", "plan", *_season_with(f, "distances", bad)],
    "weather record of a job": lambda f, bad: [
        "plan",
        FARM,
        "--job",
        _job_with_weather(f, bad),
        *TODAY_IS,
    ],
    "weather record of a season": lambda f, bad: ["season", "plan", *_season_with(f, "weather", bad)],
    "job of a season's drill": lambda f, bad: ["season", "plan", *_season_with(f, "job", bad)],
    "bookings": lambda _, bad: ["season", "rain", SEASON, "--was", bad, "--lost", "2027-04-28", *TODAY_IS],
    "sums of a region": lambda _, bad: ["season", "capacity", SEASON, "--region", bad],
    "older bookings": lambda _, bad: ["season", "takeover", SEASON, "--was", bad],
    "ledger, offered from": lambda _, bad: ["season", "offers", SEASON, "--ledger", bad],
    "ledger, forgotten in": lambda _, bad: ["season", "forget", SEASON, "R05", "--ledger", bad],
    "entries": lambda f, bad: ["season", "record", SEASON, "--from", bad, "--ledger", str(f / "a.ledger")],
    "ledger, read": lambda _, bad: ["season", "ledger", SEASON, "--ledger", bad],
    "ledger, written": lambda _, bad: [
        "season",
        "record",
        SEASON,
        "rain",
        "drill=ten foot",
        "day=2027-04-26",
        "--ledger",
        bad,
    ],
    "ledger, planned with": lambda _, bad: ["season", "plan", SEASON, "--ledger", bad],
}


def _sparse(folder: Path) -> str:
    with (folder / "huge").open("wb") as stream:
        stream.truncate(3_000_000_000)
    return str(folder / "huge")


def _pipe(folder: Path) -> str:
    os.mkfifo(folder / "pipe")
    return str(folder / "pipe")


def _folder(folder: Path) -> str:
    (folder / "a folder").mkdir()
    return str(folder / "a folder")


def _loop(folder: Path) -> str:
    (folder / "loop").symlink_to(folder / "loop")
    return str(folder / "loop")


def _to_device(folder: Path) -> str:
    (folder / "link").symlink_to("/dev/zero")
    return str(folder / "link")


def _bytes(content: bytes) -> Callable[[Path], str]:
    def make(folder: Path) -> str:
        (folder / "odd").write_bytes(content)
        return str(folder / "odd")

    return make


BAD: dict[str, Callable[[Path], str]] = {
    "an endless device": lambda _: "/dev/zero",
    "a link to a device": _to_device,
    "a pipe": _pipe,
    "a folder": _folder,
    "a link to itself": _loop,
    "a name with a NUL": lambda f: f"{f}/na\0me",
    "half a character in the name": lambda f: f"{f}/na\udcffme",
    "a name too long": lambda f: f"{f}/{'n' * 5000}",
    "nothing": lambda f: f"{f}/nothing",
    "an empty file": _bytes(b""),
    "three gigabytes": _sparse,
    "bytes at random": _bytes(bytes(range(1, 256)) * 40),
    "UTF-16": _bytes("name = 1\n".encode("utf-16")),
    "brackets in brackets": _bytes(b"a = " + b"[" * 5000),
}
NAMED_INSIDE = (
    "exclusions of a field",
    "drill that a job uses",
    "rate card of a season",
    "requests",
    "distances",
    "job of a season's drill",
)
FINE = {
    ("ledger, written", "nothing"),
    ("ledger, written", "half a character in the name"),
    ("ledger, written", "an empty file"),
    ("ledger, planned with", "an empty file"),
    ("ledger, read", "an empty file"),
}
"""A ledger that is not there is begun."""


@pytest.mark.parametrize("bad", BAD)
def test_every_command_refuses_what_is_no_file(
    bad: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    """Exit 2 or 3 in seconds, with a sentence, whatever the file is wanted for; never a traceback, never a
    wait.
    """
    for number, (kind, command) in enumerate(KINDS.items()):
        folder = tmp_path / str(number)
        folder.mkdir()
        named = BAD[bad](folder)
        inside = kind in NAMED_INSIDE
        if ("\udcff" in named and inside) or ("\0" in named and not inside):
            continue  # no text in a file can hold half a character, no command line a NUL
        capfd.readouterr()
        start = time.monotonic()
        code = exit_code(command(folder, named))
        took_s = time.monotonic() - start
        sentence = capfd.readouterr()
        if (kind, bad) in FINE:
            assert code in (0, 2, 3), (kind, sentence.err)
        else:
            assert code in (2, 3), (kind, code, sentence)
            assert (
                "Error: " in sentence.err
                or "would try:" in sentence.out.casefold()
                or named in sentence.out
            ), (
                kind,
                sentence,
            )
        assert "Traceback" not in sentence.err, (kind, sentence.err)
        assert "Usage:" not in sentence.err, (kind, sentence.err)
        assert took_s < LONGEST_S, (kind, took_s)


@pytest.mark.parametrize("ending", [".dbf", ".shx", ".prj", ".cpg"])
@pytest.mark.parametrize("bad", ["a pipe", "a link to a device", "a folder"])
def test_parts_of_a_shapefile_are_guarded_too(
    ending: str, bad: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    """A companion that is a pipe, a link or a folder is refused, and named."""
    path = s.shapefile(tmp_path / "fields.shp", SQUARE)
    part = path.with_suffix(ending)
    part.unlink(missing_ok=True)
    Path(BAD[bad](tmp_path)).rename(part)
    assert exit_code(["check", str(path)]) == 3
    assert f"fields{ending}" in capfd.readouterr().out


def test_journal_of_a_geopackage_is_guarded_too(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    """A pipe or a link in the place of a database's journals is refused."""
    path = s.vector(tmp_path / "fields.gpkg", SQUARE, driver="GPKG")
    raw = bytearray(path.read_bytes())
    raw[18:20] = b"\x02\x02"  # write-ahead log
    path.write_bytes(raw)
    os.mkfifo(tmp_path / "fields.gpkg-wal")
    assert exit_code(["check", str(path)]) == 3
    assert "fields.gpkg-wal" in capfd.readouterr().out


def test_name_of_a_field_file_in_a_list_is_guarded_too(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    """A request that names a device for its fields is refused."""
    for one in SAMPLES.iterdir():
        shutil.copy(one, tmp_path / one.name)
    text = (tmp_path / "requests.csv").read_text(encoding="utf-8")
    named = re.search(r"[\w.]+\.(geojson|gpkg|kml|zip)", text)
    assert named
    (tmp_path / "requests.csv").write_text(text.replace(named[0], "/dev/zero", 1), encoding="utf-8")
    assert exit_code(["season", "plan", str(tmp_path / "season.toml")]) == 3
    assert "/dev/zero" in "".join(capfd.readouterr())


OWN = {
    "report/moves.py",
    "kernels/compiled.py",  # its own sources
    "scratch.py",  # locks and a journal of its own making
    "files.py",  # the guard
    "tables/read.py",
    "jobfile/starter.py",
    "report/html/page.py",
    "report/letters/read.py",
    "report/typeset.py",  # the package's own data
    "report/outputs.py",
    "report/gis/styles.py",
    "report/gis/geopackage.py",
    "cli/main.py",
    "cli/streams.py",  # files and streams of its own making
    "boundary/archive.py",
    "boundary/readers/one_layer.py",
    "boundary/readers/shapefile.py",
    "boundary/readers/geopackage.py",
    "boundary/readers/geoparquet.py",
    "boundary/readers/dxf_splines.py",
    "terrain/raster.py",
    "records/ledger.py",
    "region/dataset.py",  # libraries, after the guard
    "region/run.py",
    "api/region.py",
    "web/assets.py",  # the package's own data
    "web/brought.py",  # members of what was handed over, no larger than they say
    "web/jobs.py",  # copies of plain files of a job, and of what was handed over
    "web/made.py",  # what it wrote itself
}
OPENS = re.compile(
    r"(?<![\w.])open\(|\.open\(|\bread_text\(|\bread_bytes\(|\bconnect\(|copyfile\(|\bread_parquet\(|ParquetFile\(|ElementTree\.parse\((?!stream)"
)


def test_nothing_else_opens_files() -> None:
    """Every module that opens a file is the guard, or is named here with the reason why it may."""
    package = ROOT / "fieldplan"
    found = {
        str(path.relative_to(package))
        for path in package.rglob("*.py")
        if OPENS.search(path.read_text(encoding="utf-8"))
    }
    assert found - OWN == set()
    for name in sorted(OWN & found):
        if name.startswith(("boundary", "records", "terrain")) and name != "boundary/archive.py":
            text = (package / name).read_text(encoding="utf-8")
            assert (
                "opened(" in text
                or "head_of(" in text
                or "content_of(" in text
                or "under_fixed_name(" in text
                or "pairs_of(" in text
            ), name
