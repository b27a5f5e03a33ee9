"""Pictures of a plan as files: a map a field, where the hours go, the odds by days and by starts."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from fieldplan.report.files import Writer
from fieldplan.report.output import Output, PlanAsked, of_bytes, of_text
from fieldplan.report.pictures.hours_and_odds import hours_svg, odds_svg
from fieldplan.report.pictures.map_svg import map_svg
from fieldplan.report.pictures.starts_svg import starts_svg
from fieldplan.report.typeset import png_of
from fieldplan.report.words.plain import slugs
from fieldplan.report.words.starts import starts_of


def _pictures(asked: PlanAsked) -> Iterator[tuple[str, Callable[[], str]]]:
    """File names without their ending, and what draws each."""
    yield "picture-hours", partial(hours_svg, asked.plan)
    yield "picture-odds", partial(odds_svg, asked.plan)
    if len(starts_of(asked.plan)) > 1:
        yield "picture-starts", partial(starts_svg, asked.plan)
    names = slugs([field.field.field_id for field in asked.plan.fields])
    for name, field in zip(names, asked.plan.fields, strict=True):
        yield (
            f"map-{name}",
            partial(
                map_svg,
                field,
                asked.q,
                slope_frac=asked.plan.job.terms_for(field.field.field_id).slope_frac,
            ),
        )


def _png(draw: Callable[[], str]) -> Writer:
    return of_bytes(lambda: png_of(draw()))


SVG: Output[PlanAsked] = Output(
    name="svg",
    words="one map per field",
    make=lambda asked: {f"{name}.svg": of_text(draw) for name, draw in _pictures(asked)},
)
PNG: Output[PlanAsked] = Output(
    name="png",
    words="one picture per field",
    make=lambda asked: {f"{name}.png": _png(draw) for name, draw in _pictures(asked)},
    extra="sheets",
)
