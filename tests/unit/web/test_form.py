"""The form: every key has its box, what is wrong stands beside it, and nothing that a person gave is markup."""

from __future__ import annotations

import re
from html import escape
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from conftest import SAMPLES

from fieldplan.jobfile.load import examined, read_toml
from fieldplan.jobfile.schema import SCHEMA
from fieldplan.tables.read import rows, source
from fieldplan.web.parts.job.form import FieldAsked, Form, frames
from fieldplan.web.parts.job.inputs import id_of
from fieldplan.web.parts.job.order import CONTROLS, LEFT_TO_THE_FILE, SHEETS
from fieldplan.web.parts.job.species import found
from fieldplan.web.tables import schema_name, with_value


def shown(tables: dict[str, Any], **more: Any) -> tuple[Form, str]:
    """The form of some tables, and its whole text."""
    form = Form(tables=tables, found=examined(tables, Path("job.toml")), **more)
    parts = frames(form)
    return form, "".join(form.filled(part) for part in parts.values())


def test_every_key_of_the_job_file_is_asked_for_or_left_to_the_file() -> None:
    """A key that is new is one line in the form's order, or this test names it."""
    asked = {(table, box.key) for table, sheet in SHEETS.items() for box in sheet.boxes}
    in_files = {
        (table, key) for table, keys in SCHEMA.items() for key in keys if table not in LEFT_TO_THE_FILE
    }
    assert asked == in_files
    assert not set(LEFT_TO_THE_FILE) & set(SHEETS)


def test_no_box_is_asked_for_twice() -> None:
    """Two boxes of one key would overwrite each other."""
    for sheet in SHEETS.values():
        assert len({box.key for box in sheet.boxes}) == len(sheet.boxes)


def test_every_id_stands_once_and_every_label_is_tied() -> None:
    """Labels name inputs by their ids; an id that two elements have would name the wrong one."""
    _, html = shown(
        read_toml(SAMPLES / "restoration.toml"),
        fields=[FieldAsked(field_id="RP 1"), FieldAsked(field_id="RP_1")],
    )
    ids = re.findall(r'(?<![-\w])id="([^"]*)"', html)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r'<label for="([^"]*)"', html)) <= set(ids)
    assert {
        one
        for text in re.findall(r'aria-(?:describedby|labelledby)="([^"]*)"', html)
        for one in text.split()
    } <= set(ids)


def test_a_wrong_value_stands_beside_its_box_and_is_gone_when_mended() -> None:
    """The checker's own words, with buttons for what it takes to be meant."""
    wrong = with_value({}, ("drill",), "row_spacing", "7 ft")
    form, _ = shown(wrong)
    assert "can hardly be right" in form.leaves["m-drill-row_spacing"]
    assert ">Take 7 in<" in form.leaves["m-drill-row_spacing"]
    assert form.leaves["m-drill-turning_radius"] == '<p class="lacking">Still to be filled in. </p>'
    mended, _ = shown(with_value(wrong, ("drill",), "row_spacing", "7 in"))
    assert mended.leaves["m-drill-row_spacing"] == ""


def test_an_unlikely_value_is_noted_though_the_job_is_not_complete() -> None:
    """The note stands beside the box before the rest is filled in."""
    form, _ = shown({"tractor": {"pto_power": "700 hp"}})
    assert "700 hp" in form.leaves["m-tractor-pto_power"]
    assert "is unlikely" in form.leaves["m-tractor-pto_power"]


def test_defaults_are_shown_with_their_reason_and_in_the_readers_units() -> None:
    """Value, source and reason as tables/defaults.csv has them; those of a box go by its kind."""
    form, _ = shown({"drill": {"box": [{"kind": "grain"}, {"kind": "native"}]}})
    assert "4.5 mph (assumed)" in form.leaves["h-working-field_speed"]
    assert "90 % (assumed)" in form.leaves["h-drill-box-0-usable"]
    assert "50 % (assumed): so that the agitators stay free" in form.leaves["h-drill-box-1-usable"]
    metric, _ = shown({}, units="metric")
    assert "7.2 km/h (assumed)" in metric.leaves["h-working-field_speed"]


