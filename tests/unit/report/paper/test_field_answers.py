"""What the sheet of a field says of hazards and of an order that is hard to keep to by hand."""

from __future__ import annotations

from dataclasses import replace

from fieldplan.model.notes import Note
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.report.paper.field_answers import answers
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sequence import rule_line

US = Quantities("us")


def _said(plan: Plan, field: FieldPlan) -> dict[str, str]:
    fields = tuple(field if one.field is field.field else one for one in plan.fields)
    return {answer.name: answer.text for answer in answers(replace(plan, fields=fields), field, US)}


def test_a_route_that_backs_up_brings_its_cautions(ponds: Plan) -> None:
    """Openers up, nobody behind; without backing, nothing is said of it."""
    field = ponds.driven[0]
    legs = tuple(replace(leg, reverse_m=0.0) for leg in field.supply.legs)
    forward = replace(field, supply=replace(field.supply, legs=legs))
    backing = replace(
        field, supply=replace(field.supply, legs=(replace(legs[0], reverse_m=5.0), *legs[1:]))
    )
    care = "before backing: openers up, nobody behind"
    assert care not in _said(ponds, forward)["Turns"]
    assert care in _said(ponds, backing)["Turns"]


def test_a_slope_that_nobody_gave_is_not_known(ponds: Plan) -> None:
    """The sheet says so, rather than nothing."""
    field = ponds.driven[0]
    assert field.hills is None
    assert "Slope" not in _said(ponds, field)
    assert _said(ponds, field)["Ground"].endswith("; slope not known")


def test_an_order_of_many_moves_is_said_to_want_guidance(ponds: Plan) -> None:
    """Nobody counts hundreds of moves; the plain order, whose moves repeat, is only explained."""
    field = max(ponds.driven, key=lambda one: len(one.sequence))
    assert "drive this by guidance" in rule_line(field, US)
    coverage = replace(field.coverage, notes=(*field.coverage.notes, Note(code="order-plain")))
    assert rule_line(replace(field, coverage=coverage), US).startswith(
        "Turn round at the end of each pass."
    )
