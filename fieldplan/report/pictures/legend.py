"""The legend of a map: the signs that it shows, and no others."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from fieldplan.model.plan import FieldPlan
from fieldplan.report.pictures.labels import text_width
from fieldplan.report.pictures.lines import classes_of, over_grade
from fieldplan.report.pictures.placer import Mark
from fieldplan.report.pictures.thinned import Thinned

_IN_ENLARGED = ": in the enlarged part"
SWATCH = 7.0
"""Width of a sign in the legend."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A sign and what it means; the sign stands in a box of `SWATCH` by 3 units."""

    sign: str
    text: str


def entries(field: FieldPlan, thin: Thinned, marks: Iterable[Mark]) -> list[Entry]:
    """What a map shows, in the order of the legend.

    Parameters
    ----------
    field
        The field that is drawn.
    thin
        Which of its legs are drawn.
    marks
        What else stands on the map.
    """
    kinds = {mark.kind for mark in marks}
    return [Entry(sign=sign, text=text) for sign, text in (*_lines(field, thin), *_marks(field, kinds))]


def _lines(field: FieldPlan, thin: Thinned) -> Iterator[tuple[str, str]]:
    legs = field.supply.legs
    shapes = {leg.shape for leg in legs}
    nth = "" if thin.every == 1 else f", one in {thin.every} drawn"
    if field.is_drilled:
        yield _line("pass"), f"pass{nth}, its number at the start"
    else:
        yield _line("edge"), "nothing is drilled here"
    if field.coverage.headland_rounds:
        yield _line("headland"), f"headland round{nth if thin.rounds else _IN_ENLARGED}"
    if field.is_drilled:
        yield _line("turn"), f"turn, drill lifted{'' if thin.every == 1 else _IN_ENLARGED}"
    if "backing" in shapes:
        yield _line("turn backing"), "turn that backs up"
    if "outside" in shapes:
        yield _line("turn outside"), "drill does not fit inside the edge"
    if "raised" in classes_of(legs):
        yield _line("raised"), "drill raised, goes on beyond"
    if "transfer" in classes_of(legs):
        yield _line("transfer"), "driving, drill lifted"
    if not field.coverage.open_edge.is_empty:
        yield f"{_line('edge')}{_line('open')}", "open edge: turns may swing out"
    if not field.coverage.drive_line.is_empty:
        yield _line("drive"), "driven in place of the outline's jags"
    if not over_grade(field).is_empty:
        yield _line("over-grade"), "rises or falls more than a row may"
    if field.field.guides:
        yield _line("guide"), "guide that passes follow"
    if field.coverage.audit.missed_ground.geoms:
        yield '<path class="missed" d="M0 0h7v3h-7z"/>', "missed"


def _marks(field: FieldPlan, kinds: set[str]) -> Iterator[tuple[str, str]]:
    if field.field.excluded:
        yield '<path class="excluded" d="M0 0h7v3h-7z"/>', "excluded"
    if field.hills and any(not steep.is_empty for steep in field.hills.steep):
        yield '<path class="steep" d="M0 0h7v3h-7z"/>', "steeper than 8 %; darker: than 15, than 25 %"
    if "start" in kinds:
        yield '<path class="start" d="M1 1.5h4m0 0l-1.6-1v2z"/>', "sowing starts"
    if "gate" in kinds:
        yield '<path class="gate" d="M3.5 0l1.7 3h-3.4z"/>', "gate, or where seed is poured in"
    if "stop" in kinds:
        sign = '<circle class="stop" cx="3.5" cy="1.5" r="1.5"/>'
        yield sign, "refill: leave the pass; load beside it"
    if "more" in kinds:
        yield '<circle class="stop" cx="3.5" cy="1.5" r=".7"/>', "refill stop too close to number"


def _line(kind: str) -> str:
    return f'<path class="{kind}" d="M0 1.5h7"/>'


def drawn(
    listed: Sequence[Entry], left: float, top: float, width: float, em: float
) -> tuple[list[str], float]:
    """The legend in lines of a width, and the height that it takes.

    Parameters
    ----------
    listed
        What it says.
    left, top, width
        Where it stands.
    em
        The size of its text.
    """
    parts, x, y, row = [], left, top, 1.6 * em
    for entry in listed:
        wide = SWATCH + 1.5 + text_width(entry.text, em) + 2.0
        if x > left and x + wide > left + width:
            x, y = left, y + row
        parts.append(f'<g transform="translate({x:.2f} {y:.2f})">{entry.sign}</g>')
        parts.append(
            f'<text x="{x + SWATCH + 1.2:.2f}" y="{y + 1.5 + 0.35 * em:.2f}" font-size="{em:g}">{escape(entry.text)}</text>'
        )
        x += wide
    return parts, y + row - top
