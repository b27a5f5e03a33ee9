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
MAX_PARAGRAPHS = 12
"""More stretches of the sequence than this run on in one paragraph."""
SHORT_LETTERS = 46
"""Figures with fewer letters stand two to a line."""
HOLDS_LETTERS = 32
"""Letters of what a box holds that stand on one line."""
LOAD_MM = 4.75
"""A line of a load, with its weight in large type."""
LINE_MM, GAP_MM, LETTER_MM, HEADING_MM, FRAME_MM = 4.5, 0.6, 1.84, 8.0, 5.0
"""About the height of a line of text in the smallest type, what lies between paragraphs, the width of a letter, and what
a heading and a frame take."""


def on_two_pages(sheet: Mapping[str, Any], paper: Paper) -> dict[str, Any]:
    """What of a sheet is placed anew so that map and order of passes fill one page, and the rest one more if it can.

    Where the second page would run over, notes go below the order of passes, and then the figures that no refill needs.

    Parameters
    ----------
    sheet
        As `field_sheet.sheet_of` makes it.
    paper
        The size of the pages.

    Returns
    -------
    dict
        "front", "back" and "sequence" as they are to be; "notes-in-front"; and "map-mm", the size of the map.
    """
    wide, high = (PAGE_MM[paper][0] - 2 * MARGIN_MM[0], PAGE_MM[paper][1] - sum(MARGIN_MM[1:]))
    placed = dict(sheet) | {"sequence": _numbered(sheet["sequence"])}
    spare_mm = high - _front_mm(placed, wide) - MAP_HIGH_MM[0]
    notes_mm = _texts_mm(placed["notes"], wide) + HEADING_MM
    over_mm = _back_mm(placed, wide) - high
    in_front = over_mm > 0.0 and notes_mm <= spare_mm
    if in_front:
        spare_mm, over_mm = spare_mm - notes_mm, over_mm - notes_mm
    for answer in sheet["movable"]:
        high_mm = _texts_mm([": ".join(answer)], wide)
        if over_mm > 0.0 and high_mm <= spare_mm:
            placed["front"] = [*placed["front"], answer]
            placed["back"] = [one for one in placed["back"] if one != answer]
            spare_mm, over_mm = spare_mm - high_mm, over_mm - high_mm
    map_mm = MAP_HIGH_MM[0] + max(0.0, spare_mm)
    return {
        "front": placed["front"],
        "back": placed["back"],
        "sequence": placed["sequence"],
        "notes-in-front": in_front,
        "map-mm": [wide, min(map_mm, MAP_HIGH_MM[1])],
    }


def _numbered(lines: Sequence[str]) -> list[str]:
    """Lines with their numbers, steps and how often they are made on one line; many short ones run on in one paragraph."""
    kept = [line.replace(" × ", "\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}") for line in lines]
    numbered = [f"{n}. {line}" for n, line in enumerate(kept, start=1)]
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
