"""One open job: its draft, what was undone, what is planned of it, and the parts of the page that show it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal, Protocol

from fieldplan.errors import Problem
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.web.answer import Answer
from fieldplan.web.draft import Draft
from fieldplan.web.steps import Steps
from fieldplan.web.tiles import NATIONAL_MAP, Tiles

Topic = Literal["draft", "sketch", "answer", "units", "saved", "chosen", "progress", "variants"]
"""What has changed: fields or job, what is being drawn, the plan of them, the units shown, the files or what stands in their way, the
feature chosen on the map, how far the planning is, the variants kept side by side.
"""
Listener = Callable[[], None]
MAX_UNDONE = 200


class Stepped(Protocol):
    """What is being drawn: its points are steps of their own, until it is done and is one step of the draft."""

    @property
    def can_undo(self) -> bool:
        """Whether a point can be taken back."""

    @property
    def can_redo(self) -> bool:
        """Whether one that was taken back can be put again."""

    def undo(self) -> None:
        """Take the last point back."""

    def redo(self) -> None:
        """Put it again."""


@dataclass(slots=True, kw_only=True)
class Desk:
    """What all parts of one page share. A part reads it, changes it by its methods alone, and listens.

    Parameters
    ----------
    draft
        Fields and job as they stand.
    units
        In which the page speaks.
    chosen
        The key of the feature that is chosen on the map; empty if none is.
    folder
        Where the files of the job lie; ``None`` until it is saved.
    answer
        The plan of the last draft that was planned, or what stood in its way; ``None`` until there is one.
    planned
        Fields planned so far and fields in all, while a plan is being made; ``None`` otherwise.
    compiles
        Whether loops of the coverage are being compiled, as for the first plan on a machine.
    variants
        What the person keeps side by side, as ``desk.json`` has it.
    name
        The name of the job, which is that of its folder; empty without one.
    later
        Calls something once what has been told so far is on its way to the screen; at once without it.
    tiles
        Images behind the map, for who turns them on.
    drawing
        Whose steps come before those of the draft; ``None`` if nothing can be drawn here.
    read_only
        Why the job can be looked at and not changed; ``None`` if it can.
    """

    draft: Draft = field(default_factory=Draft)
    units: System = "us"
    chosen: str = ""
    folder: Path | None = None
    answer: Answer | None = None
    planned: tuple[int, int] | None = None
    compiles: bool = False
    variants: tuple[Mapping[str, Any], ...] = ()
    name: str = ""
    tiles: Tiles = NATIONAL_MAP
    read_only: Problem | None = None
    drawing: Stepped | None = None
    _before: list[Draft] = field(default_factory=list)
    _after: list[Draft] = field(default_factory=list)
    _points_back: list[int] = field(default_factory=list)
    """Of each point of a sketch that was taken back, how many changes of the draft had been taken back before."""
    _same: str = ""
    later: Callable[[Listener], None] | None = None
    _listeners: dict[Topic, list[Listener]] = field(default_factory=dict)
    _first: dict[Topic, list[Listener]] = field(default_factory=dict)

    def listen(self, topic: Topic, listener: Listener, *, first: bool = False) -> None:
        """Call ``listener`` whenever the topic changes.

        Parameters
        ----------
        first
            Before all others: what a person waits for is on the screen before the rest is drawn.
        """
        listeners = self._first if first else self._listeners
        listeners.setdefault(topic, []).append(listener)

    def tell(self, topic: Topic) -> None:
        """Tell all who listen to a topic that it has changed; of an answer, those who are not first a little later."""
        for listener in tuple(self._first.get(topic, ())):
            listener()
        if topic == "answer" and self.later is not None:
            self.later(self._tell_others)
        else:
            self._tell_rest(topic)

    def _tell_others(self) -> None:
        self._tell_rest("answer")

    def _tell_rest(self, topic: Topic) -> None:
        for listener in tuple(self._listeners.get(topic, ())):
            listener()

    def change(self, draft: Draft, same: str = "") -> None:
        """Put a changed draft in the place of the present one, which can be had back; not where the job is read only.

        Parameters
        ----------
        same
            Names what is changed, such as a box that somebody types in: changes of the same thing one after the
            other are taken back together.
        """
        if draft == self.draft or self.read_only is not None:
            return
        if not (same and same == self._same):
            self._before = [*self._before, self.draft][-MAX_UNDONE:]
        self._same = same
        self._after.clear()
        self.draft = draft
        self.tell("draft")

    @property
    def q(self) -> Quantities:
        """The reader of the page: the units, and that boxes are named by their labels."""
        return Quantities(self.units, fills_form=True)

    @property
    def up_to_date(self) -> bool:
        """Whether the answer is that of the present draft."""
        return self.answer is not None and self.answer.draft is self.draft

    def answered(self, answer: Answer) -> None:
        """Show another answer."""
        self.answer, self.planned = answer, None
        self.tell("answer")

    def keep(self, variants: Sequence[Mapping[str, Any]]) -> None:
        """Keep other variants side by side; not where the job is read only."""
        if self.read_only is not None:
            return
        self.variants = tuple(variants)
        self.tell("variants")

    def undo(self) -> None:
        """Take back the last point of what is being drawn, else the last change."""
        if self.drawing is not None and self.drawing.can_undo:
            self._points_back.append(len(self._after))
            self.drawing.undo()
            return
        self._step(self._before, self._after)

    def redo(self) -> None:
        """Go forward again after going back: what was taken back last comes first, a point of a sketch or a change."""
        drawn = self.drawing is not None and self.drawing.can_redo
        if not drawn:
            self._points_back.clear()
        last_was_point = bool(self._points_back) and self._points_back[-1] >= len(self._after)
        if self.drawing is not None and drawn and (last_was_point or not self._after):
            del self._points_back[-1:]
            self.drawing.redo()
            return
        self._step(self._after, self._before)

    @property
    def steps(self) -> Steps:
        """What undo and redo go to."""
        return Steps(tuple(self._before), tuple(self._after))

    def step_from(self, steps: Steps) -> None:
        """Have undo and redo go to what they went to when the job was open last."""
        self._before, self._after = list(steps.before), list(steps.after)

    @property
    def can_undo(self) -> bool:
        """Whether there is something to take back."""
        return bool(self._before) or (self.drawing is not None and self.drawing.can_undo)

    @property
    def can_redo(self) -> bool:
        """Whether something that was taken back can be had again."""
        return bool(self._after) or (self.drawing is not None and self.drawing.can_redo)

    def choose(self, key: str) -> None:
        """Choose a feature on the map; an empty key chooses none."""
        if key != self.chosen:
            self.chosen = key
            self.tell("chosen")

    def speak(self, units: System) -> None:
        """Show everything in other units."""
        if units != self.units:
            self.units = units
            self.tell("units")

    def _step(self, source: list[Draft], target: list[Draft]) -> None:
        if source:
            target.append(self.draft)
            self._same = ""
            self.draft = source.pop()
            self.tell("draft")
