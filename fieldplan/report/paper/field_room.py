"""What stands on which page of a field sheet, and how much of the first is left for the map."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from fieldplan.report.typeset import Paper

PAGE_MM: dict[Paper, tuple[float, float]] = {"us-letter": (215.9, 279.4), "a4": (210.0, 297.0)}
MARGIN_MM = (12.0, 21.0, 13.0)
"""At the sides; above, where the name of the field stands; and below: as in ``field.typ``."""
MAP_HIGH_MM = (75.0, 186.0)
"""A map is no lower and no higher than this."""
WANTED_MM, AROUND_MAP_MM, STOP_MM = 88.0, 45.0, 4.0
"""The height of a map that is read at arm's length, what of it title, legend and enlarged part take, and what each stop
beyond a few adds."""
STOPS_A_PAGE = 6
"""A field has a page more than two for every so many stops at most."""
MAX_PARAGRAPHS = 12
"""More stretches of the sequence than this run on in one paragraph."""
SHORT_LETTERS = 46
"""Figures with fewer letters stand two to a line."""
HOLDS_LETTERS = 32
"""Letters of what a box holds that stand on one line."""
LOAD_MM = 4.75
"""A line of a load, with its weight in large type."""
ABOUT = 0.1
"""Heights are only about right: what is said to run over by no more than this share of a page may well find room."""
LINE_MM, GAP_MM, LETTER_MM, HEADING_MM, FRAME_MM = 4.5, 0.6, 1.72, 8.0, 5.0
"""About the height of a line of text in the smallest type, what lies between paragraphs, the width of a letter, and what
a heading and a frame take."""


def placed(sheet: Mapping[str, Any], paper: Paper, *, n_stops: int, slender_frac: float) -> dict[str, Any]:
    """What of a sheet stands where: map and order of passes on one page, or on a page each where the map would be small.

    Where the page of the loads would run over, notes go to the page of the map, and then the figures that no refill needs.

    Parameters
    ----------
    sheet
        As `field_sheet.sheet_of` makes it.
    paper
        The size of the pages.
    n_stops
        Stops to refill: a field without any has two pages.
    slender_frac
        The short side of the field over its long side: a map of a slender field need not be high.

    Returns
    -------
    dict
        "front", "back" and "sequence" as they are to be; "apart", whether the order of passes has a page of its own;
        "notes-in-front", whether notes stand with the map; and "map-mm", the size of the map.
    """
    wide, high = (PAGE_MM[paper][0] - 2 * MARGIN_MM[0], PAGE_MM[paper][1] - sum(MARGIN_MM[1:]))
    crowded_mm = WANTED_MM + STOP_MM * max(0, n_stops - STOPS_A_PAGE)
    wanted_mm = min(crowded_mm, max(MAP_HIGH_MM[0], slender_frac * wide + AROUND_MAP_MM), MAP_HIGH_MM[1])
    numbered = dict(sheet) | {"sequence": _numbered(sheet["sequence"])}
    front_mm = _front_mm(numbered, wide)
    least_mm = MAP_HIGH_MM[0]
    if n_stops and front_mm + wanted_mm <= high:
        least_mm = wanted_mm
    elif n_stops and (apart := _apart(sheet, wide, high, n_stops)):
        return apart
    moved = _moved(numbered, high - front_mm - least_mm, wide, high)
    return _kept(moved, wide, least_mm + max(0.0, moved["spare-mm"]), apart=False)


def _apart(sheet: Mapping[str, Any], wide_mm: float, high_mm: float, n_stops: int) -> dict[str, Any]:
    """A sheet with a page for the map and one for the order of passes; nothing if these or the loads need more pages."""
    lines = _lines(sheet["sequence"])
    order_mm = _texts_mm([sheet["rule"], *lines], wide_mm) + 2 * HEADING_MM
    above_mm = _front_mm(dict(sheet) | {"sequence": [], "rule": ""}, wide_mm)
    spare_mm = high_mm - above_mm - WANTED_MM
    moved = _moved(dict(sheet) | {"sequence": lines}, spare_mm, wide_mm, high_mm)
    pages = 1 + math.ceil(order_mm / high_mm) + math.ceil(_back_mm(moved, wide_mm) / high_mm)
    if moved["spare-mm"] < 0.0 or pages > 2 + math.ceil(n_stops / STOPS_A_PAGE):
        return {}
    return _kept(moved, wide_mm, WANTED_MM + moved["spare-mm"], apart=True)


def _kept(moved: Mapping[str, Any], wide_mm: float, map_mm: float, *, apart: bool) -> dict[str, Any]:
    """What `placed` returns of a sheet whose parts were moved."""
    names = ("front", "back", "sequence", "notes-in-front")
    kept = {name: moved[name] for name in names}
    return kept | {"apart": apart, "map-mm": [wide_mm, min(map_mm, MAP_HIGH_MM[1])]}


def _moved(sheet: Mapping[str, Any], spare_mm: float, wide_mm: float, high_mm: float) -> dict[str, Any]:
    """A sheet with notes, then figures, taken to the map, if that and no less saves a page of the loads."""
    back_mm = _back_mm(sheet, wide_mm)
    over_mm = back_mm % high_mm if back_mm > high_mm else 0.0
    as_it_is = dict(sheet) | {"notes-in-front": False, "spare-mm": spare_mm}
    moved = dict(as_it_is)
    notes_mm = _texts_mm(sheet["notes"], wide_mm) + HEADING_MM
    if over_mm > 0.0 and notes_mm <= spare_mm:
        moved |= {"notes-in-front": True, "notes": []}
        spare_mm, over_mm = spare_mm - notes_mm, over_mm - notes_mm
    for answer in sheet["movable"]:
        answer_mm = _texts_mm([": ".join(answer)], wide_mm)
        if over_mm > 0.0 and answer_mm <= spare_mm:
            moved["front"] = [*moved["front"], answer]
            moved["back"] = [one for one in moved["back"] if one != answer]
            spare_mm, over_mm = spare_mm - answer_mm, over_mm - answer_mm
    return as_it_is if over_mm > ABOUT * high_mm else moved | {"spare-mm": spare_mm}


def _lines(lines: Sequence[str]) -> list[str]:
    """Lines with their numbers; steps and how often they are made stay on one line."""
    kept = [line.replace(" × ", "\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}") for line in lines]
    return [f"{n}. {line}" for n, line in enumerate(kept, start=1)]


def _numbered(lines: Sequence[str]) -> list[str]:
    """Lines with their numbers; many short ones run on in one paragraph."""
    numbered = _lines(lines)
    return [" ".join(numbered)] if len(lines) > MAX_PARAGRAPHS else numbered


def _texts_mm(texts: Sequence[str], wide_mm: float) -> float:
    """About the height of texts, a paragraph each, in the smallest type."""
    return sum(math.ceil(len(text) * LETTER_MM / wide_mm) * LINE_MM + GAP_MM for text in texts)


def _front_mm(sheet: Mapping[str, Any], wide_mm: float) -> float:
    """About the height of what stands below the map."""
    texts = [
        *(f"{name}: {text}" for name, text in sheet["front"]),
        *(line for line in (sheet["rule"], " ".join(sheet["treated"])) if line),
        *sheet["sequence"],
        *sheet["warnings"],
    ]
    frames = sum(FRAME_MM for framed in (sheet["warnings"], sheet["treated"]) if framed)
    return _texts_mm(texts, wide_mm) + frames + HEADING_MM + 9.0


def _back_mm(sheet: Mapping[str, Any], wide_mm: float) -> float:
    """About the height of the second page."""
    answers = [": ".join(answer) for answer in sheet["back"]]
    short = [answer for answer in answers if len(answer) < SHORT_LETTERS]
    texts = [
        *(answer for answer in answers if answer not in short),
        *short[: math.ceil(len(short) / 2)],
        " ".join(sheet["changes"]),
        *sheet["notes"],
        *(sheet["treated"][:1]),
    ]
    rows = sheet["loads"]["rows"]
    loads = sum(LOAD_MM + (LINE_MM + 1.8 if row[0] else 0.0) for row in rows)
    boxes = sum(LINE_MM * math.ceil(len(row[1]) / HOLDS_LETTERS) + 0.6 for row in sheet["boxes"]["rows"])
    blanks = math.ceil(len(sheet["blanks"]) / 3) * 6.5
    frame = FRAME_MM if sheet["treated"] else 0.0
    return 1.02 * (_texts_mm(texts, wide_mm) + frame + loads + boxes + LINE_MM + blanks + 4 * HEADING_MM)
