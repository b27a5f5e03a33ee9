"""Who comes before whom by the rules of the season. A new kind of rule is a class here and its place in
`KINDS`.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Protocol, Self

from fieldplan.errors import InputError
from fieldplan.facts import Fact, fact
from fieldplan.model.season import Rank, Request, Rule
from fieldplan.model.spelling import SLIP, nearest


class Readable(Protocol):
    """A kind of rule, as the season's file is read by it."""

    @classmethod
    def read(cls, text: str) -> Rule | None:
        """The rule that a text of the season's file is; ``None`` if it is one of another kind."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueFirst(Rule):
    """Those whose column says the value come before all others: "county = Thistle"."""

    value: str

    @classmethod
    def read(cls, text: str) -> Self | None:
        """A column, an equals sign, a value."""
        column, equals, value = (part.strip() for part in text.partition("="))
        return cls(column=column.casefold(), value=value) if equals else None

    @property
    def text(self) -> str:
        """The rule as the clerk writes it."""
        return f"{self.column} = {self.value}"

    def _holds(self, cell: str) -> bool:
        return cell.casefold() == self.value.casefold()

    def rank(self, cell: str) -> Rank:
        """First, or after those."""
        return 0 if self._holds(cell) else 1, 0.0, ""

    def finds(self, cell: str) -> Fact:
        """Whether it is so."""
        return fact("rule-value/yes" if self._holds(cell) else "rule-value/no", rule=self.text)

    def warning(self, cells: Collection[str]) -> Fact | None:
        """That the value stands in no row, while one all but spelled like it does: else nobody of that kind
        asked this year.
        """
        near = None if any(map(self._holds, cells)) else nearest(self.value, set(cells) - {""}, SLIP)
        return None if near is None else fact("rule-doubt", rule=self.text, near=near)


@dataclass(frozen=True, slots=True, kw_only=True)
class LowerFirst(Rule):
    """The lower, the earlier, the sooner: "asked"."""

    @classmethod
    def read(cls, text: str) -> Self | None:
        """A column alone."""
        return cls(column=text.strip().casefold())

    @property
    def text(self) -> str:
        """The rule as the clerk writes it."""
        return self.column

    def rank(self, cell: str) -> Rank:
        """Numbers by size, all else by the alphabet (dates as YYYY-MM-DD), what is empty last."""
        if not cell:
            return 2, 0.0, ""
        try:
            number = float(cell)
        except ValueError:
            number = math.nan
        return (0, number, "") if math.isfinite(number) else (1, 0.0, cell.casefold())

    def finds(self, cell: str) -> Fact:
        """What stands there."""
        return (
            fact("rule-lower", column=self.column, cell=cell)
            if cell
            else fact("rule-lower/empty", column=self.column)
        )


KINDS: tuple[type[Readable], ...] = (ValueFirst, LowerFirst)
"""Kinds of rules, in the order in which a text is tried for being one."""


def rule_of(text: str) -> Rule:
    """The rule that a clerk wrote."""
    return next(rule for kind in KINDS if (rule := kind.read(text)) is not None)


def priorities_of(
    requests: Sequence[Request], rules: Sequence[Rule], ahead: Sequence[Collection[int]] = ()
) -> list[list[int]]:
    """Requests in the order of the rules; those that no rule tells apart share a level.

    Parameters
    ----------
    ahead
        Requests that go before all others whatever the rules say, level by level.

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
    placed = {i for priority in ahead for i in priority}
    ranks = {
        i: tuple(rule.rank(request.facts.get(rule.column, "")) for rule in rules)
        for i, request in enumerate(requests)
        if i not in placed
    }
    by_rules = ([i for i, own in ranks.items() if own == rank] for rank in sorted(set(ranks.values())))
    return [list(priority) for priority in (*ahead, *by_rules) if priority]
