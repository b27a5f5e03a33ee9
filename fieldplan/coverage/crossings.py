"""How excluded ground is crossed with the drill raised: by how many passes, how far, and what is sown there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import shapely
from shapely import MultiPolygon

from fieldplan.facts import Value
from fieldplan.model.coverage import Coverage, Leg, Sowing
from fieldplan.model.notes import Note

NOTABLE_SOWN_FRAC = 0.25
"""If more of such ground than this share is sown, passes run along it rather than across."""
_MIN_CROSSED_M, _MIN_SOWN_M2 = 0.1, 1.0


def on_crossings(
    field_id: str, coverage: Coverage, ground_of: Mapping[str, MultiPolygon]
) -> tuple[Note, ...]:
    """A note for each kind of ground that passes or headland rounds go on across with the drill raised.

    Parameters
    ----------
    ground_of
        What is driven through, by the reason for which it is excluded, in plane meters.
    """
    raised = list(_raised(coverage.legs))
    notes = []
    for reason, ground in ground_of.items():
        shapely.prepare(ground)
        crossed = [(leg, number, shapely.intersection(leg.line, ground).length) for leg, number in raised]
        crossed = [found for found in crossed if found[2] > _MIN_CROSSED_M]
        sown_m2 = sum(_sown_m2(sowing, ground) for sowing in coverage.sowings)
        much = sown_m2 > NOTABLE_SOWN_FRAC * ground.area * len(coverage.sowings)
        if crossed or much:
            values: dict[str, Value] = {
                "reason": reason,
                "n_passes": len({(leg.sowing, number) for leg, number, _ in crossed if number}),
                "lifted_m": sum(length_m for *_, length_m in crossed),
                "sown_m2": sown_m2 if sown_m2 >= _MIN_SOWN_M2 else "",
            }
            case = "much-sown" if much else ""
            notes.append(
                Note(code="crossed-lifted", case=case, field_id=field_id, warning=much, values=values)
            )
    return tuple(notes)


def _raised(legs: Sequence[Leg]) -> Iterator[tuple[Leg, int]]:
    """The legs on which the drill is raised within a pass or a headland segment, each with the number of the
    pass; 0 on the headland.
    """
    for before, leg, after in zip(legs, legs[1:], legs[2:], strict=False):
        within = before.sown and (before.kind, before.number) == (after.kind, after.number)
        if leg.kind == "transfer" and within:
            yield leg, before.number if before.kind == "pass" else 0


def _sown_m2(sowing: Sowing, ground: MultiPolygon) -> float:
    """What one sowing sows of some ground."""
    grounds = sowing.swaths().grounds
    there = shapely.intersection(grounds[shapely.intersects(ground, grounds)], ground)
    return float(shapely.union_all(there).area)
