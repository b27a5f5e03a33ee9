"""What boxes hold from field to field: the least level stays in a box, and is emptied and kept when another mix comes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from fieldplan.model.budget import BoxBudget, BoxChange, SeedBudget

_Contents = tuple[tuple[str, str, float], ...]


@dataclass(frozen=True, slots=True)
class Held:
    """``in_boxes``: the mix and the budget by which each box was last filled; ``bagged``: mixes emptied from a box and kept."""

    in_boxes: Mapping[str, tuple[str, BoxBudget]] = field(default_factory=dict)
    bagged: frozenset[tuple[str, _Contents]] = frozenset()

    def changes(self, seed: SeedBudget) -> tuple[BoxChange, ...]:
        """What to do to each box before a field is begun: go on, empty it first, tip emptied seed back in."""
        made = []
        for box in seed.boxes:
            mix, before = self.in_boxes.get(box.box, ("", None))
            if before is not None and before.contents == box.contents:
                made.append(BoxChange(box=box.box, kind="in the box", mix=mix, kg=_least_kg(before)))
                continue
            if before is not None:
                made.append(BoxChange(box=box.box, kind="empty first", mix=mix, kg=_least_kg(before)))
            if (box.box, box.contents) in self.bagged:
                made.append(BoxChange(box=box.box, kind="tip back", mix=seed.mix, kg=_least_kg(box)))
        return tuple(made)

    def after(self, seed: SeedBudget) -> Held:
        """What is held once a field is sown."""
        emptied = {
            (box.box, before.contents)
            for box in seed.boxes
            if box.box in self.in_boxes and (before := self.in_boxes[box.box][1]).contents != box.contents
        }
        now = {(box.box, box.contents) for box in seed.boxes}
        return Held({**self.in_boxes, **{box.box: (seed.mix, box) for box in seed.boxes}}, (self.bagged | emptied) - now)


def _least_kg(box: BoxBudget) -> float:
    return box.least_m3 * box.load_kg_per_m3
