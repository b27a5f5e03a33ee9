"""Phrases about job files and lists as text: what they are, and lines that cannot be read."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_SAVE = "save the {what} as plain text in UTF-8"
_TOML_HAS = "TOML has lines such as rows = 16 under a table such as [drill]"
_SHAPE = 'each line is key = value, a table such as [drill], or a comment after #; quantities go in quotes, such as field_speed = "4.5 mph"'
_LEAVE_OUT = "put # before the line to leave the key out"

_OF_LISTS = {
    "empty": Phrase("has no {what}", hint="columns: {columns*, }"),
    "many": Phrase("has {n_rows} {what}", hint="at most {n_most}"),
    "not-csv": Phrase("{file}: {said}", hint="a quote that is opened must be closed; save it as CSV"),
}
_OF_TOML = {
    "not-text/office": Phrase("is a word processor's or spreadsheet's file, not plain text", hint=_SAVE),
    "not-text/toml": Phrase("is not a text file in UTF-8", hint=_SAVE),
    "not-text/wide": Phrase("is text in UTF-16, as some editors save it, not in UTF-8", hint=_SAVE),
    "not-toml/line": Phrase("{file}, line {line} ({shown}) {why}", hint="write {right}"),
    "not-toml/line-shape": Phrase("{file}, line {line} ({shown}) {why}", hint=_SHAPE),
    "not-toml/nested": Phrase("is nested too deep to be a {what}"),
    "not-toml/other": Phrase("is {is_what}", hint=_SAVE),
    "not-toml/said": Phrase("{file}<, line {line} ({shown})> cannot be read ({said})", hint=_SHAPE),
}
_FILES: dict[str, Phrase] = {
    **{
        f"{listed}-{kind}": phrase
        for listed in ("distances", "entries", "requests", "stock")
        for kind, phrase in _OF_LISTS.items()
    },
    **{
        f"{wanted}-{kind}": phrase
        for wanted in ("card", "job", "season")
        for kind, phrase in _OF_TOML.items()
    },
    "called/card": Phrase("rate card"),
    "called/job": Phrase("job file"),
    "called/list": Phrase("list of {what}"),
    "called/used": Phrase("file that [{table}] of {user} uses"),
    "column-missing": Phrase('has no column "{name}"', hint='<is it "{near}"? >{holds}'),
    "column-twice": Phrase('has the column "{name}" twice', hint="keep one"),
    "file-is/json": Phrase(f"JSON, not TOML ({_TOML_HAS})"),
    "file-is/rtf": Phrase("a rich text (RTF) file, not plain text"),
    "file-is/xml": Phrase("a web page or XML, not a TOML file"),
    "file-is/yaml": Phrase(f"YAML, not TOML ({_TOML_HAS})"),
    "try/csv": Phrase("save it as CSV in UTF-8, not as a workbook or plain CSV"),
    "try/init": Phrase("fieldplan init DIR writes one to start from"),
    "try/use": Phrase('use = "other.toml"'),
}

_LINES: dict[str, Phrase] = {
    "line/backslash": Phrase("has a backslash in quotes"),
    "line/bare-point": Phrase("has a number with no digit on one side of its point"),
    "line/behind-quote": Phrase("has text after the closing quote"),
    "line/brackets": Phrase("has brackets around its value"),
    "line/bullet": Phrase("begins with a bullet"),
    "line/colon": Phrase("has a colon before its ="),
    "line/curly-quotes": Phrase("has curly quotes instead of straight ones"),
    "line/date-form": Phrase("has a date that is not year-month-day"),
    "line/decimal-comma": Phrase("has a decimal comma instead of a point"),
    "line/empty-value": Phrase(f"has no value ({_LEAVE_OUT})"),
    "line/ends-in": Phrase("ends in {sign}, which does not belong there"),
    "line/equals-twice": Phrase("has = twice"),
    "line/inches": Phrase('has " for inches, and no quotes around it'),
    "line/inches-within": Phrase('has " for inches within quotes'),
    "line/key-blanks": Phrase("has a key with spaces in it"),
    "line/leading-zero": Phrase("has a number that begins with 0"),
    "line/list-open": Phrase("begins a list that is not closed with {sign}"),
    "line/list-quotes": Phrase("has list entries without quotes"),
    "line/list-quoting": Phrase("has quotes or commas that do not fit together"),
    "line/neither": Phrase("has no = in it; comments begin with #"),
    "line/no-comma": Phrase("lacks a comma in its list"),
    "line/no-comma-at-end": Phrase("lacks a comma at its end"),
    "line/no-equals": Phrase("has no = between key and value"),
    "line/no-head": Phrase("is not a table heading"),
    "line/no-remark": Phrase("is not a comment: comments begin with #"),
    "line/no-such-day": Phrase("is a day that does not exist"),
    "line/no-value": Phrase(f"has no value after the = ({_LEAVE_OUT})"),
    "line/number-commas": Phrase("has a number with commas"),
    "line/odd-blanks": Phrase(
        "has special spaces that cannot be read (they look like ordinary ones: type them again)"
    ),
    "line/quantity-unquoted": Phrase("has a quantity without quotes"),
    "line/quote-inside": Phrase("has a quote in the middle of the value"),
    "line/quotes-open": Phrase("has quotes that are not closed"),
    "line/quotes-twice": Phrase("has its quotes twice"),
    "line/remark": Phrase("has a comment that does not begin with #"),
    "line/single-and-double": Phrase(
        "has [{table}] in single brackets, and line {line} has it in double ones"
    ),
    "line/stands-already": Phrase("repeats {what} of line {line}"),
    "line/text-unquoted": Phrase("has text without quotes"),
    "line/true-or-false": Phrase("is written in small letters without quotes: true or false"),
    "line/unreadable": Phrase("cannot be read"),
    "line/words-beside": Phrase("has words beside its number"),
    "right/at-its-end": Phrase("a {sign} at its end"),
    "right/head-of-each": Phrase("[[{table}]] above each of them"),
    "right/once": Phrase("it once"),
    "right/one-head": Phrase("one [{table}] with all its lines"),
}

PHRASES: dict[str, Phrase] = {**_FILES, **_LINES}
