"""Priority by the rules of the season. A new kind of rule is a class here and an entry in `KINDS`."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Protocol, Self

from fieldplan.errors import InputError
from fieldplan.facts import Fact, fact
from fieldplan.model.rental_program import Rank, Rule
from fieldplan.model.request import Request
from fieldplan.model.spelling import SLIP, nearest


class Readable(Protocol):
    """A kind of rule that can be read from the season's file."""

    @classmethod
    def read(cls, text: str) -> Rule | None:
        """Read a rule of the season's file; ``None`` if it is of another kind."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueFirst(Rule):
    """Requests with a value in a column come before all others: "county = Thistle"."""

    value: str

    @classmethod
    def read(cls, text: str) -> Self | None:
        """Read a column, an equals sign and a value."""
        column, equals, value = (part.strip() for part in text.partition("="))
        return cls(column=column.casefold(), value=value) if equals else None

    @property
    def text(self) -> str:
        """The rule as the clerk writes it."""
        return f"{self.column} = {self.value}"

    def _holds(self, cell: str) -> bool:
        return cell.casefold() == self.value.casefold()

    def rank(self, cell: str) -> Rank:
        """0 for requests with the value, 1 for all others."""
        return 0 if self._holds(cell) else 1, 0.0, ""

    def finds(self, cell: str) -> Fact:
        """Whether the cell has the value."""
        return fact("rule-value/yes" if self._holds(cell) else "rule-value/no", rule=self.text)

    def warning(self, cells: Collection[str]) -> Fact | None:
        """A value that no row has, if one spelled almost like it is there.

        A value without a near match is no slip: nobody of that kind asked this year.
        """
        near = None if any(map(self._holds, cells)) else nearest(self.value, set(cells) - {""}, SLIP)
        return None if near is None else fact("rule-doubt", rule=self.text, near=near)


@dataclass(frozen=True, slots=True, kw_only=True)
class LowerFirst(Rule):
    """Lower numbers and earlier dates come first: "asked"."""

    @classmethod
    def read(cls, text: str) -> Self | None:
        """Read the name of a column."""
        return cls(column=text.strip().casefold())

    @property
    def text(self) -> str:
        """The rule as the clerk writes it."""
        return self.column

    def rank(self, cell: str) -> Rank:
        """Numbers by size, then text by the alphabet (dates are YYYY-MM-DD), then empty cells."""
        if not cell:
            return 2, 0.0, ""
        try:
            number = float(cell)
        except ValueError:
            number = math.nan
        return (0, number, "") if math.isfinite(number) else (1, 0.0, cell.casefold())

    def finds(self, cell: str) -> Fact:
        """What the cell holds."""
        return (
            fact("rule-lower", column=self.column, cell=cell)
            if cell
            else fact("rule-lower/empty", column=self.column)
        )


KINDS: tuple[type[Readable], ...] = (ValueFirst, LowerFirst)
"""Kinds of rules, in the order in which they are tried."""


def rule_of(text: str) -> Rule:
    """The rule that a clerk wrote.

    >>> rule_of("county = Thistle").text
    'county = Thistle'
    >>> rule_of("Asked").text
    'asked'
    """
    return next(rule for kind in KINDS if (rule := kind.read(text)) is not None)


def priorities_of(
    requests: Sequence[Request], rules: Sequence[Rule], ahead: Sequence[Collection[int]] = ()
) -> list[list[int]]:
    """Requests by priority: rules decide in their order, the first one that tells two requests apart.

    Parameters
    ----------
    ahead
        Groups of requests that come before all others whatever the rules say.

    Returns
    -------
    list of list
        Indices of requests, the highest priority first; those that no rule tells apart share one.

    Raises
    ------
    InputError
        If a rule names a column that no request has.
    """
    known = sorted({column for request in requests for column in request.facts})
    for rule in rules:
        if rule.column not in known:
            near = nearest(rule.column, known) or ""
            raise InputError.of("rule-column", column=rule.column, near=near, columns=tuple(known))
    placed = {i for group in ahead for i in group}
    ranks = {
        i: tuple(rule.rank(request.facts.get(rule.column, "")) for rule in rules)
        for i, request in enumerate(requests)
        if i not in placed
    }
    by_rules = ([i for i, rank in ranks.items() if rank == key] for key in sorted(set(ranks.values())))
    return [list(group) for group in (*ahead, *by_rules) if group]
