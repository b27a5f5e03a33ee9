"""What is said of ground that is crossed with the drill raised: by how many passes, how far, what is sown of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import shapely

from fieldplan.coverage.crossings import Crossed, Crossing, sown_of
from fieldplan.facts import Value
from fieldplan.model.coverage import Coverage, Leg, raised_within
from fieldplan.model.notes import Note

NOTABLE_SOWN_FRAC = 0.25
"""If more of such ground than this share is sown, passes run along it rather than across."""
_MIN_CROSSED_M, _MIN_SOWN_M2 = 0.1, 1.0


def on_crossings(field_id: str, crossed: Crossed) -> tuple[Note, ...]:
    """A note for each kind of ground that passes go on across, or could."""
    around = [_on_around(crossing, crossed) for crossing in crossed.around]
    through = [
        note
        for crossing in crossed.crossings
        if crossing not in crossed.around and (note := _on_through(crossing, crossed.coverage))
    ]
    return tuple(replace(note, field_id=field_id) for note in (*through, *around))


def _on_around(crossing: Crossing, crossed: Crossed) -> Note:
    sown_m2, longer_s = sown_of(crossed.through, crossing.ground), crossed.longer_s
    return Note(
        code="crossed-lifted",
        case="around" if longer_s > 0 else "around-sown",
        values={"reason": crossing.reason, "longer_s": abs(longer_s), "sown_m2": _notable(sown_m2)},
    )


def _on_through(crossing: Crossing, coverage: Coverage) -> Note | None:
    ground = crossing.ground
    crossed = [
        (number, length_m)
        for leg, number in _raised(coverage.legs)
        if (length_m := shapely.intersection(leg.line, ground).length) > _MIN_CROSSED_M
    ]
    sown_m2 = sown_of(coverage, ground)
    much = sown_m2 > NOTABLE_SOWN_FRAC * ground.area * len(coverage.sowings)
    if not crossed and not much:
        return None
    return Note(
        code="crossed-lifted",
        case="much-sown" if much else "",
        warning=much,
        values={
            "reason": crossing.reason,
            "n_passes": len({number for number, _ in crossed if number}),
            "lifted_m": sum(length_m for _, length_m in crossed),
            "sown_m2": _notable(sown_m2),
        },
    )


def _notable(sown_m2: float) -> Value:
    return sown_m2 if sown_m2 >= _MIN_SOWN_M2 else ""


def _raised(legs: Sequence[Leg]) -> Iterator[tuple[Leg, int]]:
    """The legs on which the drill is raised within a pass or a headland segment, each with the number of the
    pass; 0 on the headland.
    """
    for before, leg, raised in zip(legs, legs[1:], raised_within(legs)[1:], strict=False):
        if raised:
            yield leg, before.number if before.kind == "pass" else 0
