"""Rows of a region added up, in all and by the values of attributes; a part at a time."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from fieldplan.boundary.attributes import text_of
from fieldplan.model.coverage import Array
from fieldplan.model.job import Job
from fieldplan.model.region import Amount, Group, Region, SeedOrder
from fieldplan.region.columns import SUMMED, Row
from fieldplan.region.draw import Draw
from fieldplan.region.fleet import Demand, fleet_for
from fieldplan.region.run import FIELDS_FOLDER, Run, part_name, parts_in, rows_of_part
from fieldplan.region.squares import Squares

_READ = ("field_id", "code", "notes", "job", *SUMMED, "gate_lon_deg", "gate_lat_deg", "seed", "carriers")
_Lot = tuple[str, str]


@dataclass(slots=True)
class _Sums:
    """Sums of one group as rows come in: amounts by stratum, all else for the whole file."""

    draw: Draw
    n_rows: int = 0
    n_planned: int = 0
    refused: Counter[str] = field(default_factory=Counter)
    refused_m2: float = 0.0
    sums: Array = field(init=False)
    squares: Array = field(init=False)
    seed: dict[_Lot, list[float]] = field(default_factory=dict)
    carriers: dict[str, float] = field(default_factory=dict)
    demands: dict[str, Demand] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Begin with nothing."""
        self.sums = np.zeros((len(self.draw.n_rows), len(SUMMED)))
        self.squares = np.zeros_like(self.sums)

    def add(self, row: Row, stratum: int, weight: float) -> None:
        self.n_rows += 1
        if row["code"]:
            self.refused[row["code"]] += 1
            self.refused_m2 += weight * (row["mapped_m2"] or 0.0)
            return
        self.n_planned += 1
        amounts = np.array([float(row[name] or 0.0) for name in SUMMED])
        self.sums[stratum] += amounts
        self.squares[stratum] += amounts * amounts
        for lot in row["seed"] or ():
            so_far = self.seed.setdefault((lot["species"], lot["lot"]), [0.0, 0.0, 0.0])
            for i, name in enumerate(("sown_kg", "sown_pls_kg", "need_kg")):
                so_far[i] += weight * lot[name]
        for one in row["carriers"] or ():
            so_far_kg = self.carriers.get(one["carrier"], 0.0)
            self.carriers[one["carrier"]] = so_far_kg + weight * one["need_kg"]
        self.demands.setdefault(row["job"], Demand()).add(row, weight)


def rows_of(folder: Path, columns: Sequence[str] | None = None) -> Iterator[Row]:
    """The rows in a folder, in the order of the file, a part at a time."""
    for path in parts_in(folder):
        yield from rows_of_part(path, columns)


def region_of(run: Run, by: Sequence[str] = (), n_drills: int = 1) -> Region:
    """The sums of what is in the folder of a run.

    A row drawn stands for others of its stratum: `estimated`. A group counts with zeros for the rows of others.

    Parameters
    ----------
    by
        Attributes whose values make groups; names that differ only in capitals are one.
    n_drills
        Drills that share the work.
    """
    by = once(by)
    draw, weight = run.draw, run.draw.weight.tolist()
    whole = _Sums(draw)
    groups: dict[tuple[str, str], _Sums] = {}
    notes: Counter[str] = Counter()
    squares = Squares()
    columns = [*_READ, "geometry", *(["attributes"] if by else [])]
    for stratum, row in _rows_by_stratum(run, columns):
        stands_for = weight[stratum]
        whole.add(row, stratum, stands_for)
        squares.add(row, stands_for)
        notes.update(row["notes"])
        attributes = json.loads(row["attributes"]) if by else {}
        for name in by:
            group = groups.setdefault((name, text_of(attributes, name) or ""), _Sums(draw))
            group.add(row, stratum, stands_for)
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
        n_drawn=run.n_drawn,
        groups=tuple(_group(name, value, sums, jobs, n_drills) for name, value, sums in each),
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


def _rows_by_stratum(run: Run, columns: Sequence[str]) -> Iterator[tuple[int, Row]]:
    """The rows in the folder of a run, each with its stratum."""
    stratum, cuts = run.draw.stratum, run.cuts
    first = np.cumsum([0, *(len(cut) for cut in cuts)])
    for number in sorted(run.done()):
        rows = rows_of_part(run.folder / FIELDS_FOLDER / part_name(number), columns)
        yield from zip(stratum[first[number] : first[number + 1]].tolist(), rows, strict=True)


def estimated(sums: Array, squares: Array, draw: Draw) -> tuple[Array, Array]:
    """Totals for all rows of a file, and their standard errors, (k,) each.

    ΣN·ȳ over strata, with the error √(ΣN²·(1 − n/N)·s²/n) (W. G. Cochran, Sampling Techniques, 3rd edition (1977), section 5.3). It is
    infinite where a single row stands for several, which does not tell how they differ.

    Parameters
    ----------
    sums, squares
        (s, k) sums of amounts over the rows drawn of each stratum, and of their squares.
    """
    n, n_rows = draw.n_drawn[:, None], draw.n_rows[:, None]
    spread = np.maximum(squares - sums * sums / n, 0.0) / np.maximum(n - 1, 1)
    variance = np.where(n == n_rows, 0.0, n_rows**2 * (1 - n / n_rows) * spread / n)
    variance[((n == 1) & (n_rows > 1))[:, 0]] = np.inf
    return (draw.weight[:, None] * sums).sum(axis=0), np.sqrt(variance.sum(axis=0))


def _group(by: str, value: str, sums: _Sums, jobs: Mapping[str, Job], n_drills: int) -> Group:
    totals, errors = estimated(sums.sums, sums.squares, sums.draw)
    return Group(
        by=by,
        value=value,
        n_rows=sums.n_rows,
        n_planned=sums.n_planned,
        refused=dict(sorted(sums.refused.items())),
        refused_m2=sums.refused_m2,
        amounts={
            name: Amount(total=total, error=error)
            for name, total, error in zip(SUMMED, totals.tolist(), errors.tolist(), strict=True)
        },
        seed=tuple(_orders(sums, jobs.values())),
        carriers_kg=dict(sorted(sums.carriers.items())),
        fleets=tuple(
            fleet_for(sums.demands[name], jobs[name], n_drills)
            for name in sorted(sums.demands)
            if name in jobs
        ),
    )


def _orders(sums: _Sums, jobs: Iterable[Job]) -> Iterator[SeedOrder]:
    bags_kg: dict[_Lot, Any] = {
        (one.species, one.lot): one.bag_kg for job in jobs for mix in job.mixes for one in mix.components
    }
    for (species, lot), kg in sorted(
        sums.seed.items(), key=lambda item: (item[0][0].casefold(), item[0][1])
    ):
        sown_kg, sown_pls_kg, need_kg = kg
        yield SeedOrder(
            species=species,
            lot=lot,
            sown_kg=sown_kg,
            sown_pls_kg=sown_pls_kg,
            need_kg=need_kg,
            bag_kg=bags_kg[species, lot],
        )
