"""What stands on a map besides lines: gate, start, refill stops with their loads, exclusions, blocks, pass numbers.

Each mark is placed where it is clear of all others; what finds no room is left out, the least important first.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

import shapely

from fieldplan.model.coverage import Leg
from fieldplan.model.plan import FieldPlan
from fieldplan.plane.frame import Frame
from fieldplan.report.pictures.labels import Room, round_box, text_box
from fieldplan.report.pictures.thinned import Thinned
from fieldplan.report.pictures.view import View
from fieldplan.report.words.money_and_places import heading_text
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities, counted

MAX_NUMBERS = 40
"""With more pass numbers than this a map is hard to read: it shows every second, fifth, … pass."""
MAX_BLOCKS = 8
_NUMBER_STEPS = (1, 2, 5, 10, 20, 25, 50, 100, 200, 500)
_AROUND = tuple((math.cos(math.radians(turn)), math.sin(math.radians(turn))) for turn in range(0, 360, 30))
_AWAY_EM = (1.5, 2.4, 3.4, 4.6, 6.0)
MIN_KG = 0.005


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """Something drawn at a place of the paper; its SVG has that place as origin, so that pages can keep its size.

    ``kind`` is what the legend calls it.
    """

    x: float
    y: float
    svg: str
    kind: str

    @property
    def placed(self) -> str:
        """The mark at its place."""
        return f'<g class="at" transform="translate({self.x:.2f} {self.y:.2f})">{self.svg}</g>'


class Marks:
    """Places the marks of a field on the windows of one map.

    Parameters
    ----------
    field, frame
        The field and its plane.
    views
        The windows.
    room
        The paper.
    em
        The size of ordinary text on it.
    q
        The reader's units.
    """

    def __init__(
        self, field: FieldPlan, frame: Frame, views: Sequence[View], room: Room, em: float, q: Quantities
    ) -> None:
        self._field, self._frame, self._views, self._room = field, frame, views, room
        self._em, self._q = em, q

    def all(self, thin: Thinned) -> list[Mark]:
        """Every mark that finds room."""
        if not self._field.is_drilled:
            return list(self._exclusions())
        openings = self._openings()
        for _, _, (x, y) in openings:
            self._room.take(round_box(x, y, self._em))
        return [
            *self._start(),
            *self._triangles(openings),
            *self._stops(),
            *self._exclusions(),
            *self._blocks(),
            *self._numbers(thin),
        ]

    def _at(self, point: shapely.Point) -> tuple[float, float] | None:
        places = ((view, view.at(point)) for view in self._views)
        return next((at for view, at in places if view.shows(at)), None)

    def _text(
        self, dx: float, dy: float, text: str, size: float, anchor: str, *, bold: bool = False
    ) -> str:
        """A text on a pale ground of its own, so that lines do not strike it out."""
        weight = ' font-weight="bold"' if bold else ""
        box = text_box(dx, dy, text, size, anchor)
        spare = 0.14 * (box.right - box.left)
        left = box.left + {"start": -0.1 * size, "middle": spare, "end": 2 * spare + 0.1 * size}[anchor]
        return (
            f'<rect class="pale" x="{left:.2f}" y="{dy - 0.78 * size:.2f}" width="{box.right - box.left - 2 * spare:.2f}" height="{size:.2f}"/>'
            f'<text x="{dx:.2f}" y="{dy:.2f}" font-size="{size:.2f}" text-anchor="{anchor}"{weight}>{escape(plain(text))}</text>'
        )

    def _beside(
        self, x: float, y: float, text: str, size: float, off: float
    ) -> tuple[float, float, str] | None:
        """Where a text finds room beside a mark of radius ``off``: its offset and anchor."""
        level = 0.35 * size
        spots = (
            (off, level, "start"),
            (-off, level, "end"),
            (0.0, -off - 0.3 * size, "middle"),
            (0.0, off + 0.95 * size, "middle"),
            (off, level - off, "start"),
            (off, level + off, "start"),
            (-off, level - off, "end"),
            (-off, level + off, "end"),
        )
        for dx, dy, anchor in spots:
            if self._room.take_if_free([text_box(x + dx, y + dy, text, size, anchor)]):
                return dx, dy, anchor
        return None

    def _openings(self) -> list[tuple[str, shapely.Point, tuple[float, float]]]:
        """The gate and the stands of seed elsewhere: names, places on the ground and on the paper."""
        openings = [("gate", self._field.coverage.gate)]
        stands = self._field.supply.stands
        openings += [(f"seed stand {n}", stand) for n, stand in enumerate(stands[1:], start=2)]
        if stands and stands[0].distance(self._field.coverage.gate) > 1.0:
            openings.append(("seed", stands[0]))
        return [(name, point, at) for name, point in openings if (at := self._at(point)) is not None]

    def _triangles(
        self, openings: Sequence[tuple[str, shapely.Point, tuple[float, float]]]
    ) -> Iterator[Mark]:
        """Openings as triangles, named, with the stops whose seed is poured there."""
        em = self._em
        for name, point, (x, y) in openings:
            poured = _poured_at(self._field, point)
            text = f"{name}: pour {_numbered(poured)}" if poured else name
            svg = f'<path class="gate" d="M0 {-1.05 * em:.2f}l{0.9 * em:.2f} {1.6 * em:.2f}h{-1.8 * em:.2f}z"><title>{escape(text)}</title></path>'
            for words in dict.fromkeys((text, name)):
                spot = self._beside(x, y, words, em, 1.15 * em)
                if spot is not None:
                    svg += self._text(spot[0], spot[1], words, em, spot[2], bold=True)
                    break
            yield Mark(x=x, y=y, svg=svg, kind="gate")

    def _start(self) -> Iterator[Mark]:
        """An arrow where sowing starts, the way it goes; a little further on where something else stands there."""
        em = self._em
        first = next((timed.leg for timed in self._field.time.legs if timed.leg.sown), None)
        if first is None:
            return
        for on in range(12):
            along_m = 0.7 * on * em / self._views[0].k
            here, ahead = first.line.interpolate(along_m), first.line.interpolate(along_m + 5.0)
            at = self._at(here)
            if at is None or along_m >= first.line.length:
                return
            x, y = at
            then = self._views[0].at(ahead)
            before = self._views[0].at(here)
            turn = math.atan2(then[1] - before[1], then[0] - before[0])
            middle = (x + 1.1 * em * math.cos(turn), y + 1.1 * em * math.sin(turn))
            if not self._room.take_if_free([round_box(*middle, 1.1 * em)]):
                continue
            svg = f'<path class="start" transform="rotate({math.degrees(turn):.1f})" d="M0 0h{2.2 * em:.2f}l{-0.9 * em:.2f} {-0.5 * em:.2f}v{em:.2f}l{0.9 * em:.2f} {-0.5 * em:.2f}"/>'
            spot = self._beside(*middle, "start", em, 1.2 * em)
            if spot is not None:
                dx, dy = middle[0] - x + spot[0], middle[1] - y + spot[1]
                svg += self._text(dx, dy, "start", em, spot[2], bold=True)
            yield Mark(x=x, y=y, svg=svg, kind="start")
            return

    def _stops(self) -> Iterator[Mark]:
        """A numbered disc where the drill leaves its pass for a refill, beside it what is poured in."""
        em, found = self._em, []
        for refill in self._field.supply.refills:
            at = self._at(refill.sowing_stops_at)
            if at is None:
                continue
            number, radius = str(refill.stop), 0.8 * em
            spot = self._free_disc(at, radius)
            found.append((at, spot, radius, number, refill.load_kg))
        for (x, y), spot, radius, number, load_kg in found:
            if spot is None:
                dot = (
                    f'<circle class="stop" r="{0.3 * em:.2f}"><title>refill stop {number}</title></circle>'
                )
                yield Mark(x=x, y=y, svg=dot, kind="more")
                continue
            dx, dy = spot
            leader = f'<path class="leader" d="M0 0L{dx:.2f} {dy:.2f}"/>' if (dx, dy) != (0.0, 0.0) else ""
            size = 0.95 * em if len(number) < 3 else 0.75 * em
            svg = (
                f'{leader}<circle class="stop" cx="{dx:.2f}" cy="{dy:.2f}" r="{radius:.2f}"><title>refill stop {number}</title></circle>'
                f'<text x="{dx:.2f}" y="{dy + 0.35 * size:.2f}" font-size="{size:.2f}" font-weight="bold" text-anchor="middle">{number}</text>'
            )
            for text in self._loads(load_kg):
                beside = self._beside(x + dx, y + dy, text, 0.85 * em, radius + 0.15 * em)
                if beside is not None:
                    svg += self._text(dx + beside[0], dy + beside[1], text, 0.85 * em, beside[2])
                    break
            yield Mark(x=x, y=y, svg=svg, kind="stop")

    def _free_disc(self, at: tuple[float, float], radius: float) -> tuple[float, float] | None:
        """Where a disc finds room at a place or, on a leader, near it."""
        x, y = at
        offsets = [
            (0.0, 0.0),
            *((away * self._em * cos, away * self._em * sin) for away in _AWAY_EM for cos, sin in _AROUND),
        ]
        for dx, dy in offsets:
            if self._room.take_if_free([round_box(x + dx, y + dy, radius)]):
                return dx, dy
        return None

    def _loads(self, load_kg: Mapping[str, float]) -> tuple[str, ...]:
        """What is poured in, at length and in short."""
        boxes = {box: kg for box, kg in load_kg.items() if kg > MIN_KG}
        unit = self._q.mass_unit
        each = " + ".join(f"{box} {self._q.mass(kg)}" for box, kg in boxes.items())
        return (f"{each} {unit}", f"{self._q.mass(sum(boxes.values()))} {unit}") if boxes else ()

    def _exclusions(self) -> Iterator[Mark]:
        """The reason for each piece of excluded ground and its set-back, at it or on a leader."""
        for piece in self._field.field.excluded:
            ground = self._frame.to_plane(piece.ground)
            text = piece.reason
            if piece.set_back_m > 0:
                text += f", {self._q.length(piece.set_back_m)} set-back"
            yield from self._named(ground.representative_point(), (text, piece.reason), "excluded")

    def _blocks(self) -> Iterator[Mark]:
        """The name of each block and how its passes run."""
        blocks = [
            block for sowing in self._field.coverage.sowings for block in sowing.blocks if block.n_passes
        ]
        longest = sorted(blocks, key=lambda block: -block.runs.length_m)[:MAX_BLOCKS]
        for block in longest:
            way = f"{heading_text(block.heading_deg)}°, {counted(block.n_passes, 'pass', 'passes')}"
            texts = (f"block {block.block}: {way}", f"block {block.block}") if len(blocks) > 1 else (way,)
            yield from self._named(block.ground.representative_point(), texts, "block")

    def _named(self, point: shapely.Point, texts: Sequence[str], kind: str) -> Iterator[Mark]:
        at = self._at(point)
        if at is None:
            return
        x, y = at
        em = self._em
        for text in dict.fromkeys(texts):
            for away, (cos, sin) in [
                (0.0, (0.0, 0.0)),
                *((away, way) for away in _AWAY_EM for way in _AROUND),
            ]:
                dx, dy = away * em * cos, away * em * sin
                if self._room.take_if_free([text_box(x + dx, y + dy + 0.35 * em, text, em)]):
                    leads = away > 0 and kind == "excluded"
                    leader = f'<path class="leader" d="M0 0L{dx:.2f} {dy:.2f}"/>' if leads else ""
                    svg = leader + self._text(dx, dy + 0.35 * em, text, em, "middle", bold=kind == "block")
                    yield Mark(x=x, y=y, svg=svg, kind=kind)
                    return

    def _numbers(self, thin: Thinned) -> Iterator[Mark]:
        """The number of drawn passes in driving order, at their start; first those before a stop and the first."""
        begun: dict[int, Leg] = {}
        for timed, drawn in zip(self._field.time.legs, thin.drawn, strict=True):
            if timed.leg.kind == "pass" and drawn:
                begun.setdefault(timed.leg.number, timed.leg)
        every = next(
            (step for step in _NUMBER_STEPS if len(begun) / step <= MAX_NUMBERS), _NUMBER_STEPS[-1]
        )
        size = 0.85 * self._em
        for number in [n for k, n in enumerate(sorted(begun)) if k % every == 0]:
            at = self._at(shapely.Point(begun[number].line.coords[0]))
            if at is None:
                continue
            x, y = at
            text = str(number)
            if self._room.take_if_free([text_box(x, y + 0.35 * size, text, size)]):
                yield Mark(x=x, y=y, svg=self._text(0.0, 0.35 * size, text, size, "middle"), kind="number")


def _poured_at(field: FieldPlan, stand: shapely.Point) -> list[int]:
    """The stops whose seed is poured in at a stand."""
    at = [leg.line for leg in field.supply.legs if leg.kind == "refill"]
    return [
        refill.stop
        for refill, line in zip(field.supply.refills, at, strict=True)
        if shapely.distance(line, stand) < 1.0
    ]


def _numbered(stops: Sequence[int]) -> str:
    """Stops in few words: "stop 3", "stops 1–9, 12"."""
    runs: list[list[int]] = []
    for stop in stops:
        if runs and stop == runs[-1][-1] + 1:
            runs[-1].append(stop)
        else:
            runs.append([stop])
    text = ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs)
    return f"{'stop' if len(stops) == 1 else 'stops'} {text}"


def arrow_svg(turn_deg: float, em: float) -> str:
    """North: an arrow that points that far clockwise from up, about its own middle."""
    return (
        f'<g transform="rotate({turn_deg:.2f})"><path class="north" d="M0 {-1.9 * em:.2f}l{0.7 * em:.2f} {2.4 * em:.2f}'
        f'-{0.7 * em:.2f} {-0.5 * em:.2f}-{0.7 * em:.2f} {0.5 * em:.2f}z"/>'
        f'<text y="{1.7 * em:.2f}" font-size="{1.25 * em:.2f}" font-weight="bold" text-anchor="middle">N</text></g>'
    )
