"""A clerk with a small season of their own: a folder, a list, and commands that run in this process."""

from __future__ import annotations

import contextlib
import io
import json
import re
import shlex
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import comb
from pathlib import Path
from typing import Any

from conftest import SAMPLES

from fieldplan.cli.main import exit_code

HEADER = "request,renter,renter_id,asked,ready,until,acres,lat,lon,mix,tractor_hp,county,practice,phone"
HOME = "44.250,-95.750"
"""All farms lie where the drill stands: no road, so what a request takes depends on its acres alone."""


def row(
    name: str,
    *,
    renter: str = "",
    renter_id: str = "",
    ready: str = "2027-05-03",
    until: str = "2027-06-05",
    acres: str = "12",
    asked: str = "2027-03-01",
    phone: str = "",
) -> str:
    """A row of the list."""
    return (
        f"{name},{renter or name + ' farm'},{renter_id},{asked},{ready},{until},{acres},{HOME},oats and alfalfa,75,Thistle,"
        f"pasture,{phone}"
    )


def odds_of(n_days: int, needed: int, chance: float = 0.55) -> float:
    """Odds of at least so many fieldwork days among days that are fit independently of each other."""
    return sum(
        comb(n_days, k) * chance**k * (1 - chance) ** (n_days - k) for k in range(needed, n_days + 1)
    )


@dataclass
class Clerk:
    """Runs commands on the season in a folder, and keeps what the last one said."""

    folder: Path
    rows: dict[str, str] = field(default_factory=dict)
    out: str = ""
    err: str = ""

    def season(
        self, *, drills: Sequence[str] = ("one",), name: str = "Small spring", **terms: str
    ) -> Clerk:
        """Write the season's file."""
        keys = {
            "name": f'"{name}"',
            "opens": "2027-05-03",
            "closes": "2027-06-05",
            "requests": '"requests.csv"',
            "rate_card": f'"{(SAMPLES / "rates.toml").as_posix()}"',
            "confidence": '"80 %"',
            "longest_booking": "12",
            "notice": "14",
            "inspection": '"45 min"',
            "serve_first": '["asked"]',
            **terms,
        }
        lines = ["[season]", *(f"{key} = {value}" for key, value in keys.items())]
        for drill in drills:
            lines += [
                "[[drill]]",
                f'name = "{drill}"',
                f'job = "{(SAMPLES / "farm.toml").as_posix()}"',
                "home = { lat = 44.250, lon = -95.750 }",
                'days_off = ["Sunday"]',
            ]
        self.folder.mkdir(parents=True, exist_ok=True)
        (self.folder / "season.toml").write_text("\n".join(lines) + "\n", encoding="utf-8")
        return self

    def list(self, *rows: str) -> Clerk:
        """Write the list of requests."""
        self.rows = {one.partition(",")[0]: one for one in rows}
        return self._save()

    def edit(self, name: str, new: str | None) -> Clerk:
        """Change a row of the list, add it, or take it out."""
        if new is None:
            del self.rows[name]
        else:
            self.rows[name] = new
        return self._save()

    def _save(self) -> Clerk:
        text = "\n".join((HEADER, *self.rows.values())) + "\n"
        (self.folder / "requests.csv").write_text(text, encoding="utf-8")
        return self

    def run(self, line: str) -> int:
        """The exit code of ``fieldplan season COMMAND FOLDER …``."""
        command, *rest = shlex.split(line)
        out, err = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = exit_code(["season", command, str(self.folder), *rest])
        self.out, self.err = out.getvalue(), err.getvalue()
        return code

    def does(self, *lines: str) -> Clerk:
        """Run commands that must work."""
        for line in lines:
            assert self.run(line) == 0, (line, self.err)
        return self

    def record(self, *lines: str) -> Clerk:
        """Enter what must be taken."""
        return self.does(*(f"record {line}" for line in lines))

    def json(self, line: str) -> Any:
        """What a command prints as JSON."""
        self.does(f"{line} --json")
        return json.loads(self.out)

    def bookings(self, line: str = "plan") -> dict[str, dict[str, Any]]:
        """Bookings of a plan, by request."""
        return {one["request"]: one for one in self.json(line)["bookings"]}

    @property
    def entries(self) -> list[dict[str, Any]]:
        """All entries of the store."""
        found = self.json("ledger")["entries"]
        assert isinstance(found, list)
        return found

    @property
    def said(self) -> str:
        """What the last command said, as one line."""
        return re.sub(r"\s+", " ", self.out + self.err)


def places(
    bookings: Mapping[str, Mapping[str, Any]], names: Iterable[str]
) -> dict[str, tuple[str, list[str]]]:
    """Drill and days of some bookings."""
    return {name: (bookings[name]["drill"], bookings[name]["days"]) for name in names}
