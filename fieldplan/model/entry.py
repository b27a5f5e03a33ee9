"""A row of a season's ledger, before and after it is written, and what a meter counted between two of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Fresh:
    """An entry that is not in the ledger yet.

    Parameters
    ----------
    typed
        Its facts as they were typed.
    corrects
        The row of the ledger that it corrects, if any.
    where
        Where it was typed, for messages.
    """

    kind: str
    typed: Mapping[str, str]
    corrects: int | None = None
    where: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A row of the ledger.

    Parameters
    ----------
    entered
        When it was written: UTC, ISO 8601.
    typed
        Its facts as they were typed.
    facts
        The same facts read: quantities in SI, days as dates, sums of money as decimals.
    corrects
        The row that it corrects, if any.
    """

    number: int
    entered: str
    kind: str
    typed: Mapping[str, str]
    facts: Mapping[str, Any]
    corrects: int | None = None

    @property
    def day(self) -> date:
        """The day on which it happened."""
        day = self.facts["day"]
        assert isinstance(day, date)
        return day

    @property
    def request(self) -> str:
        """Id of the request that it is about, or nothing."""
        return str(self.facts.get("request", ""))


def counted_m2(before: Entry, now: Entry) -> float:
    """Ground in m² that a drill's meter counted from one reading to the next.

    A meter that turned over at T counted T − before + now. Where a new one was fitted, the old one counted to what it
    showed last, and the new one from what it showed first. Below 0 the readings cannot both be true.
    """
    start, facts = float(before.facts["meter"]), now.facts
    if "old_meter" in facts:
        first = float(facts["meter"]) if now.kind == "meter" else float(facts.get("new_meter", 0.0))
        counted, start = float(facts["old_meter"]) - start, first
    else:
        counted = 0.0
    if "turns_at" in facts:
        counted, start = counted + float(facts["turns_at"]) - start, 0.0
    return counted + float(facts["meter"]) - start
