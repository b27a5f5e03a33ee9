"""A fact of an entry as it is typed, and those that many kinds of entries share."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.jobfile.values import Parser
from fieldplan.records import reading


@dataclass(frozen=True, slots=True)
class Fact:
    """A fact of an entry: how it is read, an example, and whether it is required."""

    parse: Parser
    example: str
    needed: bool = False


REQUEST = Fact(reading.short_text, "request=R05", needed=True)
DRILL = Fact(reading.short_text, 'drill="ten foot"', needed=True)
DAY = Fact(reading.day_of, "day=2027-04-24", needed=True)
METER = Fact(reading.meter, 'meter="1204.6 ac"', needed=True)
NOTE = Fact(reading.short_text, 'note="what else there is to say"')
TURNS_AT = Fact(reading.meter, 'turns_at="10000 ac" (the meter went past this figure and began again at 0)')
OLD_METER = Fact(reading.meter, 'old_meter="1250.4 ac" (what it showed last; a new one was fitted since)')
NEW_METER = Fact(reading.meter, 'new_meter="3.0 ac" (what the new one showed when it was fitted; else 0)')
CONDITION = Fact(reading.short_text, 'condition="one lamp out"')
FIELD = Fact(reading.short_text, "field=north", needed=True)
WHY = Fact(reading.short_text, 'why="sold the field"')
FIRST = Fact(reading.day_of, "first=2027-04-24 (the first day booked)")
