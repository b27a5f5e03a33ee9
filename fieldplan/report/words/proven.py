"""What is proven of a season's schedule, in words."""

from __future__ import annotations

import math
from collections.abc import Iterator

from fieldplan.model.season import Proof
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.quantities import Quantities


def proven_lines(proof: Proof, q: Quantities) -> Iterator[str]:
    """A sentence on waiting and one on towing: proven, within so much of a bound, or without one."""
    waiting = f"{counted(proof.waiting_days, 'day')} of waiting in all"
    if proof.waiting_days <= proof.waiting_bound_days:
        yield f"{waiting}, proven the fewest for those served."
    elif proof.waiting_bound_days > 0:
        over = math.ceil(100 * (proof.waiting_days / proof.waiting_bound_days - 1))
        yield f"{waiting}, not proven the fewest; no schedule that serves as many by the rules has fewer than {proof.waiting_bound_days}, so this is at most {over} % too many."
    else:
        yield f"{waiting}. How many fewer would do is not known: no bound was found."
    towing = f"{q.distance(proof.tow_m)} of towing, home to home"
    if proof.tow_m <= proof.tow_bound_m + 0.5:
        yield f"{towing}, proven the least."
    elif proof.tow_bound_m > 0:
        over = math.ceil(100 * (proof.tow_m / proof.tow_bound_m - 1))
        yield f"{towing}; no such season needs less than {q.distance(proof.tow_bound_m)}, so this is at most {over} % too much."
    else:
        yield f"{towing}. How much less would do is not known: no bound was found."
