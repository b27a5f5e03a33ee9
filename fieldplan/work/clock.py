"""The route on a clock: each leg with its start and duration, and the hours by part."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely import LineString, MultiPolygon

from fieldplan.facts import Value, fact
from fieldplan.model.coverage import Leg, LegKind
from fieldplan.model.job import WorkingTerms
from fieldplan.model.notes import Note
from fieldplan.model.work import FieldTime, TimedLeg, TimePart, spent_s
from fieldplan.work.capacity import handbook_s, theoretical_capacity_m2_per_s

HandbookRange = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeKind:
    """A part of the hours in a field.

    Parameters
    ----------
    key
        Key of the part, as in `TimePart`.
    legs
        The kinds of legs that belong to it.
    leg_s
        How long one of them takes, in s.
    asked
        Which jobs count it; ``None`` if all do.
    """

    key: str
    legs: tuple[LegKind, ...]
    leg_s: Callable[[Leg, WorkingTerms], float]
    asked: Callable[[WorkingTerms], bool] | None = None

    def counted(self, working: WorkingTerms) -> bool:
        """Whether a job counts this part at all."""
        return self.asked is None or self.asked(working)


def _driven_s(leg: Leg, working: WorkingTerms) -> float:
    """Time to drive a lifted leg: its own if it backs up, else length / turning speed."""
    return leg.drive_s or leg.length_m / working.turn_speed_m_per_s


KINDS = (
    TimeKind(
        key="drilling",
        legs=("headland", "pass"),
        leg_s=lambda leg, working: leg.drive_s or leg.length_m / working.field_speed_m_per_s,
    ),
    TimeKind(
        key="turning",
        legs=("turn",),
        leg_s=lambda leg, working: _driven_s(leg, working) + working.turn_extra_s,
    ),
    TimeKind(
        key="travelling",
        legs=("transfer",),
        leg_s=_driven_s,
    ),
    TimeKind(key="refilling", legs=("refill",), leg_s=lambda _, working: working.refill_time_s),
    TimeKind(
        key="checking",
        legs=("check",),
        leg_s=lambda _, working: working.tube_check_s,
        asked=lambda working: working.tube_check_s > 0,
    ),
    TimeKind(
        key="breaks",
        legs=("break",),
        leg_s=lambda _, working: working.break_s,
        asked=lambda working: working.break_s > 0,
    ),
)
"""All parts, in the order of the outputs. Traveling is everything driven lifted except turns."""
KIND_OF: Mapping[LegKind, TimeKind] = {leg: kind for kind in KINDS for leg in kind.legs}


def leg_s(leg: Leg, working: WorkingTerms) -> float:
    """How long a leg takes, in s.

    Sown legs: length / field speed, or what `slowed` says. Turns: length / turn speed + extra time of a turn. Other lifted legs:
    length / turn speed. Stops: their time in the working terms.
    """
    return KIND_OF[leg.kind].leg_s(leg, working)


def slowed(legs: Sequence[Leg], steep: MultiPolygon, working: WorkingTerms) -> list[Leg]:
    """The legs with the time that sown ones take where part of them is on steep ground, at the speed for hills."""
    if steep.is_empty or working.hill_speed_m_per_s is None:
        return list(legs)
    slower = 1 / working.hill_speed_m_per_s - 1 / working.field_speed_m_per_s
    on_steep_m = shapely.length(shapely.intersection([leg.line for leg in legs], steep))
    return [
        replace(leg, drive_s=leg.length_m / working.field_speed_m_per_s + float(steep_m) * slower)
        if leg.sown and steep_m > 0
        else leg
        for leg, steep_m in zip(legs, on_steep_m, strict=True)
    ]


def field_time(
    field_id: str,
    legs: Sequence[Leg],
    plantable_m2: float,
    width_m: float,
    working: WorkingTerms,
    handbook_efficiency_frac: HandbookRange,
    expected_efficiency_frac: HandbookRange,
) -> FieldTime:
    """The clock of one field beside the hours by the handbook.

    Field efficiency = plantable area / (width × field speed × field time); field time is everything
    between entering and leaving the field. Ground sown more than once counts once, so a field that is sown
    twice has half the efficiency.

    Parameters
    ----------
    legs
        The route with its refill stops; tube checks and breaks are added here.
    handbook_efficiency_frac
        Lowest and highest field efficiency for the hours by the handbook.
    expected_efficiency_frac
        The usual range of field efficiency; outside it the result has a note.

    Returns
    -------
    FieldTime
        Without legs, efficiency or capacity where nothing is driven.
    """
    timed = _timed(_with_checks(legs, working), working)
    parts = _parts(timed, working)
    if not timed:
        return FieldTime(
            legs=(),
            parts=parts,
            handbook_s=(0.0, 0.0),
            field_efficiency_frac=None,
            field_capacity_m2_per_s=None,
        )
    field_s = spent_s(parts)
    efficiency = plantable_m2 / (
        theoretical_capacity_m2_per_s(width_m, working.field_speed_m_per_s) * field_s
    )
    low, high = handbook_s(plantable_m2, width_m, working.field_speed_m_per_s, handbook_efficiency_frac)
    return FieldTime(
        legs=timed,
        parts=parts,
        handbook_s=(low * working.sowings, high * working.sowings),
        field_efficiency_frac=efficiency,
        field_capacity_m2_per_s=plantable_m2 / field_s,
        notes=_efficiency_note(field_id, efficiency * working.sowings, expected_efficiency_frac, parts),
    )


def _timed(legs: Sequence[Leg], working: WorkingTerms) -> tuple[TimedLeg, ...]:
    """The route on the clock, with breaks, if breaks take time.

    A break comes after the first sown leg that ends ``break_every_s`` or more after the last break, but
    never at the end of the route.
    """
    timed, now_s, last_break_s = list[TimedLeg](), 0.0, 0.0
    for number, leg in enumerate(legs, start=1):
        duration_s = leg_s(leg, working)
        timed.append(TimedLeg(leg=leg, start_s=now_s, duration_s=duration_s))
        now_s += duration_s
        is_due = working.break_s > 0 and now_s - last_break_s >= working.break_every_s
        if is_due and leg.sown and number < len(legs):
            stop = _stop("break", leg.line.coords[-1], leg.sowing)
            timed.append(TimedLeg(leg=stop, start_s=now_s, duration_s=working.break_s))
            now_s += working.break_s
            last_break_s = now_s
    return tuple(timed)


def _parts(timed: Iterable[TimedLeg], working: WorkingTerms) -> tuple[TimePart, ...]:
    spent = dict.fromkeys((kind.key for kind in KINDS), 0.0)
    for timed_leg in timed:
        spent[KIND_OF[timed_leg.leg.kind].key] += timed_leg.duration_s
    return tuple(
        TimePart(key=kind.key, spent_s=spent[kind.key], counted=kind.counted(working)) for kind in KINDS
    )


def _with_checks(legs: Sequence[Leg], working: WorkingTerms) -> list[Leg]:
    """The route with a tube check before the first sown leg and after each refill, if checks take time."""
    if working.tube_check_s == 0:
        return list(legs)
    checked: list[Leg] = []
    due = True
    for leg in legs:
        if leg.sown and due:
            checked.append(_stop("check", leg.line.coords[0], leg.sowing))
            due = False
        checked.append(leg)
        due = due or leg.kind == "refill"
    return checked


def _stop(kind: LegKind, at: tuple[float, ...], sowing: int) -> Leg:
    return Leg(kind=kind, line=LineString([at, at]), length_m=0.0, sowing=sowing)


def _efficiency_note(
    field_id: str, efficiency: float, expected: HandbookRange, parts: Sequence[TimePart]
) -> tuple[Note, ...]:
    low, high = expected
    if low <= efficiency <= high:
        return ()
    close = min(abs(efficiency - low), abs(efficiency - high)) < 0.005  # the same in whole percent
    values: dict[str, Value] = {"efficiency_frac": efficiency, "low_frac": low, "high_frac": high}
    if efficiency > high:
        breaks = any(part.counted for part in parts if part.key == "breaks")
        values["left_out"] = fact("off-the-clock/breaks-counted" if breaks else "off-the-clock")
        note = Note(code="efficiency-unusual", case="just-above" if close else "above", values=values)
    else:
        longest = max((part for part in parts if part.key != "drilling"), key=lambda part: part.spent_s)
        values |= {"part": longest.name, "part_frac": longest.spent_s / spent_s(parts)}
        note = Note(code="efficiency-unusual", case="just-below" if close else "below", values=values)
    return (replace(note, field_id=field_id),)
