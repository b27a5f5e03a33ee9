"""Rules of who is served first, each kind by itself."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Self

import pytest

from fieldplan.facts import Fact, fact
from fieldplan.model.rental_program import Rank, Rule
from fieldplan.model.request import Request
from fieldplan.season import priorities
from fieldplan.season.priorities import LowerFirst, ValueFirst, priorities_of, rule_of

MAY = date(2027, 5, 3)


def _requests(**cells: tuple[str, ...]) -> list[Request]:
    """Requests whose columns hold these cells, in order."""
    return [
        Request(
            row=k + 2,
            request_id=f"R{k}",
            renter="x",
            ready=MAY,
            until=MAY,
            asked=None,
            fields=None,
            ground_m2=1.0,
            place_lonlat=(0.0, 0.0),
            mix=None,
            pto_power_w=None,
            facts=dict(zip(cells, row, strict=True)),
        )
        for k, row in enumerate(zip(*cells.values(), strict=True))
    ]


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("county = Thistle", ValueFirst(column="county", value="Thistle")),
        ("County=Thistle", ValueFirst(column="county", value="Thistle")),
        ("county =", ValueFirst(column="county", value="")),
        (" Asked ", LowerFirst(column="asked")),
    ],
)
def test_rules_read_as_a_clerk_writes_them(text: str, rule: Rule) -> None:
    """A column with a value, or a column alone; capitals and blanks of the column do not count."""
    assert rule_of(text) == rule


def test_later_rules_part_those_that_earlier_ones_leave_together() -> None:
    """Thistle first whatever its capitals, then by the number asked; words after numbers, nothing last; who
    goes ahead is in no other level.
    """
    requests = _requests(
        county=("Dock", "thistle", "Thistle", "Dock", "Dock"), asked=("10", "9", "9", "", "x")
    )
    rules = [rule_of("county = Thistle"), rule_of("asked")]
    assert priorities_of(requests, rules) == [[1, 2], [0], [4], [3]]
    assert priorities_of(requests, rules, ahead=[[3], []]) == [[3], [1, 2], [0], [4]]


def test_a_rule_whose_word_is_a_slip_is_doubted() -> None:
    """One letter off a word that stands there; not where the word stands too, nor one that is like none."""
    rule = rule_of("county = Thistel")
    assert rule.warning(["Thistle", ""]) == fact("rule-doubt", rule="county = Thistel", near="Thistle")
    assert rule.warning(["Thistle", "thistel"]) is None
    assert rule.warning(["Dock"]) is None


@dataclass(frozen=True, slots=True, kw_only=True)
class HigherFirst(Rule):
    """The higher the sooner: "most acres"."""

    @classmethod
    def read(cls, text: str) -> Self | None:
        """The word "most" and a column."""
        word, _, column = text.partition(" ")
        return cls(column=column) if word == "most" else None

    @property
    def text(self) -> str:
        """As it is written."""
        return f"most {self.column}"

    def rank(self, cell: str) -> Rank:
        """By the number turned round."""
        return 0, -float(cell), ""

    def finds(self, cell: str) -> Fact:
        """What stands there."""
        return fact("rule-lower", column=self.column, cell=cell)


def test_another_kind_of_rule_is_one_class_in_the_list(monkeypatch: pytest.MonkeyPatch) -> None:
    """Read, ranked and said by the class alone."""
    monkeypatch.setattr(priorities, "KINDS", (HigherFirst, *priorities.KINDS))
    rule = rule_of("most acres")
    assert priorities_of(_requests(acres=("8", "24.5", "8")), [rule]) == [[1], [0, 2]]
    assert str(rule.finds("24.5")) == "acres 24.5"
    assert rule_of("acres") == LowerFirst(column="acres")
