"""What repeats in a row of whole numbers."""

from __future__ import annotations

from fieldplan.kernels.compiled import compiled
from fieldplan.model.coverage import IntArray


@compiled
def most_repeated(values: IntArray) -> tuple[int, int, int]:
    """The repetition that saves most numbers where it is said once: where it begins, its period, and how often.

    Of equal ones it is that with the shortest period, and the first of those. It is 0 times where nothing repeats.
    """
    best_start, best_period, best_times, most = 0, 0, 0, 0
    for period in range(1, len(values) // 2 + 1):
        start, longest, since = 0, 0, 0
        for k in range(len(values) - period):
            if values[k] != values[k + period]:
                since = k + 1
            elif k + 1 - since > longest:
                start, longest = since, k + 1 - since
        times = longest // period + 1
        if times > 1 and period * (times - 1) > most:
            best_start, best_period, best_times, most = start, period, times, period * (times - 1)
    return best_start, best_period, best_times
