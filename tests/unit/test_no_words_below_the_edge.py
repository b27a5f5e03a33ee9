"""Below ``report/``, ``api/``, ``web/`` and ``cli/`` nothing puts a number into words for a person, and nothing reads a
sentence.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from conftest import ROOT

EDGE = ("report", "cli", "api", "web")
TYPED = {
    "jobfile/toml_line.py",
    "jobfile/rates.py",
    "jobfile/days.py",
    "jobfile/values.py",
    "jobfile/hints.py",
    "typed_quantity.py",
}
"""What these write is to be typed into a file: text for a program."""
NUMBER = re.compile(r"[+,]?\.?\d*[fgd%]|,|\+,?")
SPOKEN = {"text", "hint"}


def _below() -> Iterator[tuple[str, ast.AST]]:
    package = ROOT / "fieldplan"
    for path in sorted(package.rglob("*.py")):
        name = str(path.relative_to(package))
        if Path(name).parts[0] not in EDGE:
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                yield name, node


def test_no_number_is_formatted_for_a_person() -> None:
    """No f-string gives a number its digits, but for what is to be typed into a file."""
    found = {
        f"{name}:{node.lineno}"
        for name, node in _below()
        if isinstance(node, ast.FormattedValue)
        and node.format_spec is not None
        and NUMBER.fullmatch(
            "".join(
                str(value.value) for value in node.format_spec.values if isinstance(value, ast.Constant)
            )
        )
        and name not in TYPED
    }
    assert found == set()


def test_no_sentence_is_read() -> None:
    """What is decided by a note or a problem is decided by its code and values: neither its sentence nor
    its hint is asked for.
    """
    found = {
        f"{name}:{node.lineno}"
        for name, node in _below()
        if name != "errors.py"  # str(error) is the sentence
        and isinstance(node, ast.Attribute)
        and node.attr in SPOKEN
        and isinstance(node.ctx, ast.Load)
        and re.search(r"problem|note|error|refus", ast.unparse(node.value))
    }
    assert found == set()


def test_no_words_are_imported() -> None:
    """The words stand above: only the package itself names what speaks them."""
    found = {
        name
        for name, node in _below()
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("fieldplan.report.words")
    }
    assert found == {"__init__.py"}
