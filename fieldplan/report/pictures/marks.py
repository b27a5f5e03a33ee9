"""What stands on a map besides lines: gate, start, refill stops with their loads, exclusions, blocks, pass numbers.

Each mark is placed where it is clear of all others; what finds no room is left out, the least important first.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from xml.sax.saxutils import escape

import shapely

from fieldplan.model.coverage import Leg
from fieldplan.model.plan import FieldPlan
from fieldplan.model.sequence import PassesDriven
from fieldplan.plane.frame import Frame
from fieldplan.report.pictures.labels import round_box, text_box
from fieldplan.report.pictures.names import Named, named
from fieldplan.report.pictures.placer import Mark, Placer
from fieldplan.report.pictures.stops import numbered, poured_at, stop_marks
from fieldplan.report.pictures.thinned import Thinned
from fieldplan.report.words.money_and_places import heading_text
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.on_maps import excluded_text
from fieldplan.report.words.places import heading_named, line_followed
from fieldplan.report.words.quantities import Quantities

MAX_NUMBERS = 40
"""With more pass numbers than this a map is hard to read: it shows every second, fifth, … pass."""
MAX_BLOCKS, MAX_NAMED = 8, 3
"""Blocks that are named at most, and at most with the winds of their headings."""
AHEAD_M, LEAST_AHEAD_M = 5.0, 0.5
"""How far ahead the arrow of the start looks, and at least."""
_NUMBER_STEPS = (1, 2, 5, 10, 20, 25, 50, 100, 200, 500)


class Marks:
    """The marks of a field on one map.

    Parameters
    ----------
    field, frame
        The field and its plane.
    placer
        Finds room for them.
    q
        The reader's units.
    """

    def __init__(self, field: FieldPlan, frame: Frame, placer: Placer, q: Quantities) -> None:
        self._field, self._frame, self._placer, self._q = field, frame, placer, q
        self._ground, self._plantable = (
            frame.to_plane(ground) for ground in (field.field.ground, field.field.plantable)
        )

    def all(self, thin: Thinned) -> list[Mark]:
        """Every mark that finds room."""
        if not self._field.is_drilled:
            return list(self._exclusions())
        openings = self._openings()
        for _, _, (x, y) in openings:
            self._placer.room.take(round_box(x, y, self._placer.em))
        return [
            *self._start(),
            *self._triangles(openings),
            *stop_marks(self._field, self._placer, self._q),
            *self._exclusions(),
            *self._blocks(),
            *self._numbers(thin),
        ]

    def _openings(self) -> list[tuple[str, shapely.Point, tuple[float, float]]]:
        """The gate and the stands of seed elsewhere: names, places on the ground and on the paper."""
        openings = [("gate", self._field.coverage.gate)]
        stands = self._field.supply.stands
        openings += [(f"seed stand {n}", stand) for n, stand in enumerate(stands[1:], start=2)]
        if stands and stands[0].distance(self._field.coverage.gate) > 1.0:
            openings.append(("seed", stands[0]))
        return [(name, point, at) for name, point in openings if (at := self._placer.at(point)) is not None]

    def _triangles(
        self, openings: Sequence[tuple[str, shapely.Point, tuple[float, float]]]
    ) -> Iterator[Mark]:
        """Openings as triangles, named, with the stops whose seed is poured there."""
        em = self._placer.em
        for name, point, (x, y) in openings:
            poured = poured_at(self._field, point)
            text = f"{name}: pour {poured}" if poured else name
            svg = f'<path class="gate" d="M0 {-1.05 * em:.2f}l{0.9 * em:.2f} {1.6 * em:.2f}h{-1.8 * em:.2f}z"><title>{escape(text)}</title></path>'
            for words in dict.fromkeys((text, name)):
                spot = self._placer.beside(x, y, words, em, 1.15 * em)
                if spot is not None:
                    svg += self._placer.text(spot[0], spot[1], words, em, spot[2], bold=True)
                    break
            yield Mark(x=x, y=y, svg=svg, kind="gate")

    def _start(self) -> Iterator[Mark]:
        """An arrow where sowing starts, the way it goes; a little further on where something else stands there."""
        em = self._placer.em
        sown = [timed.leg.line for timed in self._field.time.legs if timed.leg.sown]
        for on in range(12):
            along_m = 0.7 * on * em / self._placer.views[0].k
            begun = _begun(sown, along_m)
            at = None if begun is None else self._placer.at(begun[0])
            if begun is None or at is None:
                return
            x, y = at
            then = self._placer.views[0].at(begun[1])
            before = self._placer.views[0].at(begun[0])
            turn = math.atan2(then[1] - before[1], then[0] - before[0])
            middle = (x + 1.1 * em * math.cos(turn), y + 1.1 * em * math.sin(turn))
            if not self._placer.room.take_if_free([round_box(*middle, 1.1 * em)]):
                continue
            svg = f'<path class="start" transform="rotate({math.degrees(turn):.1f})" d="M0 0h{2.2 * em:.2f}l{-0.9 * em:.2f} {-0.5 * em:.2f}v{em:.2f}l{0.9 * em:.2f} {-0.5 * em:.2f}"/>'
            spot = self._placer.beside(*middle, "start", em, 1.2 * em)
            if spot is not None:
                dx, dy = middle[0] - x + spot[0], middle[1] - y + spot[1]
                svg += self._placer.text(dx, dy, "start", em, spot[2], bold=True)
            yield Mark(x=x, y=y, svg=svg, kind="start")
            return

    def _exclusions(self) -> Iterator[Mark]:
        """The reason for each piece of excluded ground and its set-back, at it or on a leader."""
        for piece in self._field.field.excluded:
            ground = self._frame.to_plane(piece.ground)
            texts = (excluded_text(piece, self._q), piece.reason)
            what = Named(ground=ground, home=ground, on_it=texts, led=texts, rather_off=ground)
            yield from named(self._placer, what, "excluded")

    def _blocks(self) -> Iterator[Mark]:
        """The name of each block, its passes as they are driven, and how they run."""
        blocks = [
            (nth, block)
            for nth, sowing in enumerate(self._field.coverage.sowings, start=1)
            for block in sowing.blocks
            if block.n_passes
        ]
        for nth, block in sorted(blocks, key=lambda one: -one[1].runs.length_m)[:MAX_BLOCKS]:
            ways = [heading_named(block.heading_deg), f"{heading_text(block.heading_deg)}°"]
            if block.curves:
                followed = line_followed(self._field)
                ways = [f"along the {followed}", followed]
            beside: tuple[str, ...] = ()
            n_passes = counted(block.n_passes, "pass", "passes")
            if len(blocks) == 1:
                texts = [*(f"{way}, {n_passes}" for way in ways), n_passes]
            else:
                name, passes = f"block {block.block}", self._passes_of(nth, block.block)
                short = ways[::-1] if len(blocks) > MAX_NAMED else ways
                beside = (f"{name}: {passes}", name)
                texts = [*(f"{name}: {passes}, {way}" for way in short), *beside]
            others = shapely.union_all([one.ground for n, one in blocks if n == nth and one is not block])
            what = Named(
                ground=block.ground,
                home=shapely.difference(self._plantable, others),
                on_it=texts,
                led=beside or texts,
                rather_off=self._ground,
                others=others,
            )
            yield from named(self._placer, what, "block")

    def _passes_of(self, nth: int, block: int) -> str:
        """The numbers of the passes of a block: "passes 1–27"; how many they are where it is driven many times."""
        stretches = [
            one
            for one in self._field.sequence
            if isinstance(one, PassesDriven) and (one.sowing, one.block) == (nth, block)
        ]
        numbers = [number for one in stretches for number in range(one.first, one.last + 1)]
        text = numbered(numbers, "pass", "passes")
        return text if text.count(",") < MAX_NAMED else counted(len(numbers), "pass", "passes")

    def _numbers(self, thin: Thinned) -> Iterator[Mark]:
        """The number of drawn passes in driving order, at their start; first those before a stop and the first."""
        begun: dict[int, Leg] = {}
        for timed, drawn in zip(self._field.time.legs, thin.drawn, strict=True):
            if timed.leg.kind == "pass" and drawn:
                begun.setdefault(timed.leg.number, timed.leg)
        every = next(
            (step for step in _NUMBER_STEPS if len(begun) / step <= MAX_NUMBERS), _NUMBER_STEPS[-1]
        )
        size = 0.85 * self._placer.em
        for number in [n for k, n in enumerate(sorted(begun)) if k % every == 0]:
            at = self._placer.at(shapely.Point(begun[number].line.coords[0]))
            if at is None:
                continue
            x, y = at
            text = str(number)
            if self._placer.room.take_if_free([text_box(x, y + 0.35 * size, text, size)]):
                yield Mark(
                    x=x, y=y, svg=self._placer.text(0.0, 0.35 * size, text, size, "middle"), kind="number"
                )


def _begun(
    lines: Sequence[shapely.LineString], along_m: float
) -> tuple[shapely.Point, shapely.Point] | None:
    """The place so far along lines that are driven one after the other, and one a little further on the same line."""
    for line in lines:
        if along_m < line.length - LEAST_AHEAD_M:
            return line.interpolate(along_m), line.interpolate(along_m + AHEAD_M)
        along_m = max(0.0, along_m - line.length)
    return None
