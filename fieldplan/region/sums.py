"""Rows of a region added up, in all and by the values of attributes; a part at a time."""

from __future__ import annotations

import json
import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from fieldplan.boundary.attributes import text_of
from fieldplan.model.job import Job
from fieldplan.model.region import Amount, Group, Region, SeedOrder
from fieldplan.region.columns import SUMMED, Row
from fieldplan.region.fleet import Demand, fleet_for
from fieldplan.region.run import Run, parts_in, rows_of_part
from fieldplan.region.squares import Squares

_READ = ("field_id", "code", "notes", "job", *SUMMED, "gate_lon_deg", "gate_lat_deg", "seed", "carriers")
_Lot = tuple[str, str]


@dataclass(slots=True)
class _Sums:
    """Sums of one group as rows come in."""

    n_rows: int = 0
    n_planned: int = 0
    refused: Counter[str] = field(default_factory=Counter)
    refused_m2: float = 0.0
    sums: dict[str, float] = field(default_factory=lambda: dict.fromkeys(SUMMED, 0.0))
    squares: dict[str, float] = field(default_factory=lambda: dict.fromkeys(SUMMED, 0.0))
    seed: dict[_Lot, list[float]] = field(default_factory=dict)
    carriers: dict[str, float] = field(default_factory=dict)
    demands: dict[str, Demand] = field(default_factory=dict)

    def add(self, row: Row) -> None:
        self.n_rows += 1
        if row["code"]:
            self.refused[row["code"]] += 1
            self.refused_m2 += row["mapped_m2"] or 0.0
            return
        self.n_planned += 1
        for name in SUMMED:
            amount = float(row[name] or 0.0)
            self.sums[name] += amount
            self.squares[name] += amount * amount
        for lot in row["seed"] or ():
            so_far = self.seed.setdefault((lot["species"], lot["lot"]), [0.0, 0.0, 0.0])
            for i, name in enumerate(("sown_kg", "sown_pls_kg", "need_kg")):
                so_far[i] += lot[name]
        for one in row["carriers"] or ():
            self.carriers[one["carrier"]] = self.carriers.get(one["carrier"], 0.0) + one["need_kg"]
        self.demands.setdefault(row["job"], Demand()).add(row)


def rows_of(folder: Path, columns: Sequence[str] | None = None) -> Iterator[Row]:
    """The rows in a folder, in the order of the file, a part at a time."""
    for path in parts_in(folder):
        yield from rows_of_part(path, columns)


def region_of(run: Run, by: Sequence[str] = (), n_drills: int = 1) -> Region:
    """The sums of what is in the folder of a run.

    The total of a sample of n of N rows is N times the mean, with the standard error
    N·√((1 − n/N)·s²/n); a group counts with zeros for the rows of others (W. G. Cochran, Sampling
    Techniques, 3rd edition (1977), equations 2.20 and 2.65).

    Parameters
    ----------
    by
        Attributes whose values make groups; names that differ only in capitals are one.
    n_drills
        Drills that share the work.
    """
    by = once(by)
    whole = _Sums()
    groups: dict[tuple[str, str], _Sums] = {}
    notes: Counter[str] = Counter()
    squares = Squares()
    for row in rows_of(run.folder, [*_READ, "geometry", *(["attributes"] if by else [])]):
        whole.add(row)
        squares.add(row)
        notes.update(row["notes"])
        attributes = json.loads(row["attributes"]) if by else {}
        for name in by:
            groups.setdefault((name, text_of(attributes, name) or ""), _Sums()).add(row)
    n_drawn = None if run.chosen is None else len(run.chosen)
    scale = Scale(n_rows=run.n_rows, n_drawn=whole.n_rows)
    jobs = {job.path.name: job for job in run.setup.jobs.values()}
    order = {name: place for place, name in enumerate(by)}
    each = [
        ("", "", whole),
        *(
            (name, value, sums)
            for (name, value), sums in sorted(
                groups.items(), key=lambda item: (order[item[0][0]], item[0][1])
            )
        ),
    ]
    return Region(
        name=run.setup.path.name,
        n_rows=run.n_rows,
        n_drawn=n_drawn,
        groups=tuple(_group(name, value, sums, scale, jobs, n_drills) for name, value, sums in each),
        notes=dict(sorted(notes.items())),
        cells=squares.cells(),
        cell_deg=squares.side_deg,
    )


def once(names: Sequence[str]) -> tuple[str, ...]:
    """Names of attributes without those that differ from an earlier one only in capitals.

    Examples
    --------
    >>> once(("county", "crop", "County"))
    ('county', 'crop')
    """
    first: dict[str, str] = {}
    for name in names:
        first.setdefault(name.casefold(), name)
    return tuple(first.values())


@dataclass(frozen=True, slots=True)
class Scale:
    """From rows drawn to rows of the file."""

    n_rows: int
    n_drawn: int

    @property
    def times(self) -> float:
        """Rows of the file for each row drawn."""
        return self.n_rows / self.n_drawn if self.n_drawn else 0.0

    def amount(self, total: float, squares: float) -> Amount:
        """The total for all rows, and its standard error, from the total and the sum of squares of those drawn.

        The error is infinite for a single row, which does not tell how rows differ.
        """
        n, n_rows = self.n_drawn, self.n_rows
        if n == n_rows:
            return Amount(total=total)
        variance = max(0.0, squares - total * total / n) / (n - 1) if n > 1 else math.inf
        return Amount(total=self.times * total, error=n_rows * math.sqrt((1 - n / n_rows) * variance / n))


def _group(by: str, value: str, sums: _Sums, scale: Scale, jobs: Mapping[str, Job], n_drills: int) -> Group:
    return Group(
        by=by,
        value=value,
        n_rows=sums.n_rows,
        n_planned=sums.n_planned,
        refused=dict(sorted(sums.refused.items())),
        refused_m2=scale.times * sums.refused_m2,
        amounts={name: scale.amount(sums.sums[name], sums.squares[name]) for name in SUMMED},
        seed=tuple(_orders(sums, scale, jobs.values())),
        carriers_kg={name: scale.times * kg for name, kg in sorted(sums.carriers.items())},
        fleets=tuple(
            fleet_for(sums.demands[name].scaled(scale.times), jobs[name], n_drills)
            for name in sorted(sums.demands)
            if name in jobs
        ),
    )


def _orders(sums: _Sums, scale: Scale, jobs: Iterable[Job]) -> Iterator[SeedOrder]:
    bags_kg: dict[_Lot, Any] = {
        (one.species, one.lot): one.bag_kg for job in jobs for mix in job.mixes for one in mix.components
    }
    for (species, lot), kg in sorted(
        sums.seed.items(), key=lambda item: (item[0][0].casefold(), item[0][1])
    ):
        sown_kg, sown_pls_kg, need_kg = (scale.times * one for one in kg)
        yield SeedOrder(
            species=species,
            lot=lot,
            sown_kg=sown_kg,
            sown_pls_kg=sown_pls_kg,
            need_kg=need_kg,
            bag_kg=bags_kg[species, lot],
        )
