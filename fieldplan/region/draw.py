"""Which rows a sample takes of a file, and what they stand for.

Most of what a parcel asks for goes with its ground, and a few large parcels often hold much of it: a sample in which each row is as
likely as any other may miss them and not know it. So the largest outlines are all taken, a quarter of the sample, and the others
are drawn in strata of like size, those of larger ones with fewer rows (W. G. Cochran, Sampling Techniques, 3rd edition (1977), chapter 5).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fieldplan.model.coverage import Array, IntArray
from fieldplan.region.dataset import Rows

TAKEN_FRAC, A_STRATUM, BY_SIZE = 0.25, 5, 0.7
"""Of the sample, how much are the largest rows; how many rows are drawn of a stratum; and to which power sizes add up to the
same in each."""
_SEED = 26_001


@dataclass(frozen=True, slots=True, eq=False)
class Draw:
    """Rows that are planned, and how many each stands for.

    Parameters
    ----------
    rows, stratum
        (n,) rows of the file in ascending order, and the stratum of each.
    n_rows, n_drawn
        (s,) rows of the file in each stratum, and those drawn.
    """

    rows: Rows
    stratum: IntArray
    n_rows: IntArray
    n_drawn: IntArray

    @classmethod
    def of_all(cls, n_rows: int) -> Draw:
        """Every row."""
        return cls(np.arange(n_rows), np.zeros(n_rows, dtype=np.int64), *2 * [np.array([n_rows])])

    @property
    def weight(self) -> Array:
        """How many rows of the file each drawn row of a stratum stands for, (s,)."""
        return np.asarray(self.n_rows / self.n_drawn)


def drawn(sizes: Array, n: int) -> Draw:
    """So many rows by the sizes of their outlines, the same for the same sizes; all rows if there are no more.

    Parameters
    ----------
    sizes
        (r,) about the area of each row's outline; rows without one are the smallest.
    n
        Rows to draw, at least 1.
    """
    if n >= len(sizes):
        return Draw.of_all(len(sizes))
    by_size = np.argsort(-sizes, kind="stable")
    n_taken = int(TAKEN_FRAC * n)
    strata, counts = _strata(sizes, by_size[n_taken:], n - n_taken)
    if n_taken:
        strata, counts = [by_size[:n_taken], *strata], [n_taken, *counts]
    chance = np.random.default_rng(_SEED)
    picked = [
        of if count == len(of) else chance.choice(of, size=count, replace=False)
        for of, count in zip(strata, counts, strict=True)
    ]
    rows, stratum = np.concatenate(picked), np.arange(len(counts)).repeat(counts)
    order = np.argsort(rows)
    return Draw(rows[order], stratum[order], np.array([len(of) for of in strata]), np.array(counts))


def _strata(sizes: Array, rows: IntArray, n: int) -> tuple[list[IntArray], list[int]]:
    """Rows from large to small in strata, and how many to draw of each; at least two where there are more to a stratum."""
    share = np.cumsum(np.maximum(sizes[rows], sizes.max(initial=0.0) * 1e-9) ** BY_SIZE)
    n_strata = max(1, n // A_STRATUM)
    ends = np.searchsorted(share, share[-1] * np.arange(1, n_strata) / n_strata)
    strata = [of for of in np.split(rows, ends) if len(of)]
    counts = [min(len(of), A_STRATUM) for of in strata]
    left = n - sum(counts)
    for k in reversed(range(len(strata))):  # the smallest are the most
        more = min(left, len(strata[k]) - counts[k])
        counts[k], left = counts[k] + more, left - more
    return strata, counts
