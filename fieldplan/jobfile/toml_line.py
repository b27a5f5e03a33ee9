"""Explain one line of a TOML file that cannot be read, and mend it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable

from fieldplan.errors import InputError
from fieldplan.facts import Fact, fact
from fieldplan.jobfile import values
from fieldplan.jobfile.days import day_meant
from fieldplan.jobfile.hints import line_of, right_form
from fieldplan.jobfile.schema import SCHEMA
from fieldplan.jobfile.values import whole
from fieldplan.typed_number import number_in

KEY = r"[A-Za-z0-9_.-]+"
CURLY = str.maketrans("“”„‟«»″‘’‚`′", '"""""""\'\'\'\'\'')
"""Quotes and prime marks that editors put in, as straight quotes."""
_BLANKS = str.maketrans(
    dict.fromkeys("\xa0\u2007\u202f\u2009\u200a\u2002\u2003\u3000", " ")
    | dict.fromkeys("\u200b\u200c\u200d\u2060\ufeff", "")
)
Fault = tuple[Fact, str]
"""What is wrong with a line, and the line as it should be (empty if that is not known)."""
REPEATED = ("mix", "mix.component", "drill.box", "drill.chart", "charge")
"""Tables that a file may have several of, in double brackets."""
_NUMBERS = frozenset(
    key for keys in SCHEMA.values() for key, spec in keys.items() if spec.parse in (whole, values.number)
)


def fault(line: str) -> Fault | None:
    """Return what is wrong with a line that cannot be read by itself, and the line as it should be.

    Parameters
    ----------
    line
        The line, without its line break.

    Returns
    -------
    tuple of (Fact, str), or None
        ``None`` if nothing known is wrong with it; the mended line is empty if it cannot be guessed.

    Examples
    --------
    >>> why, right = fault("row_spacing = 7.5 in")
    >>> why.code, right
    ('line/quantity-unquoted', 'row_spacing = "7.5 in"')
    """
    for check in _CHECKS:
        of_line = check(line)
        if of_line is not None:
            why, right = of_line
            again = "" if not right or parses(right) else _rest(right)
            return why, _usable((again or right).strip())
    return None


def _usable(right: str) -> str:
    """Return a mended line, with its value rewritten if its key is known and would refuse it as it is."""
    try:
        ((key, value),) = tomllib.loads(right).items()
    except (ValueError, RecursionError):
        return right
    parsers = [(table, keys[key].parse) for table, keys in SCHEMA.items() if key in keys]
    if right.startswith(("[", "#")) or len(parsers) != 1:  # a key of two tables may be meant for either
        return right
    ((table, parse),) = parsers
    try:
        parse(value)
    except InputError as error:
        form = line_of(right_form(table, key, parse, value, error.problems[0]))
        return form if form and parses(form) else right
    return right


def _rest(line: str) -> str:
    """Return a line that was mended once and still cannot be read, mended again; empty if that fails too."""
    further = next(
        (of_line for check in _CHECKS if (of_line := check(line)) is not None and of_line[1] != line), None
    )
    return further[1] if further and parses(further[1]) else ""


def _if_parses(line: str) -> str:
    return line if parses(line) else ""


def _odd_signs(line: str) -> Fault | None:
    if (plain := line.translate(_BLANKS)) != line and bare(line).translate(_BLANKS) != bare(line):
        return fact("line/odd-blanks"), plain
    if (plain := bare(line).translate(CURLY)) != bare(line):
        return fact("line/curly-quotes"), plain
    return None


def _header(line: str) -> Fault | None:
    text = bare(line).strip()
    match = re.fullmatch(
        r"(?P<open>[\[({<]{0,2})\s*(?P<name>[A-Za-z][\w .\"-]*?)\s*(?P<close>[\])}>]{0,3})\s*[:;,.]?", text
    )
    alone = match is not None and match["name"].casefold() in SCHEMA
    if match is None or "=" in text or not (match["open"] or match["close"] or alone):
        return None
    name = _table_name(match["name"].casefold() if alone else match["name"])
    double = "[[" in match["open"] or "]]" in match["close"]
    if (dotted := name.replace("_", ".")) in REPEATED:
        name, double = dotted, True
    elif name in SCHEMA:
        double = name in REPEATED
    return fact("line/no-head"), f"[[{name}]]" if double else f"[{name}]"


def _table_name(text: str) -> str:
    """Return a dotted name without stray spaces; an id of a field with spaces in it is put in quotes."""
    name = re.sub(r"\s*\.\s*", ".", text)
    if '"' in name:
        return name
    if "field." not in name:
        return re.sub(r"\s+", "_", name)
    return ".".join(f'"{part}"' if " " in part else part for part in name.split("."))


def _assignment(line: str) -> Fault | None:
    text = bare(line).rstrip()
    if bullet := re.fullmatch(rf"\s*[-*•]\s+({KEY}\s*=\s*\S.*)", text):
        return fact("line/bullet"), bullet[1]
    if walrus := re.fullmatch(rf"\s*({KEY})\s*[:=]=\s*(\S.*)", text):
        why = fact("line/equals-twice") if "==" in text else fact("line/colon")
        return why, f"{walrus[1]} = {walrus[2]}"
    if "=" not in text:
        return _without_equals(text)
    key, _, value = text.partition("=")
    if re.fullmatch(rf"\s*{KEY}( +{KEY})+\s*", key):
        return fact("line/key-blanks"), f"{_joined(key)} = {value.strip()}"
    if value.startswith("=") or value.strip().startswith("= "):
        return fact("line/equals-twice"), f"{key.strip()} = {value.lstrip('= ').strip()}"
    if not value.strip():
        return fact("line/no-value"), ""
    return None


_OTHER_COMMENT = re.compile(r"\s*(?://|;|--|\*|%|REM\b)\s*(?P<text>.*)", re.IGNORECASE)


def _without_equals(text: str) -> Fault:
    if comma := re.fullmatch(rf"\s*({KEY})\s*,\s*([\"'\d].*)", text):
        return fact("line/no-equals"), f"{comma[1]} = {comma[2]}"
    if colon := re.fullmatch(rf"\s*({KEY}(?: {KEY}){{0,2}})\s*(?::|->|→)\s*(.+)", text):
        return fact("line/no-equals"), f"{_joined(colon[1])} = {colon[2]}"
    if blank := re.fullmatch(rf"\s*({KEY})\s+([\"'\[{{\d].*)", text):
        return fact("line/no-equals"), f"{blank[1]} = {blank[2]}"
    if comment := _OTHER_COMMENT.fullmatch(text):
        return fact("line/no-remark"), f"# {comment['text']}"
    return fact("line/neither"), ""


def _value(line: str) -> Fault | None:
    key, equals, value = bare(line).rstrip().partition("=")
    value = value.strip()
    if not equals or not value:
        return None
    key = key.strip()
    if remark := re.fullmatch(r"(\"[^\"]*\"|'[^']*'|[\d.-]+|true|false)\s*(?://|;|--)\s*(.*\w.*)", value):
        return fact("line/remark"), f"{key} = {remark[1]}  # {remark[2]}"
    if value.casefold() in ("null", "none", "nil", "n/a", "na", "-", "?", "??", "unknown", "tbd"):
        return fact("line/empty-value"), f"# {key} ="
    if value[-1] in ",;" and parses(f"{key} = {value[:-1]}"):
        return fact("line/ends-in", sign=value[-1]), f"{key} = {value[:-1].rstrip()}"
    if '"' in value or value[0] == "'":
        return _quotes(key, value)
    if value.casefold() in ("true", "yes", "on", "false", "no", "off"):
        word = "true" if value.casefold() in ("true", "yes", "on") else "false"
        return fact("line/true-or-false"), f"{key} = {word}"
    if value[0] in "[{":
        return _list(key, value)
    return _unquoted(key, value)


_UNQUOTED_MEMBER = re.compile(
    r"(?<=[\[,])\s*(\d[^,\]\"]*[A-Za-z%][^,\]\"]*|[A-Za-z][^,\]\"=]*?)\s*(?=[,\]])"
)


def _list(key: str, value: str) -> Fault:
    """A list that lacks commas, or quotes around its members."""
    mended = with_commas(value)
    quoted = _UNQUOTED_MEMBER.sub(r' "\1"', value).replace("[ ", "[")
    right = _first_that_parses(key, mended, quoted, with_commas(quoted))
    return fact("line/no-comma") if right == f"{key} = {mended}" else fact("line/list-quotes"), right


def _first_that_parses(key: str, *choices: str) -> str:
    return next((line for value in choices if (line := _if_parses(f"{key} = {value}"))), "")


def _unquoted(key: str, value: str) -> Fault:
    """A value that lacks its quotes, or is a date or number in a form that TOML does not have."""
    meant = day_meant(value)
    if re.fullmatch(r"\d{4}-\d\d-\d\d", value):
        year, month, last = value.split("-")
        return fact("line/no-such-day"), _if_parses(f"{key} = {year}-{last}-{month}")
    if meant is not None:
        return fact("line/date-form"), f"{key} = {meant}"
    if re.fullmatch(r"[+-]?\d{1,3}(,\d{3})+(\.\d+)?", value):
        return fact("line/number-commas"), f"{key} = {value.replace(',', '')}"
    if re.fullmatch(r"[+-]?\d+,\d+", value):
        return fact("line/decimal-comma"), f"{key} = {value.replace(',', '.')}"
    if re.fullmatch(r"[+-]?0+\d+", value):
        return fact("line/leading-zero"), f"{key} = {int(value)}"
    if re.fullmatch(r"[+-]?(\.\d+|\d+\.)", value):
        return fact("line/bare-point"), f"{key} = {float(value):g}"
    number = number_in(value)
    if key in _NUMBERS and number is not None:
        return fact("line/words-beside"), f"{key} = {number:.10g}"
    value = value[1:-1].strip() if re.fullmatch(r"\([^()]*\)", value) else value
    quoted = re.sub(r"^(\d+),(?=\d{1,2}\s)", r"\1.", value.replace("\\", "/").replace('"', ""))
    why = fact("line/quantity-unquoted") if value[0].isdigit() else fact("line/text-unquoted")
    return why, f'{key} = "{quoted}"'


def _quotes(key: str, value: str) -> Fault:
    """Quotes that are not closed, stand for inches, or hold backslashes."""
    if re.fullmatch(r"\"[^\"]*\\[.,\d ][^\"]*\"", value):
        return fact("line/backslash"), f"{key} = {value.replace(chr(92), '')}"
    if "\\" in value:
        return fact("line/backslash"), f"{key} = {value.replace(chr(92), '/')}"
    inner = value.replace('"', "").replace("'", "").strip().rstrip(",;").strip()
    inches = re.fullmatch(r"\"\s*(\d+'\s*)?(\d+(?:\.\d+)?(?:\s+\d/\d)?)\s*\"\"?", value)
    if inches and value.count('"') > 2 - (not value.endswith('""')):
        feet = inches[1].strip("' ") + " ft " if inches[1] else ""
        return fact("line/inches-within"), f'{key} = "{feet}{inches[2]} in"'
    if value[0] == "[":
        closed = value.rstrip("]").rstrip() + '"]'
        return fact("line/list-quoting"), _first_that_parses(key, closed, with_commas(value))
    if mark := re.fullmatch(r"(?:(\d+)')?\s*(\d+(?:\.\d+)?(?: \d/\d)?)\"", value):
        feet = f"{mark[1]} ft " if mark[1] else ""
        return fact("line/inches"), f'{key} = "{feet}{mark[2]} in"'
    if doubled := re.fullmatch(r"''([^']+)''", value):
        return fact("line/quotes-twice"), f'{key} = "{doubled[1]}"'
    if value[0] in "([{" and number_in(inner.strip("([{}])").replace(",", " ")) is not None:
        bare_value = re.sub(r"[(){},]", "", inner.strip("[]"))
        return fact("line/brackets"), f'{key} = "{bare_value}"'
    if value[0] not in "\"'":
        return fact("line/quote-inside"), f'{key} = "{inner}"'
    rest = re.match(r"(\"[^\"]*\"|'[^']*')\s*(\S.*)", value)
    if rest and value.count('"') % 2 == 0:
        right = rest[1] if '"' in rest[2] else f'"{rest[1][1:-1]} {rest[2]}"'
        return fact("line/behind-quote"), f"{key} = {right}"
    return fact("line/quotes-open"), f'{key} = "{inner}"'


def _joined(key: str) -> str:
    return re.sub(r"[\s-]+", "_", key.strip())


_CHECKS: tuple[Callable[[str], Fault | None], ...] = (_odd_signs, _header, _assignment, _value)


def parses(text: str) -> bool:
    """Return whether text can be read as TOML.

    Examples
    --------
    >>> parses("rows = 16"), parses("row_spacing = 7.5 in")
    (True, False)
    """
    try:
        tomllib.loads(text)
    except (ValueError, RecursionError):
        return False
    return True


def bare(line: str) -> str:
    """Return a line without its comment; after a quote that is not closed, " #" is taken to begin one.

    Examples
    --------
    >>> bare('name = "No. #4"  # the old drill')
    'name = "No. #4"  '
    """
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


def with_commas(line: str) -> str:
    """Return a line with a comma between any two values of a list that lack one.

    Examples
    --------
    >>> with_commas('hold = ["a" "b"]')
    'hold = ["a", "b"]'
    """
    mended = re.sub(r'("(?:[^"\\]|\\.)*"|\d{4}-\d\d-\d\d)[ \t]+(?=["\d])', r"\1, ", line)
    mended = re.sub(r"(\})[ \t]*(?=\{)", r"\1, ", mended)
    return re.sub(rf'(=\s*(?:"[^"]*"|-?[\d.]+))[ \t]+(?={KEY}\s*=)', r"\1, ", mended)