def test_every_default_of_the_table_is_shown_at_its_box() -> None:
    """Whatever defaults.csv says of a key of the form stands in the form."""
    form, _ = shown(
        {
            "drill": {
                "box": [*({"kind": kind} for kind in ("grain", "native", "small")), {"residual": "5 %"}]
            },
            "mix": [{"component": [{}]}],
        }
    )
    for row in rows("defaults"):
        if row["table"] not in SHEETS:
            continue
        key = row["key"].partition(" ")[0]
        why = {"assumed": "assumed", "practice": "common practice, no source"}.get(row["source"]) or source(
            row["source"]
        ).title
        helps = [
            html
            for leaf, html in form.leaves.items()
            if re.fullmatch(rf"h-{row['table'].partition('.')[0]}.*-{key}", leaf)
        ]
        assert any(f"({escape(why)})" in html and escape(row["place"]) in html for html in helps), row


class _Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        assert not [name for name, _ in attrs if name.startswith("on")]


EVIL = '"><img src=x onerror=alert(1)><script>alert(1)</script>\0'


def test_nothing_that_is_typed_is_markup() -> None:
    """Names, keys, ids and values with markup in them are shown as text."""
    evil = {
        "drill": {"name": EVIL, EVIL: EVIL, "rows": EVIL, "box": [{"name": EVIL, "kind": EVIL}]},
        "mix": [{"name": EVIL, "component": [{"species": EVIL, "box": EVIL, "noxious": [EVIL]}]}],
        "field": {EVIL: {"mix": EVIL}},
        "booking": {"start": EVIL},
        EVIL: EVIL,
    }
    _, html = shown(evil, fields=[FieldAsked(field_id=EVIL, name=EVIL + "x", mix=EVIL)], drills=[EVIL])
    parser = _Tags()
    parser.feed(html)
    assert "img" not in parser.tags
    assert "script" not in parser.tags


def test_keys_without_a_box_are_shown_and_kept() -> None:
    """A job file may hold what this version does not know: it is said, not dropped."""
    form, _ = shown({"drill": {"colour": "red"}})
    assert "colour = &quot;red&quot;" in form.leaves["a-drill"]


@pytest.mark.parametrize(
    ("typed", "species"),
    [
        ("pani", "switchgrass"),
        ("PAVI", "switchgrass"),
        ("andropogon ger", "big bluestem"),
        ("side", "sideoats grama"),
    ],
)
def test_species_are_found_by_common_and_scientific_name_and_symbol(typed: str, species: str) -> None:
    """As one types: the first letters are enough."""
    assert species in [name for name, _ in found(typed)]


def test_whether_seed_is_treated_is_asked_until_it_is_answered() -> None:
    """Open, treated or not treated: left open it stands in sight as an assumption to check."""
    lot = ("mix", 0, "component", 0)
    form, html = shown({"mix": [{"component": [{}]}]})
    open_question = form.leaves["m-mix-0-component-0-treated"]
    assert "taken as not treated" in open_question
    assert html.index("c-mix-0-component-0-treated") < html.index("d-mix-0-component-0")
    assert re.findall(r"<option[^>]*>([^<]*)", form.leaves["c-mix-0-component-0-treated"]) == [
        "not said",
        "treated",
        "not treated",
    ]
    for answer in (True, False):
        answered, _ = shown(with_value({"mix": [{"component": [{}]}]}, lot, "treated", answer))
        assert answered.leaves["m-mix-0-component-0-treated"] == ""


def test_a_unit_that_was_chosen_stays_until_a_number_stands_before_it() -> None:
    """In every box of a quantity with several units: the choice is shown, whatever the reader's units are."""
    tables: dict[str, Any] = {
        "drill": {"box": [{}], "chart": [{}]},
        "mix": [{"component": [{}]}],
        "field": {"north": {}},
    }
    north = [FieldAsked(field_id="north")]
    form, _ = shown(tables, fields=north)
    several = {
        spot: control.units
        for spot in form.spots.values()
        if len((control := CONTROLS[schema_name(spot[0]), spot[1]]).units) > 1
    }
    assert len(several) > 40
    for system in ("us", "metric"):
        chosen = {spot: units[-1] for spot, units in several.items()}
        again, _ = shown(tables, chosen=chosen, units=system, fields=north)
        for (place, key), units in several.items():
            selected = re.findall(r'value="([^"]*)" selected', again.leaves[f"c-{id_of(place, key)}"])
            assert selected == [escape(units[-1])], (place, key)
