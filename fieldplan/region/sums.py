"""Rows of a region added up, in all and by the values of attributes; a part at a time."""

from __future__ import annotations

import json
import math
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
from fieldplan.region.fleet import Demand, fleet_for
from fieldplan.region.run import FIELDS_FOLDER, Run, part_name, parts_in, rows_of_part
from fieldplan.region.sizes import sizes_m2
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
    by_size: dict[str, float] = field(default_factory=lambda: dict.fromkeys(SUMMED, 0.0))
    seed: dict[_Lot, list[float]] = field(default_factory=dict)
    carriers: dict[str, float] = field(default_factory=dict)
    demands: dict[str, Demand] = field(default_factory=dict)

    def add(self, row: Row, size: float) -> None:
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
            self.by_size[name] += amount * size
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

    A sample is scaled by the ground of its outlines: `Scale`. A group counts with zeros for the rows of others.

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
    sizes = np.ones(run.n_rows) if run.chosen is None else _sizes(run)
    drawn: list[int] = []
    columns = [*_READ, "geometry", *(["attributes"] if by else [])]
    for at, row in _numbered_rows(run, columns):
        drawn.append(at)
        size = float(sizes[at])
        whole.add(row, size)
        squares.add(row)
        notes.update(row["notes"])
        attributes = json.loads(row["attributes"]) if by else {}
        for name in by:
            groups.setdefault((name, text_of(attributes, name) or ""), _Sums()).add(row, size)
    n_drawn = None if run.chosen is None else len(run.chosen)
    scale = Scale.of(sizes, sizes[drawn])
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
        cells=squares.cells(scale.times),
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


def _sizes(run: Run) -> Array:
    """The sizes that a sample is scaled by; one each where no drawn row has any."""
    sizes = sizes_m2(run.dataset)
    return sizes if run.chosen is not None and sizes[run.chosen].any() else np.ones(run.n_rows)


def _numbered_rows(run: Run, columns: Sequence[str]) -> Iterator[tuple[int, Row]]:
    """The rows in the folder of a run, each with its number in the file, from 0."""
    cuts = run.cuts
    for number in sorted(run.done()):
        rows = rows_of_part(run.folder / FIELDS_FOLDER / part_name(number), columns)
        yield from zip(cuts[number].tolist(), rows, strict=True)


@dataclass(frozen=True, slots=True)
class Scale:
    """From rows drawn to rows of the file, by the size of their outlines.

    Most of what a parcel asks for goes with its ground, and a few large parcels hold much of it: a total is that of the
    rows drawn, times the size of all outlines over that of those drawn. For x the sizes and e = y − R·x what of the
    amounts y the ratio R = Σy/Σx does not tell, its standard error is X/x̄·√((1 − n/N)·Σe²/(n − 1)/n), with X the size of
    all (W. G. Cochran, Sampling Techniques, 3rd edition (1977), chapter 6). With sizes of one each it is that of a mean
    (equation 2.20 there).

    Parameters
    ----------
    n_rows, n_drawn
        Rows of the file, and of the sample.
    size, drawn_size, drawn_squares
        Sums of sizes of the file, of those drawn, and of their squares.
    """

    n_rows: int
    n_drawn: int
    size: float
    drawn_size: float
    drawn_squares: float

    @classmethod
    def of(cls, sizes: Array, drawn: Array) -> Scale:
        """The scale from the sizes of all rows and of those drawn."""
        return cls(
            n_rows=len(sizes),
            n_drawn=len(drawn),
            size=float(sizes.sum()),
            drawn_size=float(drawn.sum()),
            drawn_squares=float(drawn @ drawn),
        )

    @property
    def times(self) -> float:
        """What a sum over the rows drawn is multiplied by."""
        return self.size / self.drawn_size if self.drawn_size else 0.0

    def amount(self, total: float, squares: float, by_size: float) -> Amount:
        """The total for all rows, and its standard error, from the total of the rows drawn, the sum of squares, and the sum
        of products with the sizes.

        The error is infinite for a single row, which does not tell how rows differ.
        """
        n = self.n_drawn
        if n == self.n_rows:
            return Amount(total=total)
        ratio = total / self.drawn_size if self.drawn_size else 0.0
        untold = max(0.0, squares - 2 * ratio * by_size + ratio**2 * self.drawn_squares)
        variance = untold / (n - 1) if n > 1 else math.inf
        error = self.times * n * math.sqrt((1 - n / self.n_rows) * variance / n)
        return Amount(total=self.times * total, error=error)


def _group(by: str, value: str, sums: _Sums, scale: Scale, jobs: Mapping[str, Job], n_drills: int) -> Group:
    return Group(
        by=by,
        value=value,
        n_rows=sums.n_rows,
        n_planned=sums.n_planned,
        refused=dict(sorted(sums.refused.items())),
        refused_m2=scale.times * sums.refused_m2,
        amounts={
            name: scale.amount(sums.sums[name], sums.squares[name], sums.by_size[name]) for name in SUMMED
        },
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
