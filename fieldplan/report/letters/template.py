"""Templates of letters: plain text with named fields, checked before anything is written by them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from fieldplan.errors import InputError, Problem, Where, problem
from fieldplan.model.letters import LetterKind
from fieldplan.model.spelling import nearest
from fieldplan.report.documents.document import Part
from fieldplan.report.letters.fields import FIELDS, Values

COMMENT = "#"
_TOKEN = re.compile(r"(\{\{|\}\}|\{[^{}]*\})")


@dataclass(frozen=True, slots=True, kw_only=True)
class Template:
    """The text of one kind of letter.

    Parameters
    ----------
    title
        The heading.
    lines
        The lines below it, as typed.
    """

    kind: LetterKind
    title: str
    lines: tuple[str, ...]


def template_of(kind: LetterKind, text: str, file: str) -> Template:
    """Read a template.

    Lines that begin with "#" are remarks. The first other line is the heading; each line after it is a paragraph, or empty. A
    name in braces, such as ``{renter}``, is a field; ``{{`` and ``}}`` are braces.

    Parameters
    ----------
    file
        Where it stands, for messages.

    Raises
    ------
    InputError
        With every field that letters of this kind do not have, every brace that is not closed, and every table that does not
        stand alone on its line.
    """
    numbered = [
        (number, line.rstrip())
        for number, line in enumerate(text.splitlines(), start=1)
        if not line.startswith(COMMENT)
    ]
    problems = [found for number, line in numbered for found in _problems(kind, line, number, file)]
    lines = [line for _, line in numbered]
    while lines and not lines[0]:
        lines.pop(0)
    while lines and not lines[-1]:
        lines.pop()
    if len(lines) < 2:
        problems.append(problem("template-empty", file=file))
    elif any(FIELDS[kind][name].table for name in fields_in(lines[0]) if name in FIELDS[kind]):
        problems.append(problem("template-title", file=file))
    if problems:
        raise InputError(tuple(problems))
    return Template(kind=kind, title=lines[0], lines=tuple(lines[1:]))


def fields_in(line: str) -> list[str]:
    """The names of the fields of a line, in their order."""
    return [part[1:-1].strip() for part in _TOKEN.split(line) if part[:1] == "{" and part != "{{"]


def _problems(kind: LetterKind, line: str, number: int, file: str) -> Iterator[Problem]:
    known = FIELDS[kind]
    where: Where = {"file": file, "about": f"line {number}"}
    parts = _TOKEN.split(line)
    if any("{" in part or "}" in part for part in parts[::2]):
        yield problem("template-brace", **where)
    for name in fields_in(line):
        if name not in known:
            near = nearest(name, known) or ""
            yield problem(
                "template-field", field=name[:40], near=near, known=() if near else tuple(known), **where
            )
        elif known[name].table and line.strip() != f"{{{name}}}":
            yield problem("template-table", field=name, **where)


def filled(template: Template, values: Values) -> tuple[str, tuple[str | Part, ...]]:
    """The heading and the body of a letter: paragraphs, empty lines and tables.

    A line with a field that there is nothing to say of is left out, and so are empty lines that then follow each other.

    Parameters
    ----------
    values
        What each field of this kind of letter says.
    """
    body: list[str | Part] = []
    for line in template.lines:
        names = fields_in(line)
        if any(not values[name] for name in names):
            continue
        table = values[names[0]] if len(names) == 1 else ""
        if not isinstance(table, str):
            body += table
        elif line or (body and body[-1] != ""):
            body.append(_put(line, values))
    while body and body[-1] == "":
        body.pop()
    return _put(template.title, values), tuple(body)


def _put(line: str, values: Values) -> str:
    return "".join(_said(part, values) for part in _TOKEN.split(line))


def _said(part: str, values: Values) -> str:
    if part in ("{{", "}}"):
        return part[0]
    if part[:1] == "{":
        return str(values[part[1:-1].strip()])
    return part


def explained(kind: LetterKind, text: str, how: Mapping[LetterKind, str]) -> str:
    """A template with remarks before it on how it is edited, and what fields it may name.

    Parameters
    ----------
    how
        What each kind of letter is for.
    """
    named = [
        f"#   {{{name}}}: {field.says}{'; a table, alone on its line' if field.table else ''}"
        for name, field in FIELDS[kind].items()
    ]
    lines = (
        f"# {how[kind]}",
        "# Lines that begin with # are not printed. The first line below them is the heading; each line after it is a paragraph.",
        "# A line is left out if a field in it has nothing to say: put what may be missing on a line of its own. Its fields:",
        *named,
        "",
        text,
    )
    return "\n".join(lines)
