"""The parts that a region is planned in: some rows of a row group each, the same however many plan them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fieldplan.region.dataset import Dataset, Rows
from fieldplan.region.parcel import Parcel

ROWS = 50
"""Rows of a part: some seconds of work, which is what a killed worker loses."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Parcels that are planned by one worker and written together."""

    number: int
    parcels: tuple[Parcel, ...]

    def halves(self) -> tuple[Part, Part]:
        """The first and the second half of its parcels."""
        middle = len(self.parcels) // 2
        return replace(self, parcels=self.parcels[:middle]), replace(self, parcels=self.parcels[middle:])


def cuts_of(groups: Sequence[int], chosen: Rows | None = None) -> list[Rows]:
    """The rows of each part: at most so many of one row group or, of chosen rows, of all.

    Examples
    --------
    >>> [len(rows) for rows in cuts_of((250, 30))]
    [50, 50, 50, 50, 50, 30]
    """
    if chosen is not None:
        return [chosen[start : start + ROWS] for start in range(0, len(chosen), ROWS)]
    cuts, first = [], 0
    for n_rows in groups:
        cuts += [
            np.arange(first + start, first + min(start + ROWS, n_rows), dtype=np.int64)
            for start in range(0, n_rows, ROWS)
        ]
        first += n_rows
    return cuts


def parts_of(
    dataset: Dataset, cuts: Sequence[Rows], numbers: Iterable[int], repeated: Rows
) -> Iterator[Part]:
    """The parts of these numbers, read as they are asked for."""
    numbers = list(numbers)
    if not numbers:
        return
    features = dataset.features(np.concatenate([cuts[number] for number in numbers]))
    for number in numbers:
        parcels = []
        for _ in cuts[number]:
            row, layer, feature = next(features)
            at = np.searchsorted(repeated, row)
            again = bool(at < len(repeated) and repeated[at] == row)
            parcels.append(Parcel(row=row, feature=feature, layer=layer, repeated=again))
        yield Part(number=number, parcels=tuple(parcels))
