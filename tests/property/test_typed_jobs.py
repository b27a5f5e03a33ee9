"""Whatever is typed into the form: the tables written as a job file and read again are the same job, or have the same
problems.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from conftest import SAMPLES
from hypothesis import example, given
from hypothesis import strategies as st
from strategies import slowly

from fieldplan.jobfile.load import JOB_FILE, examined, read_toml
from fieldplan.jobfile.toml_faults import parsed
from fieldplan.web.controls import parts_of, value_of
from fieldplan.web.desk import Desk
from fieldplan.web.draft import Draft
from fieldplan.web.parts.job.form import Form, frames
from fieldplan.web.parts.job.order import CONTROLS, SHEETS
from fieldplan.web.parts.what_if import leaves
from fieldplan.web.tables import (
    Place,
    confirmed,
    renamed,
    rows_at,
    schema_name,
    table_at,
    value_at,
    with_row,
    with_value,
    without_row,
)
from fieldplan.web.written import job_text

PATH = Path("job.toml")
RESTORATION = read_toml(SAMPLES / "restoration.toml")
TEXTS = st.one_of(
    st.sampled_from(
        [
            *(
                "",
                "10",
                "7 1/2",
                "3 m",
                "10 ft",
                "0",
                "-1",
                "ten",
                "45 %",
                "auto",
                "best",
                "grain",
                "native",
                "meadow",
            ),
            *(
                "yes",
                "no",
                "1,400",
                "2,5",
                "½",
                "44.25",
                "-95.75",
                "2027-05-10",
                "2027-02-30",
                "Sunday",
                "area = outside",
            ),
            *(
                "rice hulls to 2 bu/ac",
                "switchgrass, Alamo",
                "PAVI2",
                "1:30",
                "60 lb/ac bulk",
                '"quoted"',
                "back\\slash",
                "# no remark",
            ),
        ]
    ),
    st.text(max_size=12),
)


@st.composite
def typed(draw: st.DrawFn) -> dict[str, Any]:
    """The tables after a person has typed into boxes, added and taken away rows, and renamed boxes and mixes."""
    tables: dict[str, Any] = draw(st.sampled_from([{}, RESTORATION]))
    for _ in range(draw(st.integers(1, 12))):
        tables = _changed(draw, tables)
    return tables


def _changed(draw: st.DrawFn, tables: dict[str, Any]) -> dict[str, Any]:
    places = _places(tables)
    listed = [place for place in places if isinstance(place[-1], int)]
    what = draw(st.sampled_from(["type", "type", "type", "type", "add", "take away", "rename", "confirm"]))
    if what == "add":
        of_mix = [(*place, "component") for place in listed if len(place) == 2 and place[0] == "mix"]
        return with_row(
            tables, draw(st.sampled_from([("drill", "box"), ("drill", "chart"), ("mix",), *of_mix])), {}
        )
    if what == "take away" and listed:
        return without_row(tables, draw(st.sampled_from(listed)))
    named = [place for place in listed if schema_name(place) in ("drill.box", "mix")]
    if what == "rename" and named:
        return renamed(
            tables,
            draw(st.sampled_from(named)),
            value_of(CONTROLS["mix", "name"], {"text": draw(TEXTS)}) or "",
        )
    place = draw(st.sampled_from(places))
    key = draw(st.sampled_from(SHEETS[schema_name(place)].boxes)).key
    if what == "confirm":
        return confirmed(tables, place, key)
    control = CONTROLS[schema_name(place), key]
    parts = {name: draw(TEXTS) for name in control.names}
    if "unit" in parts:
        parts["unit"] = draw(st.sampled_from(("", *control.units)))
    return with_value(tables, place, key, value_of(control, parts))


def _places(tables: dict[str, Any]) -> list[Place]:
    places: list[Place] = [(name,) for name in SHEETS if "." not in name and name not in ("mix", "field")]
    for listed in (("drill", "box"), ("drill", "chart"), ("mix",)):
        places += [(*listed, k) for k in range(len(rows_at(tables, listed)))]
    for m in range(len(rows_at(tables, ("mix",)))):
        places += [("mix", m, "component", c) for c in range(len(rows_at(tables, ("mix", m, "component"))))]
    return [*places, ("field", "north"), ("field", "RP 1.2")]


def _in_one_order(said: tuple[Any, ...]) -> list[Any]:
    """Problems and notes stand in the order of the tables, which a file that was there keeps as it has them."""
    return sorted(said, key=repr)


@slowly(80)
@given(typed(), st.booleans())
def test_a_typed_job_written_and_read_again_is_the_same(tables: dict[str, Any], over_another: bool) -> None:
    """The same job with the same notes, or the same problems; over a file that was there, or as a new one."""
    before = (SAMPLES / "restoration.toml").read_text(encoding="utf-8") if over_another else ""
    written = parsed(job_text(tables, before).encode("utf-8"), PATH, JOB_FILE)
    here, there = examined(tables, PATH), examined(written, PATH)
    assert _in_one_order(there.problems) == _in_one_order(here.problems)
    assert _in_one_order(there.notes) == _in_one_order(here.notes)
    assert (there.job is None) == (here.job is None)
    if here.job and there.job:
        assert replace(there.job, notes=()) == replace(here.job, notes=())
    assert not here.problems or here.job is None


@slowly(60)
@given(typed())
def test_what_stands_in_the_boxes_gives_the_tables_back(tables: dict[str, Any]) -> None:
    """Nothing that was typed is lost: every box, left as it is shown, holds the value that it was made of."""
    for place in _places(tables):
        for box in SHEETS[schema_name(place)].boxes:
            control = CONTROLS[schema_name(place), box.key]
            value = _value(tables, place, box.key)
            if value is not None:
                assert value_of(control, parts_of(control, value)) == value


def _value(tables: Any, place: Place, key: str) -> Any:
    for part in place:
        tables = tables[part] if isinstance(part, int) else tables.get(part, {})
    return tables.get(key)


ODD = st.recursive(
    st.one_of(st.booleans(), st.integers(-5, 10**12), st.floats(allow_nan=False), TEXTS),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.dictionaries(
            st.sampled_from(
                [*SHEETS["drill"].boxes, *SHEETS["mix.component"].boxes, *SHEETS["field"].boxes]
            ).map(lambda box: box.key)
            | st.sampled_from(["box", "chart", "component", "meant", "use", "name", "anything"]),
            inner,
            max_size=4,
        ),
    ),
    max_leaves=12,
)


@slowly(80)
@given(st.dictionaries(st.sampled_from([*SHEETS, "target", "other"]), ODD, max_size=5))
@example({"drill": {"box": {"name": "grain", "volume": 5}}, "cost": {"when": "outside"}})
@example({"mix": {"name": 4, "component": {"species": 4}}, "field": {"north": [1], "south": "x"}})
@example({"drill": [{"rows": 3}, 4], "booking": {"days_off": "Sunday", "start": 5}, "working": 7})
def test_a_form_of_any_tables_can_be_shown_and_typed_into(tables: dict[str, Any]) -> None:
    """A job file that somebody wrote by hand may hold anything: it is shown, and each box of it takes a value."""
    form = Form(tables=tables, found=examined(tables, PATH))
    parts = frames(form)
    assert all(form.filled(part) for name, part in parts.items() if name != "job")
    for place, key in dict(form.spots.values()).items():
        changed = with_value(tables, place, key, "12")
        assert value_at(changed, place, key) == "12"
        assert {**table_at(tables, place), key: "12"} == table_at(changed, place)
        if isinstance(place[-1], int):
            assert len(rows_at(changed, place[:-1])) == len(rows_at(tables, place[:-1]))
        assert examined(changed, PATH).job is None
    assert all(leaves(Desk(draft=Draft(tables=tables))).values())
