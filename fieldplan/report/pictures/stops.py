"""Refill stops on a map: where the drill leaves its pass, what to pour in, and which stops pour where."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import shapely

from fieldplan.model.plan import FieldPlan
from fieldplan.model.work import Refill
from fieldplan.report.pictures.labels import round_box, text_box
from fieldplan.report.pictures.placer import Mark, Placer, leader_svg
from fieldplan.report.words.quantities import Quantities

MIN_KG = 0.005
RADIUS_EM, LOAD_EM = 0.8, 0.85


def stop_marks(field: FieldPlan, placer: Placer, q: Quantities) -> Iterator[Mark]:
    """A numbered disc where the drill leaves its pass for a refill, beside it what is poured in.

    Where both find no room, even on a leader, the disc alone is drawn, or at last a dot.

    Parameters
    ----------
    field
        The field.
    placer
        Finds room.
    q
        Units of the loads.
    """
    for refill in field.supply.refills:
        at = placer.at(refill.sowing_stops_at)
        if at is not None:
            yield _with_load(refill, at, placer, loads(refill.load_kg, q)) or _alone(refill, at, placer)


def _with_load(
    refill: Refill, at: tuple[float, float], placer: Placer, texts: Sequence[str]
) -> Mark | None:
    """A disc and its load at the nearest place where both have room."""
    (x, y), em = at, placer.em
    radius, size = RADIUS_EM * em, LOAD_EM * em
    for dx, dy in placer.offsets():
        disc = round_box(x + dx, y + dy, radius)
        if not placer.room.is_free(disc):
            continue
        for text in texts:
            spot = placer.spot_beside(x + dx, y + dy, text, size, radius + 0.15 * em, [disc])
            if spot is not None:
                tx, ty, anchor = dx + spot[0], dy + spot[1], spot[2]
                placer.room.take(disc, text_box(x + tx, y + ty, text, size, anchor))
                svg = _disc(refill, dx, dy, em) + placer.text(tx, ty, text, size, anchor)
                return Mark(x=x, y=y, svg=svg, kind="stop")
    return None


def _alone(refill: Refill, at: tuple[float, float], placer: Placer) -> Mark:
    (x, y), em = at, placer.em
    for dx, dy in placer.offsets():
        if placer.room.take_if_free([round_box(x + dx, y + dy, RADIUS_EM * em)]):
            return Mark(x=x, y=y, svg=_disc(refill, dx, dy, em), kind="stop")
    dot = f'<circle class="stop" r="{0.3 * em:.2f}"><title>refill stop {refill.stop}</title></circle>'
    return Mark(x=x, y=y, svg=dot, kind="more")


def _disc(refill: Refill, dx: float, dy: float, em: float) -> str:
    size = 0.95 * em if refill.stop < 100 else 0.75 * em
    return (
        f'{leader_svg(dx, dy)}<circle class="stop" cx="{dx:.2f}" cy="{dy:.2f}" r="{RADIUS_EM * em:.2f}"><title>refill stop {refill.stop}</title></circle>'
        f'<text x="{dx:.2f}" y="{dy + 0.35 * size:.2f}" font-size="{size:.2f}" font-weight="bold" text-anchor="middle">{refill.stop}</text>'
    )


def loads(load_kg: Mapping[str, float], q: Quantities) -> tuple[str, ...]:
    """What is poured in, at length and in short; nothing if nothing is."""
    boxes = {box: kg for box, kg in load_kg.items() if kg > MIN_KG}
    each = " + ".join(f"{box} {q.mass(kg)}" for box, kg in boxes.items())
    return (f"{each} {q.mass_unit}", f"{q.mass(sum(boxes.values()))} {q.mass_unit}") if boxes else ()


def poured_at(field: FieldPlan, stand: shapely.Point) -> str:
    """The stops whose seed is poured in at a stand: "stop 3", "stops 1–9, 12"; empty if none is."""
    at = [leg.line for leg in field.supply.legs if leg.kind == "refill"]
    pairs = zip(field.supply.refills, at, strict=True)
    stops = [refill.stop for refill, line in pairs if shapely.distance(line, stand) < 1.0]
    return numbered(stops, "stop", "stops") if stops else ""


def numbered(numbers: Sequence[int], one: str, many: str) -> str:
    """Numbers that rise, in few words.

    Examples
    --------
    >>> numbered([1, 2, 3, 12], "stop", "stops"), numbered([4], "pass", "passes")
    ('stops 1–3, 12', 'pass 4')
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    text = ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs)
    return f"{one if len(numbers) == 1 else many} {text}"
