"""One choice among those weighed for a field: a layout, and a route over it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fieldplan.coverage.driven import Driven
from fieldplan.coverage.layout import Layout
from fieldplan.model.field import PatternWord

MIN_CURVED_SAVES_FRAC = 0.03
"""Straight passes are easier to keep to: passes along a curve must save this share of the time, or its worth."""


@dataclass(frozen=True, slots=True)
class Choice:
    """A layout and a route over it.

    Parameters
    ----------
    whole
        The route over its ground in one piece, if it is cut into blocks.
    pattern, straight
        How its passes run; and the best straight ones that they were compared with, if they are others.
    """

    layout: Layout
    driven: Driven
    whole: Driven | None = None
    pattern: PatternWord = "straight"
    straight: Driven | None = None

    def better_than(self, other: Choice) -> bool:
        """Whether the route is better, see `Driven.better_than`: one along a curve, by enough."""
        worth_s = (
            MIN_CURVED_SAVES_FRAC * other.driven.total_s
            if self.layout.site.working.pattern == "best"
            else 0.0
        )
        return self.driven.better_than(
            other.driven, worth_s * (int(self.driven.curved) - int(other.driven.curved))
        )

    def in_quicker_order(self) -> Choice:
        """The same with the passes of its routes in the order found by the turns that fit."""
        whole = self.whole and self.whole.in_quicker_order(self.layout)
        return replace(self, driven=self.driven.in_quicker_order(self.layout), whole=whole)

    @property
    def saved_s(self) -> float:
        """The time that cutting the ground into blocks saves."""
        return self.whole.total_s - self.driven.total_s if self.whole else 0.0


def best_of(choices: Sequence[Choice]) -> Choice:
    """The first that no other is better than."""
    best = choices[0]
    for choice in choices[1:]:
        best = choice if choice.better_than(best) else best
    return best
