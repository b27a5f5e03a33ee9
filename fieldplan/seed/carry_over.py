"""Carry-over seed: what stays in the boxes from field to field, or is emptied, bagged and kept."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from fieldplan.model.budget import BoxBudget, BoxChange, ChangeKind, SeedBudget, TreatedSeed
from fieldplan.model.machine import Drill, SeedBox

_Contents = tuple[tuple[str, str, float], ...]
_MIN_KG = 1e-6
_RATE_DIGITS = 12
"""Rates in kg/m² that agree so far are one setting."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """Seed and carrier of a mix, in kg: in the box that was filled by ``budget``, or in a bag out of it."""

    mix: str
    budget: BoxBudget
    kg: float


@dataclass(frozen=True, slots=True)
class CarryOver:
    """Seed that earlier fields left.

    Parameters
    ----------
    in_boxes
        By box: what is left in it.
    bagged
        By box and contents: what was emptied from it and kept.
    """

    in_boxes: Mapping[str, Held] = field(default_factory=dict)
    bagged: Mapping[tuple[str, _Contents], Held] = field(default_factory=dict)

    def changes(self, seed: SeedBudget, drill: Drill) -> tuple[BoxChange, ...]:
        """What to do to each box before a field, and the time it takes.

        Seed that is left in a box and belongs to this field is used; other seed is emptied out first, and
        the box is cleaned; seed that was bagged before is poured back in. A box that sowed other seed, or
        the same at another rate, is set and calibrated again. The first seed of a box is set during the
        calibration of the job.

        Parameters
        ----------
        seed
            Seed of the field that comes next. Boxes that it does not use are left alone.
        drill
            The drill, whose boxes say how long cleaning and setting take.
        """
        made: list[BoxChange] = []
        for box in seed.boxes:
            of_drill = drill.box(box.box)
            assert of_drill is not None
            made += self._of_box(seed.mix, box, of_drill)
        return tuple(made)

    def _of_box(self, mix: str, box: BoxBudget, of_drill: SeedBox) -> Iterator[BoxChange]:
        held = self.in_boxes.get(box.box)
        if held is not None and held.budget.contents == box.contents:
            if held.kg > _MIN_KG:
                yield _change("in the box", held)
        else:
            if held is not None:
                yield _change("empty first", held, of_drill.cleaning_s)
            kept = self.bagged.get((box.box, box.contents))
            if kept is not None and kept.kg > _MIN_KG:
                yield _change("tip back", kept)
        if held is not None and set_for(held.budget) != set_for(box):
            yield BoxChange(box=box.box, kind="set again", mix=mix, takes_s=of_drill.resetting_s)

    def after(self, seed: SeedBudget, left_kg: Mapping[str, float]) -> CarryOver:
        """The carry-over once a field is sown.

        Parameters
        ----------
        left_kg
            By box of the field: the seed and carrier left in it, in kg.
        """
        bagged = dict(self.bagged)
        for box in seed.boxes:
            held = self.in_boxes.get(box.box)
            if held is not None and held.budget.contents != box.contents:
                bagged[box.box, held.budget.contents] = held
                bagged.pop((box.box, box.contents), None)
        filled = {box.box: Held(mix=seed.mix, budget=box, kg=left_kg[box.box]) for box in seed.boxes}
        return CarryOver({**self.in_boxes, **filled}, bagged)

    def treated(self, seed: SeedBudget) -> tuple[TreatedSeed, ...]:
        """The treated seed that is sown on a field, in the boxes as it begins, or in bags out of them."""
        return tuple(self._treated(seed))

    def _treated(self, seed: SeedBudget) -> Iterator[TreatedSeed]:
        sown = {box.box: box for box in seed.boxes}
        for box in seed.boxes:
            if box.treated:
                yield TreatedSeed(box=box.box, where="sown", mix=seed.mix, species=box.treated_species)
        for name, held in self.in_boxes.items():
            if held.budget.treated and name not in sown:
                yield _treated_in("still-in", held)
            elif held.budget.treated and held.budget.contents != sown[name].contents:
                yield _treated_in("cleaned-out", held)
        for held in self.bagged.values():
            if held.budget.treated and held.kg > _MIN_KG:
                yield _treated_in("bagged", held)


def _treated_in(where: Literal["still-in", "cleaned-out", "bagged"], held: Held) -> TreatedSeed:
    return TreatedSeed(box=held.budget.box, where=where, mix=held.mix, species=held.budget.treated_species)


def _change(kind: ChangeKind, held: Held, takes_s: float = 0.0) -> BoxChange:
    kg = held.kg if held.kg > _MIN_KG else 0.0
    return BoxChange(
        box=held.budget.box,
        kind=kind,
        mix=held.mix,
        kg=kg,
        portions=held.budget.portions(kg) if kg else (),
        takes_s=takes_s,
        treated=held.budget.treated,
    )


def set_for(box: BoxBudget) -> tuple[_Contents, float]:
    """What a box is set for: its contents, and the rate that it must deliver."""
    return box.contents, round(box.load_kg_per_m2, _RATE_DIGITS)


def in_boxes_m3(seed: SeedBudget, changes: Iterable[BoxChange]) -> dict[str, float]:
    """The volume, in m³, that each box already holds of what the field sows, for boxes that hold any."""
    carry_over_kg = {
        change.box: change.kg for change in changes if change.kind in ("in the box", "tip back")
    }
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
