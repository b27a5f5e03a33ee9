"""What is typed becomes a value of the job file, and a value is shown as it would be typed."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from fieldplan.errors import InputError
from fieldplan.jobfile.schema import SCHEMA
from fieldplan.web.controls import Control, first_unit, parts_of, value_of
from fieldplan.web.parts.job.order import CONTROLS


@pytest.mark.parametrize(
    ("table", "key", "parts", "value"),
    [
        ("drill", "row_spacing", {"text": "7.5", "unit": "{} in"}, "7.5 in"),
        ("drill", "row_spacing", {"text": "7 1/2", "unit": "{} in"}, "7 1/2 in"),
        ("drill", "row_spacing", {"text": "19 cm", "unit": "{} in"}, "19 cm"),
        ("drill", "row_spacing", {"text": " ", "unit": "{} in"}, None),
        ("drill", "rows", {"text": "16"}, 16),
        ("drill", "rows", {"text": "sixteen"}, "sixteen"),
        ("drill.box", "sweep", {"text": "yes"}, True),
        ("drill.box", "metering", {"low": "1", "high": "6", "unit": "{} bu/ac"}, ["1 bu/ac", "6 bu/ac"]),
        ("working", "heading", {"text": "best", "unit": "{} deg"}, "best"),
        ("working", "heading", {"text": "90", "unit": "{} deg"}, "90 deg"),
        ("working", "road_factor", {"text": "1.3"}, 1.3),
        ("mix.component", "rate", {"text": "3.4", "unit": "{} lb/ac PLS"}, "3.4 lb/ac PLS"),
        ("mix.component", "rate", {"text": "12", "unit": "{} seeds/ft2"}, "12 seeds/ft2"),
        ("mix.component", "rate", {"text": "25", "unit": "{} % of stand"}, "25 % of stand"),
        ("mix.component", "rate", {"text": "60 lb/ac bulk", "unit": "{} seeds/ft2"}, "60 lb/ac bulk"),
        ("mix.component", "price", {"text": "9.50", "unit": "${}/lb"}, "$9.50/lb"),
        ("mix.component", "price", {"text": "$9.50", "unit": "${}/lb"}, "$9.50/lb"),
        ("mix.component", "price", {"text": "11 EUR/kg", "unit": "${}/lb"}, "11 EUR/kg"),
        (
            "mix.component",
            "noxious",
            {"text": "dodder 2 per lb\nbindweed 1 per lb"},
            ["dodder 2 per lb", "bindweed 1 per lb"],
        ),
        ("booking", "start", {"text": "2027-05-10"}, date(2027, 5, 10)),
        ("booking", "start", {"text": "soon"}, "soon"),
        ("booking", "days_off", {"text": "Sunday, 2027-05-31"}, ["Sunday", "2027-05-31"]),
        (
            "booking",
            "fieldwork_day_chance",
            {"text": "Illinois, April and May", "unit": "{} %"},
            "Illinois, April and May",
        ),
        ("field", "gate", {"lat": "44.25", "lon": "-95.75"}, {"lat": 44.25, "lon": -95.75}),
        ("field", "gate", {"lat": "44.25, -95.75", "lon": ""}, {"lat": 44.25, "lon": -95.75}),
        ("field", "open_sides", {"north": "on", "east": "", "south-east": "on"}, ["north", "south-east"]),
        ("cost", "when", {"text": "area = outside"}, {"area": "outside"}),
        ("cost", "wage", {"text": "24", "unit": "${}/h"}, "$24/h"),
    ],
)
def test_typed_and_shown(table: str, key: str, parts: dict[str, str], value: Any) -> None:
    """Each form of box once: what is typed, the value it makes, and that value read back as the same."""
    control = CONTROLS[table, key]
    assert value_of(control, parts) == value
    assert type(value_of(control, parts)) is type(value)
    assert value_of(control, parts_of(control, value)) == value


def test_every_box_shows_what_a_job_file_may_hold_and_gives_it_back() -> None:
    """A usual value of each key, with every unit that is offered, is read by the key's own parser."""
    for (table, key), control in CONTROLS.items():
        for unit in control.units:
            if control.form == "amount":
                value = value_of(control, {"text": "12", "unit": unit})
                SCHEMA[table][key].parse(value)
                assert parts_of(control, value) == {"text": "12", "unit": unit}
        for word in (*control.choices, *((control.word,) if control.word else ())):
            if control.form in ("choice", "whole", "amount"):
                SCHEMA[table][key].parse(value_of(control, {"text": word, "unit": ""}))


def test_a_number_without_a_unit_is_shown_as_it_stands() -> None:
    """A job file may hold what the form would not write: it is shown, and judged, as it is."""
    control = CONTROLS["drill", "row_spacing"]
    assert parts_of(control, 7.5) == {"text": "7.5", "unit": ""}
    with pytest.raises(InputError):
        SCHEMA["drill"]["row_spacing"].parse(value_of(control, parts_of(control, 7.5)))


def test_empty_boxes_begin_in_the_readers_units() -> None:
    """Feet for one reader, meters for another; what all use stays."""
    assert first_unit(CONTROLS["drill", "turning_radius"], "us") == "{} ft"
    assert first_unit(CONTROLS["drill", "turning_radius"], "metric") == "{} m"
    assert first_unit(CONTROLS["mix.component", "price"], "metric") == "${}/kg"
    assert first_unit(CONTROLS["working", "refill_time"], "metric") == "{} min"


def test_what_no_file_can_hold_is_left_out() -> None:
    """Half of a pair of signs, as a broken paste gives, cannot be written in UTF-8."""
    assert value_of(Control(form="text"), {"text": "grain\ud800 "}) == "grain?"
