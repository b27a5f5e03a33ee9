"""Carry-over seed: what stays in the boxes from field to field, or is emptied, bagged and kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from fieldplan.model.budget import BoxBudget, BoxChange, SeedBudget

_Contents = tuple[tuple[str, str, float], ...]
_MIN_KG = 1e-6


@dataclass(frozen=True, slots=True)
class CarryOver:
    """Seed that earlier fields left.

    Parameters
    ----------
    in_boxes
        By box: the mix, the budget it was filled by, and the seed and carrier left in it, in kg.
    bagged
        By box and contents: what was emptied from it and kept, in kg.
    """

    in_boxes: Mapping[str, tuple[str, BoxBudget, float]] = field(default_factory=dict)
    bagged: Mapping[tuple[str, _Contents], float] = field(default_factory=dict)

    def changes(self, seed: SeedBudget) -> tuple[BoxChange, ...]:
        """What to do to each box before a field: use what is left, empty it first, pour seed back in.

        Parameters
        ----------
        seed
            Seed of the field that comes next. Boxes that it does not use are left alone.
        """
        made = []
        for box in seed.boxes:
            mix, before, kg = self.in_boxes.get(box.box, ("", None, 0.0))
            if before is not None and before.contents == box.contents:
                if kg > _MIN_KG:
                    made.append(BoxChange(box=box.box, kind="in the box", mix=mix, kg=kg))
                continue
            if before is not None:
                emptied_kg = kg if kg > _MIN_KG else 0.0
                made.append(BoxChange(box=box.box, kind="empty first", mix=mix, kg=emptied_kg))
            kept_kg = self.bagged.get((box.box, box.contents), 0.0)
            if kept_kg > _MIN_KG:
                made.append(BoxChange(box=box.box, kind="tip back", mix=seed.mix, kg=kept_kg))
        return tuple(made)

    def after(self, seed: SeedBudget, left_kg: Mapping[str, float]) -> CarryOver:
        """The carry-over once a field is sown.

        Parameters
        ----------
        left_kg
            By box of the field: the seed and carrier left in it, in kg.
        """
        bagged = dict(self.bagged)
        for box in seed.boxes:
            _, before, kg = self.in_boxes.get(box.box, ("", None, 0.0))
            if before is not None and before.contents != box.contents:
                bagged[box.box, before.contents] = kg
            bagged.pop((box.box, box.contents), None)
        filled = {box.box: (seed.mix, box, left_kg[box.box]) for box in seed.boxes}
        return CarryOver({**self.in_boxes, **filled}, bagged)


def in_boxes_m3(seed: SeedBudget, changes: Iterable[BoxChange]) -> dict[str, float]:
    """The volume, in m³, that each box already holds of what the field sows, for boxes that hold any."""
    carry_over_kg = {change.box: change.kg for change in changes if change.kind != "empty first"}
    return {
        box.box: carry_over_kg[box.box] / box.load_kg_per_m3
        for box in seed.boxes
        if box.box in carry_over_kg
    }


def later_m3(seed: SeedBudget, following: Iterable[SeedBudget]) -> dict[str, float]:
    """The volume, in m³, that later fields sow of the same contents, by box of the field.

    Parameters
    ----------
    seed
        Seed of the field itself.
    following
        Seed of the fields after it.
    """
    still_m3 = {(box.box, box.contents): 0.0 for box in seed.boxes}
    for box in (box for budget in following for box in budget.boxes):
        if (box.box, box.contents) in still_m3:
            still_m3[box.box, box.contents] += (box.sown_bulk_kg + box.carrier_kg) / box.load_kg_per_m3
    return {name: volume_m3 for (name, _), volume_m3 in still_m3.items()}
