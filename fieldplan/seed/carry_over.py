"""What boxes hold from field to field: seed of a mix that is still to be sown stays in, or is emptied and
kept when another comes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from fieldplan.model.budget import BoxBudget, BoxChange, SeedBudget

_Contents = tuple[tuple[str, str, float], ...]
_MIN_KG = 1e-6


@dataclass(frozen=True, slots=True)
class CarryOver:
    """What each box was last filled with: its mix, its budget and the kilograms left; and by box and
    contents what was emptied and kept.
    """

    in_boxes: Mapping[str, tuple[str, BoxBudget, float]] = field(default_factory=dict)
    bagged: Mapping[tuple[str, _Contents], float] = field(default_factory=dict)

    def changes(self, seed: SeedBudget) -> tuple[BoxChange, ...]:
        """What to do to each box before a field is begun: go on, empty it first, tip emptied seed back
        in.
        """
        made = []
        for box in seed.boxes:
            mix, before, kg = self.in_boxes.get(box.box, ("", None, 0.0))
            if before is not None and before.contents == box.contents:
                if kg > _MIN_KG:
                    made.append(BoxChange(box=box.box, kind="in the box", mix=mix, kg=kg))
                continue
            if before is not None:
                made.append(
                    BoxChange(box=box.box, kind="empty first", mix=mix, kg=kg if kg > _MIN_KG else 0.0)
                )
            kept_kg = self.bagged.get((box.box, box.contents), 0.0)
            if kept_kg > _MIN_KG:
                made.append(BoxChange(box=box.box, kind="tip back", mix=seed.mix, kg=kept_kg))
        return tuple(made)

    def after(self, seed: SeedBudget, left_kg: Mapping[str, float]) -> CarryOver:
        """What is held once a field is sown and so much is left in its boxes."""
        bagged = dict(self.bagged)
        for box in seed.boxes:
            _, before, kg = self.in_boxes.get(box.box, ("", None, 0.0))
            if before is not None and before.contents != box.contents:
                bagged[box.box, before.contents] = kg
            bagged.pop((box.box, box.contents), None)
        return CarryOver(
            {**self.in_boxes, **{box.box: (seed.mix, box, left_kg[box.box]) for box in seed.boxes}}, bagged
        )


def in_boxes_m3(seed: SeedBudget, changes: Iterable[BoxChange]) -> dict[str, float]:
    """Volume of its own contents that a box holds when a field is begun, for those that hold any."""
    carry_over_kg = {change.box: change.kg for change in changes if change.kind != "empty first"}
    return {
        box.box: carry_over_kg[box.box] / box.load_kg_per_m3
        for box in seed.boxes
        if box.box in carry_over_kg
    }


def later_m3(seed: SeedBudget, following: Iterable[SeedBudget]) -> dict[str, float]:
    """Volume that is still to be sown of what each box holds once a field is sown: on later fields, from
    the same box.
    """
    wanted = {(box.box, box.contents): 0.0 for box in seed.boxes}
    for box in (box for one in following for box in one.boxes):
        if (box.box, box.contents) in wanted:
            wanted[box.box, box.contents] += (box.sown_bulk_kg + box.carrier_kg) / box.load_kg_per_m3
    return {name: volume for (name, _), volume in wanted.items()}
