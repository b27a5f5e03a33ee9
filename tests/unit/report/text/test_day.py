"""What is said of seed that runs out when the drill sows heavy: on the terminal, and on the sheet the same."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest

from fieldplan.model.budget import RunOut
from fieldplan.model.plan import Plan
from fieldplan.report.paper.field_sheet import sheet_of
from fieldplan.report.text.plan.day import short_day_lines
from fieldplan.report.text.plan_page import page, whole_page
from fieldplan.report.words.quantities import Quantities
from fieldplan.units import ACRE_M2

ASKED = 0.23


def _ends(plan: Plan) -> list[RunOut]:
    """Where the seed of each box of each mix ends at 23 %."""
    return [one for one in plan.run_outs if one.heavy_frac == ASKED]


@pytest.mark.parametrize("printed", [page, whole_page])
def test_seed_runs_out_at_the_same_acre_everywhere(restoration: Plan, printed: Any) -> None:
    """The parcel and its acres in the table of the day are those of the plan, and of the sheet of that parcel."""
    q = Quantities("us")
    text = printed(restoration, "restoration.zip", q)
    day = text[text.index("ON THE DAY") :].split("\n\n")[0]
    rows = [line.split() for line in day.splitlines()[2:] if re.search(r"lb/ac", line)]
    ends = _ends(restoration)
    assert len(rows) == len(ends) > 3
    sheets = {
        field.field.field_id: dict(sheet_of(restoration, field, q)["answers"])["If it sows 23 % heavy"]
        for field in restoration.driven
    }
    for row, run_out in zip(rows, ends, strict=True):
        assert run_out.box in row
        end = run_out.ends
        if end is None:
            assert "lasts" in row
            continue
        acres = f"{end.sown_m2 / ACRE_M2:.2f}"
        assert end.field_id in row
        assert acres in row
        assert f"{run_out.box} runs out here after {acres} of " in sheets[end.field_id]


def test_of_one_field_the_acres_alone_are_said(restoration: Plan) -> None:
    """There is no other field at which its seed could run out."""
    first = restoration.driven[0]
    lines = short_day_lines(replace(restoration, fields=(first,)), Quantities("us"))
    ends = {one.box: one.ends for one in _ends(restoration) if one.mix == first.seed.mix}
    assert "out at +23 % after" in lines[0]
    for line in lines[1 : 1 + len(first.seed.boxes)]:
        end = ends[line.split()[0]]
        assert line.endswith("lasts" if end is None else f"{end.sown_m2 / ACRE_M2:.2f} ac")
        assert first.field.field_id not in line
