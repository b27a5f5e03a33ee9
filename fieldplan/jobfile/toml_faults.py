"""Explain a TOML file that cannot be read: which line, what is wrong with it and how to write it."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from fieldplan.errors import JobFileError, Problem, problem
from fieldplan.facts import Fact, Value, fact
from fieldplan.files import Purpose
from fieldplan.jobfile.toml_line import CURLY, KEY, REPEATED, bare, fault, parses, with_commas

MAX_SHOWN = 20
LONGEST_LINE = 100
MAX_LIST_LINES = 200
Cured = tuple[Fact, str | Fact]
"""What is wrong with a line, and the line as it should be or what to do; empty if that is not known."""
_AT = re.compile(r"\(at line (\d+), column \d+\)")


def parsed(content: bytes, path: Path, purpose: Purpose) -> dict[str, Any]:
    """Return the document of a TOML file.

    Parameters
    ----------
    content
        The bytes of the file.
    path
        The file, to be named in problems.
    purpose
        What it is read for.

    Raises
    ------
    JobFileError
        If it is not text in UTF-8, or with every line that cannot be read and how to write it.
    """
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise _not_text(content, path, purpose) from None
    if "\0" in text:
        raise _not_text(content, path, purpose)
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise JobFileError(_of_file("not-toml/nested", path, purpose)) from None
    except ValueError as error:  # a fault of the text, or a number of thousands of digits
        raise JobFileError(_problems(text, path, purpose, str(error))) from None


def _not_text(raw: bytes, path: Path, purpose: Purpose) -> JobFileError:
    """Return the error for a file that is not text in UTF-8."""
    if raw[:2] == b"PK" or raw[:4] == b"\xd0\xcf\x11\xe0":
        return JobFileError(_of_file("not-text/office", path, purpose))
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff") or b"\0" in raw[:64]:
        return JobFileError(_of_file("not-text/wide", path, purpose))
    return JobFileError(_of_file("not-text/toml", path, purpose))


def _of_file(kind: str, path: Path, purpose: Purpose, **values: Value) -> Problem:
    """Return a problem of a file; its code begins with what the file was read for."""
    return problem(f"{purpose.code}-{kind}", file=str(path), cure=None, what=purpose.what, **values)


def _problems(text: str, path: Path, purpose: Purpose, parser_message: str) -> tuple[Problem, ...]:
    if is_what := _whole_file(text):
        return (_of_file("not-toml/other", path, purpose, is_what=is_what),)
    lines = text.splitlines()
    problems = [
        _of_file(
            "not-toml/line" if right else "not-toml/line-shape",
            path,
            purpose,
            line=str(number),
            shown=_line_text(lines[number - 1]),
            why=why,
            right=right,
        )
        for number, (why, right) in sorted(_faults(lines).items())
    ][:MAX_SHOWN]
    return tuple(problems) or (_in_parser_words(lines, path, purpose, parser_message),)


def _whole_file(text: str) -> Fact | None:
    """Return what the file is, if it is no TOML at all."""
    head = text.lstrip("\ufeff \t\r\n")[:200]
    if head.startswith("{\\rtf"):
        return fact("file-is/rtf")
    if head[:1] == "<":
        return fact("file-is/xml")
    if head[:1] == "{":
        return fact("file-is/json")
    lines = text.splitlines()
    n_with_colon = sum(bool(re.match(r"\s*(- )?\w[\w ]*:", line)) for line in lines)
    if n_with_colon > 1 and not any("=" in line for line in lines):
        return fact("file-is/yaml")
    return None


def _faults(lines: list[str]) -> dict[int, Cured]:
    """Return the faults by line number: of single lines and lists or, if there are none, duplicates."""
    faults: dict[int, Cured] = {}
    number, count = 1, len(lines)
    while number <= count:
        line = lines[number - 1]
        if _closed(line) or not _opens_list(line):
            if _closed(line) and not parses(line) and (of_line := fault(line)):
                faults[number] = of_line
            elif not _closed(line):
                faults[number] = fault(line) or (fact("line/unreadable"), "")
            number = _beyond(lines, number) if number in faults else number + 1
            continue
        last = _end_of_list(lines, number)
        if last is not None:
            number = last + 1
            continue
        at, of_list = _list_fault(lines, number)
        faults[at] = of_list
        number = _beyond(lines, max(at, number))
    return faults or _duplicates(lines)


def _end_of_list(lines: list[str], first: int) -> int | None:
    """Return the number of the line up to which lines can be read together; ``None`` if they cannot."""
    until = min(len(lines), first + MAX_LIST_LINES)
    return next(
        (last for last in range(first + 1, until + 1) if parses("\n".join(lines[first - 1 : last]))), None
    )


def _beyond(lines: list[str], number: int) -> int:
    """Return the next line after a fault that is outside the faulty list or text."""
    number += 1
    while number <= len(lines) and re.match(r"\s*[\"'\]}]", lines[number - 1]):
        number += 1
    return number


def _opens_list(line: str) -> bool:
    """Whether a line begins a list or text that may go on in the next line."""
    value = bare(line).partition("=")[2].strip()
    return value.startswith(("[", '"""', "'''", "{"))


def _closed(line: str) -> bool:
    """Whether every bracket of a line is closed in it."""
    plain = re.sub(r'"(?:[^"\\]|\\.)*"|\'[^\']*\'', "", bare(line))
    return (
        plain.count("[") == plain.count("]")
        and plain.count("{") == plain.count("}")
        and '"""' not in line
        and "'''" not in line
    )


def _list_fault(lines: list[str], first: int) -> tuple[int, Cured]:
    """Return the line at fault in a list that begins in a line and cannot be read, and what is wrong."""
    for number in range(first, min(len(lines), first + MAX_LIST_LINES) + 1):
        line = bare(lines[number - 1])
        if number > first and re.match(rf"\s*({KEY}\s*=|\[\[?\s*[A-Za-z])", line):
            close = "}" if "{" in bare(lines[first - 1]) and "[" not in bare(lines[first - 1]) else "]"
            return first, _unclosed(lines[first - 1], close)
        mended = with_commas(line)
        if mended != line:
            return number, (fact("line/no-comma"), mended.strip())
        after = lines[number].strip() if number < len(lines) else ""
        ends_a_value = re.search(r'["\'}\]]\s*$', line) and "=" not in line.split('"')[0][-2:-1]
        if ends_a_value and re.match(r'["\'{]', after):
            return number, (fact("line/no-comma-at-end"), line.rstrip() + ",")
        if line.translate(CURLY) != line:
            return number, (fact("line/curly-quotes"), line.translate(CURLY).strip())
    return first, _unclosed(lines[first - 1], "]")


def _unclosed(line: str, close: str) -> Cured:
    right, why = line.rstrip() + close, fact("line/list-open", sign=close)
    return why, right.strip() if parses(right) else fact("right/at-its-end", sign=close)


def _duplicates(lines: list[str]) -> dict[int, Cured]:
    """Return the first key or table that is written twice where only one may be, by line number."""
    seen: dict[tuple[str, str], int] = {}
    headers: dict[str, int] = {}
    table, part = "", 0
    for number, line in enumerate(lines, start=1):
        if double := re.match(r"\s*\[\[\s*([^\]]+?)\s*\]\]", line):
            table, part = double[1], number
            if table in headers:
                why = fact("line/single-and-double", table=table, line=str(number))
                return {headers[table]: (why, f"[[{table}]]")}
            for below in [header for header in headers if header.startswith(f"{table}.")]:
                del headers[below]
        elif single := re.match(r"\s*\[\s*([^\[\]]+?)\s*\]", line):
            table, part = single[1], number
            if table in headers:
                why = fact("line/stands-already", what=f"[{table}]", line=str(headers[table]))
                right = fact("right/head-of-each" if table in REPEATED else "right/one-head", table=table)
                return {number: (why, right)}
            headers[table] = number
        elif key := re.match(rf"\s*({KEY})\s*=", line):
            if (f"{table}{part}", key[1]) in seen:
                why = fact("line/stands-already", what=key[1], line=str(seen[f"{table}{part}", key[1]]))
                return {number: (why, fact("right/once"))}
            seen[f"{table}{part}", key[1]] = number
    return {}


def _in_parser_words(lines: list[str], path: Path, purpose: Purpose, parser_message: str) -> Problem:
    """Return the fault in the words of Python's TOML parser, with the line."""
    at = _AT.search(parser_message)
    number = min(int(at[1]), len(lines)) if at else len(lines)
    what = _AT.sub("", parser_message).replace("(at end of document)", "").strip()
    line_text = _line_text(lines[number - 1]) if lines and number else ""
    parser_message = f"{what[:1].lower()}{what[1:]}"
    return _of_file("not-toml/said", path, purpose, line=str(number), shown=line_text, said=parser_message)


def _line_text(line: str) -> str:
    """Return a line as messages quote it, without its comment and cut off if it is long."""
    line = bare(line).strip() or line.strip()
    return line if len(line) <= LONGEST_LINE else line[: LONGEST_LINE - 1] + "…"
