"""Pictures and tables of the report, as they stand on the planning page."""

from __future__ import annotations

import re
from collections.abc import Sequence

from fieldplan.report.html.tags import table, text

_STYLE = re.compile(r"<style>.*?</style>", re.DOTALL)
_SIZE = re.compile(r'<svg([^>]*?) width="[^"]*" height="[^"]*"')


def bare(svg: str) -> str:
    """A picture as wide as its place, without a style sheet of its own: the page has those rules."""
    return _SIZE.sub(r"<svg\1", _STYLE.sub("", svg), count=1)


def figure(title: str, svg: str) -> str:
    """A picture; nothing without one."""
    if not svg:
        return ""
    return f'<figure class="chart" role="group" aria-label="{text(title)}">{bare(svg)}</figure>'


def scrolled(caption: str, header: Sequence[str], rows: Sequence[Sequence[str]], left: int) -> str:
    """A table that scrolls sideways where it is wider than its place."""
    made = table(caption, {"header": header, "rows": rows}, left)
    return f'<div class="wide" tabindex="0" role="region" aria-label="{text(caption)}">{made}</div>'


def filled(rows: Sequence[Sequence[str]], left: int) -> list[tuple[str, ...]]:
    """Rows with what stands above in their first ``left`` cells, where these are empty."""
    above: Sequence[str] = ()
    found = []
    for row in rows:
        same = bool(above) and row[0] == ""
        above = tuple(above[i] if same and i < left and cell == "" else cell for i, cell in enumerate(row))
        found.append(tuple(above))
    return found
