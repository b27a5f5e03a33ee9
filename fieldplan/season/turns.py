"""Who comes before whom by the rules of the season."""

from __future__ import annotations

import math
from collections.abc import Sequence

from fieldplan.errors import InputError
from fieldplan.model.season import Request, Rule
from fieldplan.model.spelling import did_you_mean


def levels_of(requests: Sequence[Request], rules: Sequence[Rule]) -> list[list[int]]:
    """Requests in the order of the rules; those that no rule tells apart share a level."""
    known = sorted({column for request in requests for column in request.facts})
    for rule in rules:
        if rule.column not in known:
            raise InputError.of(
                "rule-column",
                f'serve_first names "{rule.column}", which is no column of the requests.',
                f"{did_you_mean(rule.column, known)}columns: {', '.join(known)}",
            )
    keys = [tuple(_rank(request, rule) for rule in rules) for request in requests]
    return [[i for i, own in enumerate(keys) if own == key] for key in sorted(set(keys))]


def _rank(request: Request, rule: Rule) -> tuple[int, float, str]:
    """Where a rule puts a request: numbers by size, all else by the alphabet (dates as YYYY-MM-DD), what is empty last."""
    fact = request.facts.get(rule.column, "").casefold()
    if rule.value is not None:
        return (0 if fact == rule.value.casefold() else 1, 0.0, "")
    if not fact:
        return (2, 0.0, "")
    try:
        number = float(fact)
    except ValueError:
        number = math.nan
    return (0, number, "") if math.isfinite(number) else (1, 0.0, fact)
