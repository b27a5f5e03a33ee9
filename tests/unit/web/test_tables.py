"""Changes to the tables of a job file: only what is named changes, and nothing that was there is lost."""

from __future__ import annotations

from copy import deepcopy
from pathlib import Path
from typing import Any

from conftest import SAMPLES

from fieldplan.jobfile.load import examined, read_toml
from fieldplan.web.tables import (
    by_spot,
    confirmed,
    labels,
    renamed,
    rows_at,
    schema_name,
    value_at,
    with_row,
    with_value,
    without_row,
)

TWO_BOXES: dict[str, Any] = {
    "drill": {
        "rows": 16,
        "box": [{"name": "grain", "kind": "grain"}, {"name": "native", "kind": "native"}],
    },
    "mix": [{"name": "meadow", "component": [{"species": "oats", "box": "grain"}, {"species": "alfalfa"}]}],
    "field": {"north": {"mix": "meadow"}, "south": {"slope": "4 %"}},
}


def test_a_value_is_set_and_the_tables_before_stay_as_they_were() -> None:
    """Whoever undoes a change finds the old tables unchanged."""
    before = deepcopy(TWO_BOXES)
    after = with_value(TWO_BOXES, ("drill", "box", 1), "volume", "18 ft3")
    assert before == TWO_BOXES
    assert after["drill"]["box"][1] == {"name": "native", "kind": "native", "volume": "18 ft3"}
    assert after["drill"]["box"][0] == TWO_BOXES["drill"]["box"][0]


def test_a_table_that_is_left_empty_goes() -> None:
    """An empty [tractor] would not be the same job as none: a truck that is named but empty counts."""
    with_truck = with_value({}, ("loading",), "people", "380 lb")
    assert with_truck == {"loading": {"people": "380 lb"}}
    assert with_value(with_truck, ("loading",), "people", None) == {}


def test_a_row_that_is_left_empty_stays_until_it_is_taken_away() -> None:
    """A lot without a key is still a lot that somebody added."""
    one = with_row({}, ("mix",), {"component": [{}]})
    assert one == {"mix": [{"component": [{}]}]}
    assert without_row(one, ("mix", 0, "component", 0)) == {"mix": [{}]}
    assert without_row(one, ("mix", 0)) == {}


def test_a_new_name_is_taken_over_by_all_that_name_the_old_one() -> None:
    """Lots name boxes, fields name mixes."""
    boxes = renamed(TWO_BOXES, ("drill", "box", 0), "front")
    assert [row.get("box") for row in boxes["mix"][0]["component"]] == ["front", None]
    mixes = renamed(TWO_BOXES, ("mix", 0), "prairie")
    assert mixes["field"] == {"north": {"mix": "prairie"}, "south": {"slope": "4 %"}}
    assert mixes["mix"][0]["component"] == TWO_BOXES["mix"][0]["component"]


def test_a_name_that_two_have_is_not_taken_over() -> None:
    """Which of the two was meant is not known."""
    twice = with_row(TWO_BOXES, ("mix",), {"name": "meadow"})
    assert renamed(twice, ("mix", 1), "other")["field"]["north"]["mix"] == "meadow"


def test_the_older_name_of_a_key_is_read_and_replaced() -> None:
    """A file of an earlier year has spread; the box is that of uncertainty."""
    older = {"booking": {"spread": "5 %", "confidence": "80 %"}}
    assert value_at(older, ("booking",), "uncertainty") == "5 %"
    assert with_value(older, ("booking",), "uncertainty", "6 %") == {
        "booking": {"uncertainty": "6 %", "confidence": "80 %"}
    }
    assert with_value(older, ("booking",), "uncertainty", None) == {"booking": {"confidence": "80 %"}}


def test_a_key_is_confirmed_once() -> None:
    """The list of what is meant grows by the key, whether it was text or a list."""
    once = confirmed({"drill": {"meant": "rows"}}, ("drill",), "row_spacing")
    assert once["drill"]["meant"] == ["rows", "row_spacing"]
    assert confirmed(once, ("drill",), "rows") == once


def test_places_have_the_names_of_the_schema() -> None:
    """A number is a place in a list, a field's id is no part of the name."""
    assert schema_name(("mix", 1, "component", 2)) == "mix.component"
    assert schema_name(("field", "box")) == "field"
    assert rows_at(TWO_BOXES, ("drill", "chart")) == []


def test_what_the_checker_calls_a_table_is_found_again() -> None:
    """Every problem and note of a job with faults in every table stands at a box or a table, none at the job as a whole."""
    document = read_toml(SAMPLES / "restoration.toml")
    document["drill"]["rows"] = "many"
    document["drill"]["box"][1]["volume"] = "18"
    document["mix"][0]["component"][2]["purity"] = "590 %"
    document["mix"][1]["name"] = ""
    document["working"]["field_speed"] = "fast"
    document["booking"]["confidence"] = "120 %"
    document["loading"]["payload"] = "1400"
    document["field"] = {"RP-1": {"slope": "steep"}}
    found = examined(document, Path("job.toml"))
    spots = by_spot(document, found.problems)
    assert ((), "") not in spots
    assert {spot for spot in spots if spots[spot]} >= {
        (("drill",), "rows"),
        (("drill", "box", 1), "volume"),
        (("mix", 0, "component", 2), "purity"),
        (("mix", 1), "name"),
        (("working",), "field_speed"),
        (("booking",), "confidence"),
        (("loading",), "payload"),
        (("field", "RP-1"), "slope"),
    }


def test_tables_of_one_name_are_both_told() -> None:
    """The checker calls both by the same name: rather twice than at the wrong one alone."""
    twins = {"drill": {"box": [{"name": "grain"}, {"name": "grain"}]}}
    assert labels(twins)["drill.box grain"] == (("drill", "box", 0), ("drill", "box", 1))
