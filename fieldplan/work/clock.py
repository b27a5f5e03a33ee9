"""The route on a clock: every leg with its start and length, and the hours by part."""

from __future__ import annotations

from collections.abc import Sequence

from shapely import LineString

from fieldplan.model.coverage import Leg
from fieldplan.model.job import WorkingTerms
from fieldplan.model.notes import Note
from fieldplan.model.work import FieldTime, TimedLeg
from fieldplan.work.capacity import handbook_s, theoretical_capacity_m2_per_s

HandbookRange = tuple[float, float]


def leg_s(leg: Leg, working: WorkingTerms) -> float:
    """How long a leg takes: sown legs at field speed, lifted ones at turn speed, a turn with its fixed extra."""
    if leg.sown:
        return leg.length_m / working.field_speed_m_per_s
    if leg.kind == "turn":
        return leg.length_m / working.turn_speed_m_per_s + working.turn_extra_s
    if leg.kind == "transfer":
        return leg.length_m / working.turn_speed_m_per_s
    return {"refill": working.refill_time_s, "check": working.tube_check_s, "break": working.break_s}[leg.kind]


def field_time(
    field_id: str,
    legs: Sequence[Leg],
    plantable_m2: float,
    width_m: float,
    working: WorkingTerms,
    handbook_efficiency_frac: HandbookRange,
    expected_efficiency_frac: HandbookRange,
) -> FieldTime:
    """The clock of one field beside the handbook's time for it.

    Field efficiency = plantable area / (width × field speed × field time), field time being everything between entering
    and leaving the field. Ground sown more than once counts once, so a field sown twice over has half the efficiency.
    Where nothing is driven there is no time, no efficiency and nothing to compare with the handbook.
    """
    if not legs:
        return FieldTime(
            legs=(), drilling_s=0.0, turning_s=0.0, travelling_s=0.0, refilling_s=0.0, checking_s=0.0, breaks_s=0.0, handbook_s=(0.0, 0.0),
            field_efficiency_frac=None, field_capacity_m2_per_s=None,
        )  # fmt: skip
    timed: list[TimedLeg] = []
    spent = dict.fromkeys(("drilling", "turning", "travelling", "refilling", "checking", "breaks"), 0.0)
    now = since = 0.0
    stretches = _with_checks(legs, working)
    for number, leg in enumerate(stretches):
        duration = leg_s(leg, working)
        timed.append(TimedLeg(leg=leg, start_s=now, duration_s=duration))
        spent[_PART[leg.kind]] += duration
        now += duration
        if working.break_s > 0 and leg.sown and now - since >= working.break_every_s and number < len(stretches) - 1:
            pause = Leg(kind="break", line=LineString([leg.line.coords[-1]] * 2), length_m=0.0, sowing=leg.sowing)
            timed.append(TimedLeg(leg=pause, start_s=now, duration_s=working.break_s))
            spent["breaks"] += working.break_s
            now += working.break_s
            since = now
    full_speed = theoretical_capacity_m2_per_s(width_m, working.field_speed_m_per_s)
    efficiency = plantable_m2 / (full_speed * now)
    low, high = handbook_s(plantable_m2, width_m, working.field_speed_m_per_s, handbook_efficiency_frac)
    return FieldTime(
        legs=tuple(timed),
        drilling_s=spent["drilling"],
        turning_s=spent["turning"],
        travelling_s=spent["travelling"],
        refilling_s=spent["refilling"],
        checking_s=spent["checking"],
        breaks_s=spent["breaks"],
        handbook_s=(low * working.sowings, high * working.sowings),
        field_efficiency_frac=efficiency,
        field_capacity_m2_per_s=plantable_m2 / now,
        notes=_efficiency_note(
            field_id, efficiency * working.sowings, expected_efficiency_frac, spent, now, with_breaks=working.break_s > 0
        ),
    )


_PART = {
    "headland": "drilling", "pass": "drilling", "turn": "turning", "transfer": "travelling", "refill": "refilling",
    "check": "checking", "break": "breaks",
}  # fmt: skip
_WORDS = {
    "drilling": "sowing ground twice", "turning": "turns", "travelling": "driving lifted", "refilling": "refills",
    "checking": "tube checks", "breaks": "breaks",
}  # fmt: skip


def _with_checks(legs: Sequence[Leg], working: WorkingTerms) -> list[Leg]:
    """The route with a tube check before the first sown leg and after each refill, if checks take time."""
    if working.tube_check_s == 0:
        return list(legs)
    checked: list[Leg] = []
    due = True
    for leg in legs:
        if leg.sown and due:
            start = leg.line.coords[0]
            checked.append(Leg(kind="check", line=LineString([start, start]), length_m=0.0, sowing=leg.sowing))
            due = False
        checked.append(leg)
        due = due or leg.kind == "refill"
    return checked


def _efficiency_note(
    field_id: str, efficiency: float, expected: HandbookRange, spent: dict[str, float], total_s: float, *, with_breaks: bool
) -> tuple[Note, ...]:
    low, high = expected
    if low <= efficiency <= high:
        return ()
    values = {"efficiency_frac": efficiency, "low_frac": low, "high_frac": high}
    if efficiency > high:
        left_out = "plugging and adjusting" if with_breaks else "breaks, plugging and adjusting"
        reason = f"long runs and few stops; {left_out} are not on the clock"
    else:
        part = max((p for p in spent if p != "drilling"), key=lambda p: spent[p])
        reason = f"{{part_frac}} of the time goes into {_WORDS[part]} in a field this small or odd"
        values["part_frac"] = spent[part] / total_s
    digits = 1 if min(abs(efficiency - low), abs(efficiency - high)) < 0.005 else 0
    return (Note(code="efficiency-unusual", field_id=field_id, values=values, told=(
        f"Field efficiency is {{efficiency_frac:{digits}}}, {'above' if efficiency > high else 'below'} the usual {{low_frac}} to "
        f"{{high_frac}}: {reason}.")),)  # fmt: skip
