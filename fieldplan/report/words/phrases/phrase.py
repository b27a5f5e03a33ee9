"""A sentence with places for what it says."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Phrase:
    """What is said of a code, and what to try about it.

    ``{width_m}`` is a value in the reader's units, ``{width_m:1}`` with that many decimals (so may a number
    be that has no unit), ``{low_m..high_m}`` a range, ``{n_parts|part is|parts are}`` one or the other by a
    count, ``{names*; }`` a list with what stands between its members (a comma, if nothing is said). What
    stands in ``<…>`` is left out unless all that it names is there and not empty. A problem's sentence goes
    on after what it is about ("… has no unit") unless it names ``{file}``, ``{about}`` or ``{key}`` itself.

    Parameters
    ----------
    hint
        What to try, without a full stop.
    metric
        The sentence for readers of metric units, where not only its quantities differ.
    metric_hint
        What to try, for them, where its example differs.
    """

    text: str
    hint: str = ""
    metric: str = ""
    metric_hint: str = ""
