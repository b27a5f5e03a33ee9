"""What is wrong with a TOML file that cannot be read: the line, its text and how it should be, in plain words."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from fieldplan.errors import JobFileError, Problem
from fieldplan.files import Purpose
from fieldplan.jobfile.toml_line import CURLY, KEY, MANY, Fault, bare, fault, parses, with_commas

MOST_SHOWN = 20
LONGEST_LINE = 100
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
        raise JobFileError.of(f"{purpose.code}-not-toml", f"{path}: is nested too deep to be a {purpose.what}.") from None
    except ValueError as error:  # a fault of the text, or a number of thousands of digits
        raise JobFileError(_problems(text, path, purpose, str(error))) from None


def _not_text(raw: bytes, path: Path, purpose: Purpose) -> JobFileError:
    """The error for a file that is no text in UTF-8."""
    if raw[:2] == b"PK" or raw[:4] == b"\xd0\xcf\x11\xe0":
        kind = "is a word processor's or spreadsheet's file, not plain text"
    elif raw[:2] in (b"\xff\xfe", b"\xfe\xff") or b"\0" in raw[:64]:
        kind = "is text in UTF-16, as some editors save it, not in UTF-8"
    else:
        kind = "is no text file in UTF-8"
    return JobFileError.of(f"{purpose.code}-not-text", f"{path}: {kind}.", f"save the {purpose.what} as plain text in UTF-8")


def _problems(text: str, path: Path, purpose: Purpose, said: str) -> tuple[Problem, ...]:
    code, whole = f"{purpose.code}-not-toml", _whole_file(text)
    if whole:
        return (Problem(code=code, told=f"{path}: {whole}.", told_hint=f"save the {purpose.what} as plain text in UTF-8"),)
    lines = text.splitlines()
    found = [
        Problem(
            code=code,
            told=f"{path}, line {number} ({_shown(lines[number - 1])}) {why}.",
            told_hint=f"write {right}" if right else _SHAPE,
        )
        for number, (why, right) in sorted(_faults(lines).items())
    ][:MOST_SHOWN]
    return tuple(found) or (_as_said(lines, path, code, said),)


_SHAPE = 'each line is key = value, a table such as [drill], or a remark after #; quantities go in quotes, such as field_speed = "4.5 mph"'


def _whole_file(text: str) -> str | None:
    """What the file is instead, if it is no TOML at all."""
    head = text.lstrip("\ufeff \t\r\n")[:200]
    if head.startswith("{\\rtf"):
        return "is a rich text (RTF) file, not plain text"
    if head[:1] == "<":
        return "is a web page or XML, not a TOML file"
    if head[:1] == "{":
        return "is JSON, not TOML (TOML has lines such as rows = 16 under a table such as [drill])"
    lines = text.splitlines()
    if not any("=" in line for line in lines) and sum(bool(re.match(r"\s*(- )?\w[\w ]*:", line)) for line in lines) > 1:
        return "is YAML, not TOML (TOML has lines such as rows = 16 under a table such as [drill])"
    return None


def _faults(lines: list[str]) -> dict[int, Fault]:
    """Faults by number of the line: those that show in one line, then lists that are not closed or lack a comma, then what stands twice."""
    faults: dict[int, Fault] = {}
    number, count = 1, len(lines)
    while number <= count:
        line = lines[number - 1]
        if _closed(line) or not _opens_list(line):
            if _closed(line) and not parses(line) and (found := fault(line)):
                faults[number] = found
            elif not _closed(line):
                faults[number] = fault(line) or ("cannot be read", "")
            number = _beyond(lines, number) if number in faults else number + 1
            continue
        end = next((n for n in range(number, min(count, number + 200)) if parses("\n".join(lines[number - 1 : n + 1]))), None)
        if end is not None:
            number = end + 2
            continue
        at, found = _list_fault(lines, number)
        faults[at] = found
        number = _beyond(lines, max(at, number))
    return faults or _twice(lines)


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
        plain.count("[") == plain.count("]") and plain.count("{") == plain.count("}") and '"""' not in line and "'''" not in line
    )


def _list_fault(lines: list[str], first: int) -> tuple[int, Fault]:
    """What is wrong with a list that begins in a line and is not read to its end, and in which line."""
    for number in range(first, min(len(lines), first + 200) + 1):
        line = bare(lines[number - 1])
        if number > first and re.match(rf"\s*({KEY}\s*=|\[\[?\s*[A-Za-z])", line):
            close = "}" if "{" in bare(lines[first - 1]) and "[" not in bare(lines[first - 1]) else "]"
            right = lines[first - 1].rstrip() + close
            return first, (
                f"begins a list that is not closed with {close}",
                right.strip() if parses(right) else f"a {close} at its end",
            )
        mended = with_commas(line)
        if mended != line:
            return number, ("lacks a comma in its list", mended.strip())
        after = lines[number].strip() if number < len(lines) else ""
        if re.search(r'["\'}\]]\s*$', line) and re.match(r'["\'{]', after) and "=" not in line.split('"')[0][-2:-1]:
            return number, ("lacks a comma at its end", line.rstrip() + ",")
        if line.translate(CURLY) != line:
            return number, ("has curly quotes", line.translate(CURLY).strip())
    right = lines[first - 1].rstrip() + "]"
    return first, ("begins a list that is not closed with ]", right.strip() if parses(right) else "a ] at its end")


def _twice(lines: list[str]) -> dict[int, Fault]:
    """Keys and tables that stand twice where only one may."""
    seen: dict[tuple[str, str], int] = {}
    headers: dict[str, int] = {}
    table, part = "", 0
    for number, line in enumerate(lines, start=1):
        if many := re.match(r"\s*\[\[\s*([^\]]+?)\s*\]\]", line):
            table, part = many[1], number
            if table in headers:
                return {
                    headers[table]: (f"[{table}] stands in single brackets, and in double ones in line {number}", f"[[{table}]]")
                }
            for below in [one for one in headers if one.startswith(f"{table}.")]:
                del headers[below]
        elif one := re.match(r"\s*\[\s*([^\[\]]+?)\s*\]", line):
            table, part = one[1], number
            if table in headers:
                many_there = table in MANY
                right = f"[[{table}]] above each of them" if many_there else f"one [{table}] with all its lines"
                return {number: (f"[{table}] stands in line {headers[table]} already", right)}
            headers[table] = number
        elif key := re.match(rf"\s*({KEY})\s*=", line):
            if (f"{table}{part}", key[1]) in seen:
                return {number: (f"{key[1]} stands in line {seen[f'{table}{part}', key[1]]} already", "it once")}
            seen[f"{table}{part}", key[1]] = number
    return {}


def _as_said(lines: list[str], path: Path, code: str, said: str) -> Problem:
    """The fault as the reader of TOML puts it, with the line."""
    at = _AT.search(said)
    number = min(int(at[1]), len(lines)) if at else len(lines)
    what = _AT.sub("", said).replace("(at end of document)", "").strip()
    line = f", line {number} ({_shown(lines[number - 1])})" if lines and number else ""
    return Problem(code=code, told=f"{path}{line} cannot be read ({what[:1].lower()}{what[1:]}).", told_hint=_SHAPE)


def _shown(line: str) -> str:
    """A line as it is named, cut where it is very long."""
    line = bare(line).strip() or line.strip()
    return line if len(line) <= LONGEST_LINE else line[: LONGEST_LINE - 1] + "…"
