"""A season for programs."""

from __future__ import annotations

from fieldplan.report.data.json_text import json_text
from fieldplan.report.output import Output, SeasonAsked, ready
from fieldplan.report.text.season_page import season_object

OUTPUT: Output[SeasonAsked] = Output(
    name="json",
    words="the season, SI",
    always=("season.json",),
    make=lambda asked: {"season.json": ready(json_text(season_object(asked.season)).encode())},
)
