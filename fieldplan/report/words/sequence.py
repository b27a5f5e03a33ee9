"""The order of rounds and passes as sentences: what stands on the sheet, on the HTML page and in plan.json."""

from __future__ import annotations

from collections.abc import Sequence

from fieldplan.facts import Fact, Value, case_of, fact
from fieldplan.model.coverage import Coverage
from fieldplan.model.plan import FieldPlan
from fieldplan.model.sequence import Again, Driven, PassesDriven, RoundsDriven, Step
from fieldplan.report.words.places import compass
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence

MAX_BY_HAND = 40
"""An order with more moves than this, repeated ones counted once, is hard to keep to without guidance."""


def sequence_lines(field: FieldPlan, q: Quantities) -> list[str]:
    """The order of rounds and passes of a field, a line for each stretch that one rule leads through.

    Parameters
    ----------
    field
        The field that is driven.
    q
        The reader's units.
    """
    return [sentence(fact_of, q) for fact_of in sequence_facts(field.coverage, field.sequence)]


def rule_line(field: FieldPlan, q: Quantities) -> str:
    """How the lines with skips are read, and whether anybody can keep to them by hand; empty where there are none."""
    n_moves = sum(len(one.steps) for one in field.sequence if isinstance(one, PassesDriven))
    if not n_moves:
        return ""
    rule = sentence(fact("drive-rule", width_m=field.coverage.drill_width_m), q)
    is_plain = any(note.code == "order-plain" for note in field.coverage.notes)
    if is_plain or n_moves <= MAX_BY_HAND:
        return rule
    by_hand = sentence(fact("drive-by-hand", n_moves=n_moves), q)
    return f"{by_hand} {rule}"


def sequence_facts(coverage: Coverage, sequence: Sequence[Driven]) -> list[Fact]:
    """What is said of each stretch of a sequence, in its order.

    Parameters
    ----------
    coverage
        The rounds and blocks: where there is one block or one sowing only, it is not named.
    sequence
        The stretches.
    """
    n_blocks = max(
        (sum(block.n_passes > 0 for block in sowing.blocks) for sowing in coverage.sowings), default=0
    )
    of_rounds = [one for one in sequence if isinstance(one, RoundsDriven) and not one.around]
    facts = []
    for one in sequence:
        several = len(coverage.sowings) > 1
        sowing: Value = fact("drive-sowing", n_sowing=one.sowing) if several else ""
        if isinstance(one, RoundsDriven):
            facts.append(_rounds(one, sowing, placed=len(of_rounds) > len(coverage.sowings)))
        else:
            facts.append(_passes(one, sowing, several_blocks=n_blocks > 1))
    return facts


def _rounds(one: RoundsDriven, sowing: Value, *, placed: bool) -> Fact:
    whole = one.rounds[0] == 1 or one.rounds[-1] == 1
    inward = (one.rounds[0] < one.rounds[-1]) != bool(one.around)
    order: Value = ""
    if len(one.rounds) > 1:
        order = case_of("drive-order", "inward" if inward else "outward")
    side = compass((one.edge_deg + (180.0 if one.around else 0.0)) % 360.0)
    values: dict[str, Value] = {
        "sowing": sowing,
        "order": order,
        "around": one.around,
        "n_rounds": len(one.rounds),
        "round": one.rounds[0],
        "begins": compass(one.begins_at_deg),
        "toward": compass(one.toward_deg),
        "where": fact("drive-edge/around", side=side) if one.around else fact("drive-edge", side=side),
        "way": fact("drive-way/clockwise") if one.clockwise else fact("drive-way/counterclockwise"),
    }
    if placed and not one.around:
        numbers: Value = tuple(str(number) for number in one.rounds)
        if one.rounds == tuple(range(one.rounds[0], one.rounds[-1] + 1)) and len(one.rounds) > 1:
            numbers = fact("drive-rounds/some", n_first=one.rounds[0], n_last=one.rounds[-1])
        return Fact("drive-rounds/placed", {**values, "numbers": numbers, "start_lonlat": one.start_lonlat})
    if one.around:
        return Fact("drive-rounds/around" if whole else "drive-rounds/around-one", values)
    return Fact("drive-rounds/edge" if whole else "drive-rounds/one", values)


def _passes(one: PassesDriven, sowing: Value, *, several_blocks: bool) -> Fact:
    some = fact("drive-numbers/some", n_first=one.first, n_last=one.last)
    values: dict[str, Value] = {
        "sowing": sowing,
        "passes": some if one.n_passes > 1 else fact("drive-numbers/one", n_first=one.first),
        "n_block": one.block if several_blocks else "",
        "end": compass(one.begins_at_deg),
    }
    if one.bent:
        following: Value = fact("drive-nearest") if one.n_passes > 1 else ""
        return Fact(
            "drive-passes/bent", {**values, "start_lonlat": one.start_lonlat, "following": following}
        )
    if one.alone:
        return Fact("drive-passes/alone", values)
    values |= {
        "n_strip": one.strip,
        "side": compass(one.counted_from_deg),
        "n_part": one.part if one.n_parts > 1 else "",
        "n_parts": one.n_parts,
        "steps": _steps(one.steps, one.counted_from_deg),
    }
    return Fact("drive-passes", values)


def _steps(steps: Sequence[Step], counted_from_deg: float) -> tuple[Value, ...]:
    return tuple(_step(step, counted_from_deg) for step in steps)


def _step(step: Step, counted_from_deg: float) -> Fact:
    if isinstance(step, Again):
        steps = _steps(step.steps, counted_from_deg)
        several = len(steps) > 1 or isinstance(step.steps[0], Again)
        return Fact(
            "drive-again/several" if several else "drive-again", {"n_times": step.times, "steps": steps}
        )
    side = compass(counted_from_deg + 180.0 if step > 0 else counted_from_deg)
    if step == 0:
        return fact("drive-move/same")
    if abs(step) == 1:
        return fact("drive-move/beside", side=side)
    return fact("drive-move/skip", n_skipped=abs(step) - 1, side=side)
