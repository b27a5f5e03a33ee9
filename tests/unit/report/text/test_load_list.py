"""What stands in the tables of the load list and of the boxes: a column that would hold dashes alone is left out."""

from __future__ import annotations

from fieldplan.model.plan import Plan
from fieldplan.report.documents.load_list import DROPS_HEADER, load_list_parts
from fieldplan.report.text.seed_page import seed_page
from fieldplan.report.words.quantities import Quantities

Q = Quantities("us")


def test_carrier_has_a_column_only_where_there_is_some(ponds: Plan, restoration: Plan) -> None:
    """One job has none; of the other each trip that puts some down says how much, and no trip a column of dashes."""
    drops = {
        plan.job.path.name: [
            part for part in load_list_parts(plan, Q) if part.header[:4] == DROPS_HEADER[:4]
        ]
        for plan in (ponds, restoration)
    }
    assert {part.header for part in drops["farm.toml"]} == {DROPS_HEADER[:-1]}
    with_carrier = [part for part in drops["restoration.toml"] if part.header == DROPS_HEADER]
    assert with_carrier
    assert all(any(row[-1] != "–" for row in part.rows) for part in with_carrier)
    for part in (*drops["farm.toml"], *drops["restoration.toml"]):
        assert {len(row) for row in part.rows} == {len(part.header)}
    assert "carrier (of weight)" not in seed_page(ponds, "ponds.gpkg", Q, labels=False)
    assert "carrier (of weight)" in seed_page(restoration, "restoration.zip", Q, labels=False)
