"""Pieces of HTML: text, lists, tables that become cards on a narrow screen."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape
from itertools import groupby
from typing import Any

from fieldplan.report.words.plain import plain


def text(written: str) -> str:
    """Text as HTML."""
    return escape(plain(written))


def text_block(written: str) -> str:
    """Text of several lines as HTML."""
    return escape("\n".join(plain(line) for line in written.splitlines()))


def listed(texts: Iterable[str]) -> str:
    """A list of texts."""
    return f"<ul>{''.join(f'<li>{text(one)}</li>' for one in texts)}</ul>"


def held(html: str) -> str:
    """HTML that is shown where no script runs, and else when its place is scrolled to: until then it costs nothing."""
    return f"<noscript>{html}</noscript>"


def table(caption: str, data: Mapping[str, Any], left: int) -> str:
    """A table whose first ``left`` columns are text and the rest numbers; the first names the row.

    Parameters
    ----------
    caption
        What it lists.
    data
        Its ``header`` and ``rows``.
    left
        How many columns are text.
    """
    body = "".join(_row(data["header"], cells, left, named=True) for cells in data["rows"])
    return _table(caption, data["header"], f"<tbody>{body}</tbody>", left)


def grouped_table(caption: str, data: Mapping[str, Any], left: int) -> str:
    """A table whose first column names groups of rows: it stands once, over its group.

    Parameters
    ----------
    caption
        What it lists.
    data
        Its ``header`` and ``rows``; an empty cell among the first ``left`` columns says the same as the one above.
    left
        How many columns are text.
    """
    header = data["header"][1:]
    bodies = []
    for name, rows in groupby(_filled(data["rows"], 2), key=lambda row: row[0]):
        head = f'<tr role="row"><th role="rowheader" scope="rowgroup" colspan="{len(header)}" class="t group">{text(name)}</th></tr>'
        inner = "".join(_row(header, row[1:], left - 1, named=False) for row in rows)
        bodies.append(f'<tbody role="rowgroup">{head}{inner}</tbody>')
    return _table(caption, header, "".join(bodies), left - 1, long=True)


def _filled(rows: Iterable[Sequence[str]], n: int) -> Iterable[list[str]]:
    """Rows with what stands above in their first ``n`` empty cells."""
    above: list[str] = []
    for row in rows:
        same = row[0] == "" and bool(above)
        above = [(above[i] if same and i < n and cell == "" else cell) for i, cell in enumerate(row)]
        yield above


def _table(caption: str, header: Sequence[str], bodies: str, left: int, *, long: bool = False) -> str:
    head = "".join(
        f'<th role="columnheader" scope="col"{" class=t" if i < left else ""}>{text(name)}</th>'
        for i, name in enumerate(header)
    )
    return (
        f'<table role="table"{" class=long" if long else ""}><caption>{text(caption)}</caption>'
        f'<thead role="rowgroup"><tr role="row">{head}</tr></thead>{bodies}</table>'
    )


def _row(header: Sequence[str], cells: Sequence[str], left: int, *, named: bool) -> str:
    written = []
    for i, (name, cell) in enumerate(zip(header, cells, strict=True)):
        kind = " class=t" if i < left else ""
        if named and i == 0:
            written.append(f'<th role="rowheader" scope="row" class=t>{text(cell)}</th>')
        else:
            written.append(f'<td role="cell"{kind} data-th="{text(name)}">{text(cell)}</td>')
    return f'<tr role="row">{"".join(written)}</tr>'
