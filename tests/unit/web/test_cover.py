"""What is in the way of a plan, as the cover says it: short, and with a way to where it is asked."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from desks import TODAY, sample_draft

from fieldplan.report.words.quantities import Quantities
from fieldplan.web.parts.cover import problems_html
from fieldplan.web.worker import Asked, Known, answer_to


def test_fields_without_a_mix_are_counted_and_not_listed(tmp_path: Path) -> None:
    """A crew that has just dropped its parcels reads one line that leads to the job, no job file's spelling."""
    draft = sample_draft("restoration.toml", "restoration.zip")
    bare = tuple(
        replace(one, attributes={"id": one.attributes["id"]}) if one.layer == "fields" else one
        for one in draft.ground
    )
    asked = Asked(number=1, draft=replace(draft, ground=bare), folder=tmp_path, today=TODAY)
    answer = answer_to(asked, Known())
    n_fields = len(draft.of_layer("fields"))
    html = problems_html(answer.problems, Quantities("us"))
    assert [one.code for one in answer.problems] == ["mix-unknown"] * n_fields
    assert html.count("<li>") == 1
    assert f"{n_fields} things to fill in" in html
    assert "[field." not in html
    assert str(tmp_path) not in html
