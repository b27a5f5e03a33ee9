"""Whoever follows the words of the sequence drives the passes of the plan in their order, each the same way."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
import shapely
from conftest import SAMPLES, TODAY
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, Polygon
from strategies import notched_fields, slowly, star_fields

from fieldplan.boundary.load import load_fields
from fieldplan.coverage.cover import cover
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, Block, Coverage, Leg
from fieldplan.model.field import SIDES_DEG, Acreage, Field, PatternWord
from fieldplan.model.job import Job, WorkingTerms
from fieldplan.model.sequence import Again, Driven, PassesDriven, Step, moves
from fieldplan.plane.frame import Frame, frame_near
from fieldplan.planner import plan_job
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence
from fieldplan.report.words.sequence import sequence_facts
from fieldplan.work.folded import folded
from fieldplan.work.sequence import sequence_of

FRAME = Frame(-95.75, 44.25)
_FIELD = Field(
    field_id="f",
    name="f",
    ground=MultiPolygon([shapely.box(-95.76, 44.24, -95.74, 44.26)]),
    plantable=MultiPolygon([shapely.box(-95.76, 44.24, -95.74, 44.26)]),
    mapped_m2=1.0,
    acreage=Acreage(web_mercator_m2=1.0, own_coordinates_m2=None, own_coordinates_name=""),
)
Track = tuple[float, float, float, float]
"""Where a pass is entered and left, to the decimeter."""
PASSES = re.compile(
    r"(?:Sowing (?P<sowing>\d+): )?Pass(?:es)? (?P<first>\d+)(?: to (?P<last>\d+))?(?:, block (?P<block>\d+))?"
    r"(?:: begin at its (?P<only>[\w-]+) end|: begin on strip (?P<strip>\d+) from the (?P<side>[\w-]+) side(?: \(pass (?P<part>\d+) of \d+ on it, from the [\w-]+\))?"
    r", at its (?P<end>[\w-]+) end(?:\. Skip (?P<steps>.+))?|, bent as the ground is: begin at the [\w-]+ end, at (?P<lat>[-\d.]+), (?P<lon>[-\d.]+)(?P<on>;.*)?)\."
)
TOKEN = re.compile(r"\(on along the same strip\)|[(),]|×|\d+|[a-z-]+")


class Driver:
    """Somebody with the words, who sees the strips of each block and what is sown, and has no guidance."""

    def __init__(self, coverage: Coverage, frame: Frame) -> None:
        self.coverage, self.frame = coverage, frame
        self.sown: set[tuple[int, int, int]] = set()

    def follow(self, line: str) -> Iterator[Track]:
        """The passes that one line of words leads through."""
        said = PASSES.fullmatch(line)
        assert said is not None, line
        sowing = int(said["sowing"] or 1)
        blocks = [one for one in self.coverage.sowings[sowing - 1].blocks if one.n_passes]
        (block,) = blocks if said["block"] is None else [b for b in blocks if b.block == int(said["block"])]
        n_passes = int(said["last"] or said["first"]) - int(said["first"]) + 1
        ends, strip = _passes_of(block)
        if said["lat"]:
            at = shapely.get_coordinates(
                self.frame.to_plane(Point(float(said["lon"]), float(said["lat"])))
            )[0]
            assert (n_passes > 1) == bool(said["on"])
            targets: list[int | None] = [None] * n_passes
            yield from self._drive((sowing, block.block), ends, strip, at, targets)
            return
        if said["only"]:
            assert (n_passes, len(ends)) == (1, 1)
            at = ends[0, int((ends[0, 1] - ends[0, 0]) @ _wind(said["only"]) > 0)]
            yield from self._drive((sowing, block.block), ends, strip, at, [None])
            return
        along = block.along
        left = np.array([-along[1], along[0]])
        side = left if left @ _wind(said["side"]) > 0 else -left
        far = ends.mean(axis=1) @ side
        # strips are counted from the side that is named
        counted = strip if np.dot(strip - strip.mean(), far - far.mean()) <= 0 else strip.max() - strip
        counted = counted - counted.min() + 1
        begins = along if along @ _wind(said["end"]) > 0 else -along
        on_strip = np.flatnonzero(counted == int(said["strip"]))
        on_strip = on_strip[np.argsort(-(ends[on_strip].mean(axis=1) @ begins), kind="stable")]
        first = on_strip[int(said["part"] or 1) - 1]
        assert len(on_strip) == 1 or said["part"]
        at = ends[first, int((ends[first, 1] - ends[first, 0]) @ begins > 0)]
        targets = [int(said["strip"])]
        for over, way in _moves(said["steps"] or ""):
            targets.append(targets[-1] + (over if way != said["side"] else -over))
        assert len(targets) == n_passes
        yield from self._drive((sowing, block.block), ends, counted, at, targets)

    def _drive(
        self, of: tuple[int, int], ends: Array, strip: Array, at: Array, targets: list[int | None]
    ) -> Iterator[Track]:
        for target in targets:
            open_to = [
                nth
                for nth in range(len(ends))
                if (*of, nth) not in self.sown and (target is None or strip[nth] == target)
            ]
            which, end = min(
                ((nth, end) for nth in open_to for end in (0, 1)),
                key=lambda pair: float(np.hypot(*(ends[pair] - at))),
            )
            self.sown.add((*of, which))
            entered, at = ends[which, end], ends[which, 1 - end]
            yield _track(entered, at)


def _passes_of(block: Block) -> tuple[Array, Array]:
    """Ends, (n, 2, 2), and strip, (n,), of each pass."""
    ends, strip = [], []
    for nth in range(block.n_passes):
        runs = np.flatnonzero(block.pass_of == nth)
        ends.append([block.ends[runs[0], 0], block.ends[runs[-1], 1]])
        strip.append(block.strip[runs[0]])
    return np.array(ends), np.array(strip)


def _wind(name: str) -> Array:
    angle = np.radians(SIDES_DEG[name])
    return np.array([np.sin(angle), np.cos(angle)])


def _track(start: Array, end: Array) -> Track:
    x, y, u, v = (round(float(value), 1) + 0.0 for value in (*start, *end))
    return x, y, u, v


def _moves(words: str) -> Iterator[tuple[int, str]]:
    """Strips over and to which side, one after the other, as the words have them."""
    tokens = TOKEN.findall(words)
    found, rest = _parsed(tokens)
    assert not rest, rest
    yield from found


def _parsed(tokens: list[str]) -> tuple[list[tuple[int, str]], list[str]]:
    """Moves up to a closing bracket, and the tokens after it."""
    found: list[tuple[int, str]] = []
    while tokens:
        if tokens[0] == "(":
            some, tokens = _parsed(tokens[1:])
            assert tokens[0] == ")"
            tokens = tokens[1:]
        elif tokens[0] == "nothing":
            some, tokens = [(0, "")], tokens[2:]
        else:
            over = 1 if tokens[0] == "none" else int(tokens[0]) + 1
            some, tokens = [(over, tokens[1])], tokens[2:]
        if tokens and tokens[0] == "×":
            some, tokens = some * int(tokens[1]), tokens[2:]
        found += some
        if not tokens or tokens[0] == ")":
            return found, tokens
        assert tokens[0] == ","
        tokens = tokens[1:]
    return found, tokens


def _driven(legs: tuple[Leg, ...]) -> list[Track]:
    """The passes of a route, entered and left."""
    found: list[tuple[tuple[int, int, int], Array, Array]] = []
    for leg in (leg for leg in legs if leg.kind == "pass"):
        key, points = (leg.sowing, leg.block, leg.number), shapely.get_coordinates(leg.line)
        if found and found[-1][0] == key:
            found[-1] = (key, found[-1][1], points[-1])
        else:
            found.append((key, points[0], points[-1]))
    return [_track(start, end) for _, start, end in found]


def _holds(coverage: Coverage, sequence: tuple[Driven, ...], legs: tuple[Leg, ...], frame: Frame) -> None:
    q, driver, followed = Quantities("us"), Driver(coverage, frame), list[Track]()
    for one, said in zip(sequence, sequence_facts(coverage, sequence), strict=True):
        if isinstance(one, PassesDriven):
            followed += driver.follow(sentence(said, q))
    assert followed == _driven(legs)


def _check(field: MultiPolygon, rig: Rig, working: WorkingTerms) -> None:
    coverage = cover(Site(field_id="f", ground=field, rig=rig, working=working))
    sequence = sequence_of(_FIELD, coverage, coverage.legs, FRAME)
    _holds(coverage, sequence, coverage.legs, FRAME)
    _rounds_hold(coverage, sequence)


def _rounds_hold(coverage: Coverage, sequence: tuple[Driven, ...]) -> None:
    """Every segment of the headland is in a stretch of rounds, once and in its order."""
    numbers = [
        n for one in sequence if not isinstance(one, PassesDriven) for n in range(one.first, one.last + 1)
    ]
    assert sorted(numbers) == sorted({leg.number for leg in coverage.legs if leg.kind == "headland"})


@slowly(12)
@given(
    field=star_fields() | notched_fields(),
    last=st.booleans(),
    plain=st.booleans(),
    n=st.sampled_from([1, 2]),
    pattern=st.sampled_from(["straight", "along edge", "rounds"]),
)
def test_the_words_lead_through_the_passes_in_their_order(
    field: MultiPolygon,
    last: bool,
    plain: bool,
    n: int,
    pattern: PatternWord,
    rig: Rig,
    working: WorkingTerms,
) -> None:
    """Blocks, split strips, curved ones, rounds alone, plain orders and found ones, two sowings: read as text, without a look at the route."""
    _check(
        field, rig, replace(working, headland_first=not last, plain_order=plain, sowings=n, pattern=pattern)
    )


@pytest.mark.parametrize(
    "ground",
    [
        Polygon(shapely.box(0, 0, 300, 200).exterior, [shapely.box(120, 70, 170, 120).exterior.coords]),
        shapely.box(0, 0, 400, 9.0),  # too narrow for strips beside each other
        Point(0, 0).buffer(90),
        Polygon([(0, 0), (300, 0), (300, 80), (80, 80), (80, 300), (0, 300)]),
        shapely.union(shapely.box(0, 0, 150, 100), shapely.box(170, 0, 300, 160)),
    ],
    ids=["hole", "narrow", "round", "notched", "two parts"],
)
def test_the_words_hold_on_grounds_of_every_kind(ground: Polygon, rig: Rig, working: WorkingTerms) -> None:
    """Passes split by a hole, passes that bend, and blocks that lie apart."""
    _check(MultiPolygon([ground] if isinstance(ground, Polygon) else list(ground.geoms)), rig, working)


def test_the_words_hold_where_stops_break_passes(job: Job) -> None:
    """The route with its refill stops says the same as the one without."""
    for plan in plan_job(load_fields(SAMPLES / "ponds.gpkg"), job, today=TODAY).driven:
        _holds(plan.coverage, plan.sequence, plan.supply.legs, frame_near(plan.field.ground))


STEPS = st.lists(st.sampled_from([-5, -4, 1, 4, 4, 4]), max_size=60)


@given(given_moves=STEPS)
def test_folded_moves_are_the_moves(given_moves: list[int]) -> None:
    """Whatever repeats is said once, and nothing is lost."""
    assert list(moves(folded(given_moves))) == given_moves


@given(unit=st.lists(st.integers(-6, 6), min_size=1, max_size=5), times=st.integers(2, 30))
def test_what_repeats_is_one_step(unit: list[int], times: int) -> None:
    """So many times over, the same moves: no more steps than once over."""
    assert _said(folded(unit * times)) <= len(unit) + 1


def _said(steps: tuple[Step, ...]) -> int:
    return sum(_said(step.steps) if isinstance(step, Again) else 1 for step in steps)
