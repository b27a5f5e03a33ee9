"""What is wrong with a TOML file that cannot be read: the line, its text and how it should be, in plain words."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from fieldplan.errors import JobFileError, Problem
from fieldplan.jobfile import values
from fieldplan.jobfile.schema import SCHEMA
from fieldplan.jobfile.values import day_meant, whole
from fieldplan.units import number_in

MOST_SHOWN = 20
LONGEST_LINE = 100
_AT = re.compile(r"\(at line (\d+), column \d+\)")
_KEY = r"[A-Za-z0-9_.-]+"
_CURLY = str.maketrans(
    {"“": '"', "”": '"', "„": '"', "‟": '"', "«": '"', "»": '"', "‘": "'", "’": "'", "‚": "'", "`": "'", "″": '"', "′": "'"}
)
_BLANKS = str.maketrans(
    dict.fromkeys("\xa0\u2007\u202f\u2009\u200a\u2002\u2003\u3000", " ") | dict.fromkeys("\u200b\u200c\u200d\u2060\ufeff", "")
)
Fault = tuple[str, str]
"""What is wrong with a line, and how it should be (empty if that is not known)."""


def parsed(text: str, path: Path, what: str = "job file") -> dict[str, Any]:
    """The document of a TOML text.

    Raises
    ------
    JobFileError
        With every line that cannot be read, each with what it should be.
    """
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise JobFileError.of("job-not-toml", f"{path}: is nested too deep to be a {what}.") from None
    except ValueError as error:  # a fault of the text, or a number of thousands of digits
        raise JobFileError(_problems(text, path, what, str(error))) from None


def not_text(raw: bytes, path: Path, what: str = "job file") -> JobFileError:
    """The error for a file that is no text in UTF-8."""
    if raw[:2] == b"PK" or raw[:4] == b"\xd0\xcf\x11\xe0":
        kind = "is a word processor's or spreadsheet's file, not plain text"
    elif raw[:2] in (b"\xff\xfe", b"\xfe\xff") or b"\0" in raw[:64]:
        kind = "is text in UTF-16, as some editors save it, not in UTF-8"
    else:
        kind = "is no text file in UTF-8"
    return JobFileError.of("job-not-text", f"{path}: {kind}.", f"save the {what} as plain text in UTF-8")


def _problems(text: str, path: Path, what: str, said: str) -> tuple[Problem, ...]:
    whole = _whole_file(text)
    if whole:
        return (Problem(code="job-not-toml", text=f"{path}: {whole}.", hint=f"save the {what} as plain text in UTF-8"),)
    lines = text.splitlines()
    found = [
        Problem(
            code="job-not-toml",
            text=f"{path}, line {number} ({_shown(lines[number - 1])}) {why}.",
            hint=f"write {right}" if right else _SHAPE,
        )
        for number, (why, right) in sorted(_faults(lines).items())
    ][:MOST_SHOWN]
    return tuple(found) or (_as_said(lines, path, said),)


_NUMBERS = frozenset(key for keys in SCHEMA.values() for key, one in keys.items() if one.parse in (whole, values.number))
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
            if _closed(line) and not _parses(line) and (fault := _fault(line)):
                faults[number] = fault
            elif not _closed(line):
                faults[number] = _fault(line) or ("cannot be read", "")
            number = _beyond(lines, number) if number in faults else number + 1
            continue
        end = next((n for n in range(number, min(count, number + 200)) if _parses("\n".join(lines[number - 1 : n + 1]))), None)
        if end is not None:
            number = end + 2
            continue
        at, fault = _list_fault(lines, number)
        faults[at] = fault
        number = _beyond(lines, max(at, number))
    return faults or _twice(lines)


def _beyond(lines: list[str], number: int) -> int:
    """The next line after a fault that is no more of the list or text it stands in."""
    number += 1
    while number <= len(lines) and re.match(r"\s*[\"'\]}]", lines[number - 1]):
        number += 1
    return number


def _parses(text: str) -> bool:
    try:
        tomllib.loads(text)
    except (ValueError, RecursionError):
        return False
    return True


def _opens_list(line: str) -> bool:
    """Whether a line begins a list or text that goes on in the next line."""
    value = _bare(line).partition("=")[2].strip()
    return value.startswith(("[", '"""', "'''", "{"))


def _closed(line: str) -> bool:
    """Whether every bracket of a line is closed in it."""
    bare = re.sub(r'"(?:[^"\\]|\\.)*"|\'[^\']*\'', "", _bare(line))
    return bare.count("[") == bare.count("]") and bare.count("{") == bare.count("}") and '"""' not in line and "'''" not in line


def _bare(line: str) -> str:
    """A line less its remark; where a quote is not closed, what stands behind " #" is taken for one."""
    quote, opened = "", 0
    for at, sign in enumerate(line):
        if quote:
            quote = "" if sign == quote else quote
        elif sign in "\"'":
            quote, opened = sign, at
        elif sign == "#":
            return line[:at]
    remark = line.find(" #", opened) if quote else -1
    return line if remark < 0 else line[:remark]


def _list_fault(lines: list[str], first: int) -> tuple[int, Fault]:
    """What is wrong with a list that begins in a line and is not read to its end, and in which line."""
    for number in range(first, min(len(lines), first + 200) + 1):
        line = _bare(lines[number - 1])
        if number > first and re.match(rf"\s*({_KEY}\s*=|\[\[?\s*[A-Za-z])", line):
            close = "}" if "{" in _bare(lines[first - 1]) and "[" not in _bare(lines[first - 1]) else "]"
            right = lines[first - 1].rstrip() + close
            return first, (
                f"begins a list that is not closed with {close}",
                right.strip() if _parses(right) else f"a {close} at its end",
            )
        mended = _with_commas(line)
        if mended != line:
            return number, ("lacks a comma in its list", mended.strip())
        after = lines[number].strip() if number < len(lines) else ""
        if re.search(r'["\'}\]]\s*$', line) and re.match(r'["\'{]', after) and "=" not in line.split('"')[0][-2:-1]:
            return number, ("lacks a comma at its end", line.rstrip() + ",")
        if line.translate(_CURLY) != line:
            return number, ("has curly quotes", line.translate(_CURLY).strip())
    right = lines[first - 1].rstrip() + "]"
    return first, ("begins a list that is not closed with ]", right.strip() if _parses(right) else "a ] at its end")


def _with_commas(line: str) -> str:
    mended = re.sub(r'("(?:[^"\\]|\\.)*"|\d{4}-\d\d-\d\d)[ \t]+(?=["\d])', r"\1, ", line)
    mended = re.sub(r"(\})[ \t]*(?=\{)", r"\1, ", mended)
    return re.sub(rf'(=\s*(?:"[^"]*"|-?[\d.]+))[ \t]+(?={_KEY}\s*=)', r"\1, ", mended)


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
                many_there = table in ("mix", "mix.component", "drill.box", "drill.chart", "charge")
                right = f"[[{table}]] above each of them" if many_there else f"one [{table}] with all its lines"
                return {number: (f"[{table}] stands in line {headers[table]} already", right)}
            headers[table] = number
        elif key := re.match(rf"\s*({_KEY})\s*=", line):
            if (f"{table}{part}", key[1]) in seen:
                return {number: (f"{key[1]} stands in line {seen[f'{table}{part}', key[1]]} already", "it once")}
            seen[f"{table}{part}", key[1]] = number
    return {}


def _fault(line: str) -> Fault | None:
    """What is wrong with a line that cannot be read by itself, from the surest sign to the least."""
    for sign in _SIGNS:
        found = sign(line)
        if found is not None:
            why, right = found
            again = "" if not right or _parses(right) else _rest(right)
            return why, (again or right).strip()
    return None


def _rest(line: str) -> str:
    """A line that was mended in one way and still cannot be read, mended in the next."""
    further = next((found for sign in _SIGNS if (found := sign(line)) is not None and found[1] != line), None)
    return further[1] if further and _parses(further[1]) else ""


def _odd_signs(line: str) -> Fault | None:
    if (plain := line.translate(_BLANKS)) != line and _bare(line).translate(_BLANKS) != _bare(line):
        return "has blanks of a kind that cannot be read (they look like others: type them again)", plain
    if (plain := _bare(line).translate(_CURLY)) != _bare(line):
        return "has curly quotes, where straight ones are looked for", plain
    return None


def _header(line: str) -> Fault | None:
    bare = _bare(line).strip()
    match = re.fullmatch(r"(?P<open>[\[({<]{0,2})\s*(?P<name>[A-Za-z][\w .\"-]*?)\s*(?P<close>[\])}>]{0,3})\s*[:;,.]?", bare)
    if match is None or "=" in bare or not (match["open"] or match["close"]):
        return None
    name = re.sub(r"\s*\.\s*", ".", match["name"])
    name = (
        name
        if '"' in name
        else ".".join(
            re.sub(r"[\s]+", "_", one) if "field." not in name else f'"{one}"' if " " in one else one for one in name.split(".")
        )
    )
    double = "[[" in match["open"] or "]]" in match["close"]
    return "is no head of a table", f"[[{name}]]" if double else f"[{name}]"


def _assignment(line: str) -> Fault | None:
    bare = _bare(line).rstrip()
    if "=" not in bare:
        colon = re.fullmatch(rf"\s*({_KEY}(?: {_KEY}){{0,2}})\s*(?::|->|→)\s*(.+)", bare)
        if colon:
            return "has no = between key and value", f"{_joined(colon[1])} = {colon[2]}"
        blank = re.fullmatch(rf"\s*({_KEY})\s+([\"'\[{{\d].*)", bare)
        if blank:
            return "has no = between key and value", f"{blank[1]} = {blank[2]}"
        if re.fullmatch(r"\s*(//|;|--|\*|%|REM\b).*", bare, re.IGNORECASE):
            return "is no remark: those begin with #", "# " + re.sub(
                r"^\s*(//|;|--|\*|%|REM\b)\s*", "", bare, flags=re.IGNORECASE
            )
        return ("has no = in it; remarks begin with #", "")
    key, _, value = bare.partition("=")
    if re.fullmatch(rf"\s*{_KEY}( +{_KEY})+\s*", key):
        return "has a key with blanks in it", f"{_joined(key)} = {value.strip()}"
    if value.startswith("=") or value.strip().startswith("= "):
        return "has = twice", f"{key.strip()} = {value.lstrip('= ').strip()}"
    if not value.strip():
        return "has no value behind the = (put # before the line to leave the key out)", ""
    return None


def _value(line: str) -> Fault | None:
    key, equals, value = _bare(line).rstrip().partition("=")
    value = value.strip()
    if not equals or not value:
        return None
    key = key.strip()
    if value[-1] in ",;" and _parses(f"{key} = {value[:-1]}"):
        return f"ends in {value[-1]}, which does not belong there", f"{key} = {value[:-1].rstrip()}"
    if '"' in value or value[0] == "'":
        return _quotes(key, value)
    if value.casefold() in ("true", "yes", "on", "false", "no", "off"):
        return (
            "is written in small letters without quotes: true or false",
            f"{key} = {'true' if value.casefold() in ('true', 'yes', 'on') else 'false'}",
        )
    if value[0] in "[{":
        mended = _with_commas(value)
        quoted = re.sub(r"(?<=[\[,])\s*(\d[^,\]\"]*[A-Za-z%][^,\]\"]*|[A-Za-z][^,\]\"=]*?)\s*(?=[,\]])", r' "\1"', value).replace(
            "[ ", "["
        )
        right = next((one for one in (mended, quoted, _with_commas(quoted)) if _parses(f"{key} = {one}")), "")
        return (
            "lacks a comma in its list" if right == mended else "what stands in the list goes in quotes"
        ), f"{key} = {right}" if right else ""
    return _unquoted(key, value)


def _unquoted(key: str, value: str) -> Fault:
    """A value that lacks its quotes, or is a date or number in a form that TOML does not have."""
    meant = day_meant(value)
    if re.fullmatch(r"\d{4}-\d\d-\d\d", value):
        return "is a day that no calendar has", ""
    if meant is not None:
        return "is a date in another form than year-month-day", f"{key} = {meant}"
    if re.fullmatch(r"[+-]?\d{1,3}(,\d{3})+(\.\d+)?", value):
        return "has a number with commas", f"{key} = {value.replace(',', '')}"
    if re.fullmatch(r"[+-]?\d+,\d+", value):
        return "has a decimal comma, where a point is looked for", f"{key} = {value.replace(',', '.')}"
    if re.fullmatch(r"[+-]?0+\d+", value):
        return "has a number that begins with 0", f"{key} = {int(value)}"
    if re.fullmatch(r"[+-]?(\.\d+|\d+\.)", value):
        return "has a number with nothing on one side of its point", f"{key} = {float(value):g}"
    found = number_in(value)
    if key in _NUMBERS and found is not None:
        return "has words beside its number", f"{key} = {found:.10g}"
    quoted = re.sub(r"^(\d+),(?=\d{1,2}\s)", r"\1.", value.replace("\\", "/").replace('"', ""))
    return ("has a quantity without quotes" if value[0].isdigit() else "has text without quotes"), f'{key} = "{quoted}"'


def _quotes(key: str, value: str) -> Fault:
    """Quotes that are not closed, stand for inches, or hold backslashes."""
    if "\\" in value:
        return "has a backslash in quotes", f"{key} = {value.replace(chr(92), '/')}"
    inner = value.replace('"', "").replace("'", "").strip().rstrip(",;").strip()
    inches = re.fullmatch(r"\"\s*(\d+'\s*)?(\d+(?:\.\d+)?(?:\s+\d/\d)?)\s*\"\"?", value)
    if inches and value.count('"') > 2 - (not value.endswith('""')):
        feet = inches[1].strip("' ") + " ft " if inches[1] else ""
        return 'has " for inches within quotes', f'{key} = "{feet}{inches[2]} in"'
    if value[0] == "[":
        closed = value.rstrip("]").rstrip()
        right = next((one for one in (f'{closed}"]', _with_commas(value)) if _parses(f"{key} = {one}")), "")
        return "has quotes or commas that do not fit together", f"{key} = {right}" if right else ""
    if mark := re.fullmatch(r"(?:(\d+)')?\s*(\d+(?:\.\d+)?(?: \d/\d)?)\"", value):
        return 'has " for inches, and no quotes around it', f'{key} = "{f"{mark[1]} ft " if mark[1] else ""}{mark[2]} in"'
    if value[0] not in "\"'":
        return "has a quote in the middle of the value", f'{key} = "{inner}"'
    rest = re.match(r"(\"[^\"]*\"|'[^']*')\s*(\S.*)", value)
    if rest and value.count('"') % 2 == 0:
        return "has more behind the closing quote", f'{key} = "{rest[1][1:-1]} {rest[2]}"' if '"' not in rest[
            2
        ] else f"{key} = {rest[1]}"
    return "has quotes that are not closed", f'{key} = "{inner}"'


def _joined(key: str) -> str:
    return re.sub(r"[\s-]+", "_", key.strip())


_SIGNS: tuple[Callable[[str], Fault | None], ...] = (_odd_signs, _header, _assignment, _value)


def _as_said(lines: list[str], path: Path, said: str) -> Problem:
    """The fault as the reader of TOML puts it, with the line."""
    at = _AT.search(said)
    number = min(int(at[1]), len(lines)) if at else len(lines)
    what = _AT.sub("", said).replace("(at end of document)", "").strip()
    line = f", line {number} ({_shown(lines[number - 1])})" if lines and number else ""
    return Problem(code="job-not-toml", text=f"{path}{line} cannot be read ({what[:1].lower()}{what[1:]}).", hint=_SHAPE)


def _shown(line: str) -> str:
    """A line as it is named, cut where it is very long."""
    line = _bare(line).strip() or line.strip()
    return line if len(line) <= LONGEST_LINE else line[: LONGEST_LINE - 1] + "…"
