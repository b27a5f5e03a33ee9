"""Each code that the program gives has a phrase, each phrase a code, and no phrase asks for what its code
does not bring.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import ROOT

from fieldplan.report.words.phrases.table import PHRASES, ROOMS
from fieldplan.report.words.sentences import _PLACE

MAKERS = {"of", "problem", "fact"}
MADE = {"Note", "Problem", "Fact"}
KEY = re.compile(r"[a-z][a-z0-9-]*(?:/[a-z0-9-]+)?")
WHERE = {"file", "about", "key"}


def _literals(node: ast.expr) -> set[str]:
    """Codes that stand in an expression, whichever of them it comes to."""
    return {
        one.value
        for one in ast.walk(node)
        if isinstance(one, ast.Constant) and isinstance(one.value, str) and KEY.fullmatch(one.value)
    }


def _sites() -> Iterator[tuple[str, ast.Call, set[str]]]:
    """Every call that makes a fact, with the codes that it names."""
    for path in sorted((ROOT / "fieldplan").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            named = {keyword.arg: keyword.value for keyword in node.keywords if keyword.arg}
            called = (
                node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            )
            where = f"{path.relative_to(ROOT)}:{node.lineno}"
            if called in MAKERS and len(node.args) == 1:
                yield where, node, _literals(node.args[0])
            elif called in MADE and "code" in named:
                cases = _literals(named["case"]) if "case" in named else {""}
                yield (
                    where,
                    node,
                    {
                        f"{code}/{case}" if case else code
                        for code in _literals(named["code"])
                        for case in cases
                    },
                )


SITES = list(_sites())


def test_every_phrase_stands_in_one_room_only() -> None:
    """A code that two rooms give has a case of its own in one of them."""
    assert len(PHRASES) == sum(len(room) for room in ROOMS.values())


def test_every_phrase_is_used() -> None:
    """Each key of the table stands as it is in the program."""
    text = "\n".join(
        path.read_text(encoding="utf-8")
        for path in (ROOT / "fieldplan").rglob("*.py")
        if "phrases" not in Path(path).parts
    )
    assert not [key for key in PHRASES if f'"{key}"' not in text and not _apart(key, text)]


def _apart(key: str, text: str) -> bool:
    """Whether a code and its case stand apart, or what a file is wanted for and what is wrong with it."""
    wanted = [(key[:at], key[at + 1 :]) for at, sign in enumerate(key) if sign in "/-"]
    return any(f'"{head}"' in text and f'"{tail}"' in text for head, tail in wanted)


@pytest.mark.parametrize(("where", "call", "keys"), SITES, ids=[where for where, _, _ in SITES])
def test_the_phrase_asks_for_nothing_that_is_not_brought(
    where: str, call: ast.Call, keys: set[str]
) -> None:
    """Where values are named at the call, they are all that the phrase has places for; what they are is
    checked as text.
    """
    brought = _brought(call)
    for key in keys:
        assert key in PHRASES or "/" not in key, (where, key)
        if brought is not None and key in PHRASES:
            phrase = PHRASES[key]
            mandatory = re.sub(
                r"<[^<>]*>",
                "",
                f"{phrase.text} {phrase.hint} {phrase.metric} {phrase.metric_hint} {phrase.short}",
            )
            asked = {
                name
                for place in _PLACE.finditer(mandatory)
                for name in (place["name"], place["to"] or place["name"])
            } - WHERE
            assert asked <= brought, (where, key)


def _brought(call: ast.Call) -> set[str] | None:
    """Names of the values that a call brings; ``None`` where they are put together elsewhere."""
    named = {keyword.arg: keyword.value for keyword in call.keywords}
    if None in named or (
        isinstance(named.get("places"), ast.expr) and not isinstance(named["places"], ast.Dict)
    ):
        return None
    brought = {name for name in named if name} - {"code", "case", "values", "places"}
    for name in ("values", "places"):
        if name in named:
            given = named[name]
            if not isinstance(given, ast.Dict) or not all(
                isinstance(key, ast.Constant) for key in given.keys
            ):
                return None
            brought |= {str(key.value) for key in given.keys if isinstance(key, ast.Constant)}
    return brought


def test_codes_are_misspelt_nowhere() -> None:
    """Each code that is made of literals has its phrase."""
    families = ("not-found", "not-text", "remote", "too-large", "unreadable")
    missing = {
        (where, key)
        for where, call, keys in SITES
        for key in keys
        if key not in PHRASES and not key.split("/")[0].endswith(families) and len(keys) == 1
    }
    assert missing == set()
