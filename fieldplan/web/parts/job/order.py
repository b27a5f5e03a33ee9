"""What the form asks, in which order, and which inputs each box has.

A new key of the job file is one line in ``machines.py`` or ``seed_and_terms.py``.
"""

from __future__ import annotations

from fieldplan.jobfile.schema import SCHEMA
from fieldplan.web.controls import Control, control_of, money_control
from fieldplan.web.parts.job.machines import DRILL, TRACTOR, WORKING
from fieldplan.web.parts.job.seed_and_terms import BOOKING, COST, FIELD, LOADING, MIX

GROUPS = (DRILL, TRACTOR, WORKING, MIX, LOADING, COST, BOOKING, FIELD)
LEFT_TO_THE_FILE = ("target", "target.group", "target.species", "target.lot", "season", "season_drill")
"""Tables that the form leaves to files: targets of mixes that are designed, and seasons of a whole district."""
SHEETS = {sheet.table: sheet for group in GROUPS for sheet in group.sheets}
_MONEY = {("cost", "fuel_price"): money_control("volume"), ("cost", "wage"): money_control("time")}
_MORE_UNITS = {("loading", "scale"): ("{} g", "{} oz")}


def control(table: str, key: str) -> Control:
    """The inputs of a box."""
    if (table, key) in _MONEY:
        return _MONEY[table, key]
    found = control_of(SCHEMA[table][key].parse, f"{table}.{key}")
    more = _MORE_UNITS.get((table, key), ())
    if not more:
        return found
    return Control(form=found.form, units=(*more, *found.units), choices=found.choices, word=found.word)


CONTROLS = {
    (table, box.key): control(table, box.key) for table, sheet in SHEETS.items() for box in sheet.boxes
}
