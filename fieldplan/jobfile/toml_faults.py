"""What is wrong with a TOML file that cannot be read: the line, its text and how it should be, in plain
words.
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from fieldplan.errors import JobFileError, Problem, problem
from fieldplan.facts import Fact, Value, fact
from fieldplan.files import Purpose
from fieldplan.jobfile.toml_line import CURLY, KEY, MANY, bare, fault, parses, with_commas

MAX_SHOWN = 20
LONGEST_LINE = 100
Cured = tuple[Fact, str | Fact]
"""What is wrong with a line, and the line as it should be, or what to do about it; empty if that is not known."""
_AT = re.compile(r"\(at line (\d+), column \d+\)")


def parsed(content: bytes, path: Path, purpose: Purpose) -> dict[str, Any]:
    """The document of a TOML file's bytes, read for a purpose.

    Raises
    ------
    JobFileError
        If it is no text in UTF-8, or with every line that cannot be read, each with what it should be.
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
    """The error for a file that is no text in UTF-8."""
    if raw[:2] == b"PK" or raw[:4] == b"\xd0\xcf\x11\xe0":
        return JobFileError(_of_file("not-text/office", path, purpose))
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff") or b"\0" in raw[:64]:
        return JobFileError(_of_file("not-text/wide", path, purpose))
    return JobFileError(_of_file("not-text/toml", path, purpose))


def _of_file(kind: str, path: Path, purpose: Purpose, **values: Value) -> Problem:
    """A problem of a whole file or a line of it, by what is wrong; what the file was read for begins its
    code.
    """
    return problem(f"{purpose.code}-{kind}", file=str(path), cure=None, what=purpose.what, **values)


def _problems(text: str, path: Path, purpose: Purpose, parser_message: str) -> tuple[Problem, ...]:
    if is_what := _whole_file(text):
        return (_of_file("not-toml/other", path, purpose, is_what=is_what),)
    lines = text.splitlines()
    found = [
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
    return tuple(found) or (_as_parser_said(lines, path, purpose, parser_message),)


def _whole_file(text: str) -> Fact | None:
    """What the file is instead, if it is no TOML at all."""
    head = text.lstrip("\ufeff \t\r\n")[:200]
    if head.startswith("{\\rtf"):
        return fact("file-is/rtf")
    if head[:1] == "<":
        return fact("file-is/xml")
    if head[:1] == "{":
        return fact("file-is/json")
    lines = text.splitlines()
    if (
        not any("=" in line for line in lines)
        and sum(bool(re.match(r"\s*(- )?\w[\w ]*:", line)) for line in lines) > 1
    ):
        return fact("file-is/yaml")
    return None


def _faults(lines: list[str]) -> dict[int, Cured]:
    """Faults by number of the line: those that show in one line, then lists that are not closed or lack a
    comma, then what stands twice.
    """
    faults: dict[int, Cured] = {}
    number, count = 1, len(lines)
    while number <= count:
        line = lines[number - 1]
        if _closed(line) or not _opens_list(line):
            if _closed(line) and not parses(line) and (found := fault(line)):
                faults[number] = found
            elif not _closed(line):
                faults[number] = fault(line) or (fact("line/unreadable"), "")
            number = _beyond(lines, number) if number in faults else number + 1
            continue
        end = next(
            (
                n
                for n in range(number, min(count, number + 200))
                if parses("\n".join(lines[number - 1 : n + 1]))
            ),
            None,
        )
        if end is not None:
            number = end + 2
            continue
        at, of_list = _list_fault(lines, number)
        faults[at] = of_list
        number = _beyond(lines, max(at, number))
    return faults or _duplicates(lines)


def _beyond(lines: list[str], number: int) -> int:
    """The next line after a fault that is no more of the list or text it stands in."""
    number += 1
    while number <= len(lines) and re.match(r"\s*[\"'\]}]", lines[number - 1]):
        number += 1
    return number


def _opens_list(line: str) -> bool:
    """Whether a line begins a list or text that goes on in the next line."""
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
    """What is wrong with a list that begins in a line and is not read to its end, and in which line."""
    for number in range(first, min(len(lines), first + 200) + 1):
        line = bare(lines[number - 1])
        if number > first and re.match(rf"\s*({KEY}\s*=|\[\[?\s*[A-Za-z])", line):
            close = "}" if "{" in bare(lines[first - 1]) and "[" not in bare(lines[first - 1]) else "]"
            return first, _unclosed(lines[first - 1], close)
        mended = with_commas(line)
        if mended != line:
            return number, (fact("line/no-comma"), mended.strip())
        after = lines[number].strip() if number < len(lines) else ""
        if (
            re.search(r'["\'}\]]\s*$', line)
            and re.match(r'["\'{]', after)
            and "=" not in line.split('"')[0][-2:-1]
        ):
            return number, (fact("line/no-comma-at-end"), line.rstrip() + ",")
        if line.translate(CURLY) != line:
            return number, (fact("line/curly-quotes"), line.translate(CURLY).strip())
    return first, _unclosed(lines[first - 1], "]")


def _unclosed(line: str, close: str) -> Cured:
    right = line.rstrip() + close
    return fact("line/list-open", sign=close), right.strip() if parses(right) else fact(
        "right/at-its-end", sign=close
    )


def _duplicates(lines: list[str]) -> dict[int, Cured]:
    """Keys and tables that stand twice where only one may."""
    seen: dict[tuple[str, str], int] = {}
    headers: dict[str, int] = {}
    table, part = "", 0
    for number, line in enumerate(lines, start=1):
        if many := re.match(r"\s*\[\[\s*([^\]]+?)\s*\]\]", line):
            table, part = many[1], number
            if table in headers:
                why = fact("line/single-and-double", table=table, line=str(number))
                return {headers[table]: (why, f"[[{table}]]")}
            for below in [header for header in headers if header.startswith(f"{table}.")]:
                del headers[below]
        elif one := re.match(r"\s*\[\s*([^\[\]]+?)\s*\]", line):
            table, part = one[1], number
            if table in headers:
                right = fact("right/head-of-each" if table in MANY else "right/one-head", table=table)
                return {
                    number: (
                        fact("line/stands-already", what=f"[{table}]", line=str(headers[table])),
                        right,
                    )
                }
            headers[table] = number
        elif key := re.match(rf"\s*({KEY})\s*=", line):
            if (f"{table}{part}", key[1]) in seen:
                why = fact("line/stands-already", what=key[1], line=str(seen[f"{table}{part}", key[1]]))
                return {number: (why, fact("right/once"))}
            seen[f"{table}{part}", key[1]] = number
    return {}


def _as_parser_said(lines: list[str], path: Path, purpose: Purpose, parser_message: str) -> Problem:
    """The fault as the reader of TOML puts it, with the line."""
    at = _AT.search(parser_message)
    number = min(int(at[1]), len(lines)) if at else len(lines)
    what = _AT.sub("", parser_message).replace("(at end of document)", "").strip()
    line_text = _line_text(lines[number - 1]) if lines and number else ""
    parser_message = f"{what[:1].lower()}{what[1:]}"
    return _of_file("not-toml/said", path, purpose, line=str(number), shown=line_text, said=parser_message)


def _line_text(line: str) -> str:
    """A line as it is named, cut where it is very long."""
    line = bare(line).strip() or line.strip()
    return line if len(line) <= LONGEST_LINE else line[: LONGEST_LINE - 1] + "…"
