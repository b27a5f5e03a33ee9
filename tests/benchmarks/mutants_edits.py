"""Small wrong edits of Python source, such as a slip of the hand would make."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

from tests.benchmarks.mutants_source import FACTOR, Place, Reach, Source

Span: TypeAlias = tuple[int, int, str]

_OTHERS: dict[type[ast.AST], tuple[str, str]] = {
    ast.Add: ("+", "-"),
    ast.Sub: ("-", "+"),
    ast.Mult: ("*", "/"),
    ast.Div: ("/", "*"),
    ast.FloorDiv: ("//", "/"),
    ast.Mod: ("%", "*"),
    ast.Pow: ("**", "*"),
    ast.BitOr: ("|", "&"),
    ast.BitAnd: ("&", "|"),
    ast.Lt: ("<", "<="),
    ast.LtE: ("<=", "<"),
    ast.Gt: (">", ">="),
    ast.GtE: (">=", ">"),
    ast.Eq: ("==", "!="),
    ast.NotEq: ("!=", "=="),
    ast.In: ("in", "not in"),
    ast.NotIn: ("not in", "in"),
    ast.Is: ("is", "is not"),
    ast.IsNot: ("is not", "is"),
    ast.And: ("and", "or"),
    ast.Or: ("or", "and"),
}
_CALLS = {"min": "max", "max": "min", "any": "all", "all": "any", "ceil": "floor", "floor": "ceil"}
_RETURNED = {
    "str": '""',
    "float": "0.0",
    "int": "0",
    "bool": "not ({})",
    "tuple": "()",
    "list": "[]",
    "dict": "{{}}",
}
_WORD = re.compile(r"[a-z][a-z0-9_/-]+")
_DECIMALS = re.compile(r":,?\.(\d)[fg%]\}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """A stretch of a file and what stands there instead."""

    file: str
    kind: str
    start: int
    end: int
    new: str
    line: int
    places: Callable[[], set[Place]]


def edits_of(source: Source, reach: Reach) -> Iterator[Edit]:
    """All edits of a file."""
    for node in source.parts():
        for kind, changes in KINDS.items():
            for start, end, new in changes(source, node):
                yield Edit(
                    file=source.file,
                    kind=kind,
                    start=start,
                    end=end,
                    new=new,
                    line=source.line_of(start),
                    places=lambda node=node: reach.of(source, node),
                )


def changed(source: Source, edit: Edit) -> str | None:
    """The file with the edit; ``None`` if it is no Python or the same program."""
    text = source.text[: edit.start] + edit.new + source.text[edit.end :]
    try:
        tree = ast.parse(text)
    except (SyntaxError, ValueError):
        return None
    return None if ast.dump(tree) == ast.dump(source.tree) else text


def _between(source: Source, before: ast.AST, behind: ast.AST, operator: ast.AST) -> Iterator[Span]:
    if type(operator) in _OTHERS:
        old, new = _OTHERS[type(operator)]
        start, end = source.span(before)[1], source.span(behind)[0]
        found = re.search(
            rf"(?<![\w*/]){re.escape(old).replace(' ', ' +')}(?![\w*/=])", source.text[start:end]
        )
        if found:
            yield start + found.start(), start + found.end(), new


def _arithmetic(source: Source, node: ast.AST) -> Iterator[Span]:
    if isinstance(node, ast.BinOp) and not any(
        isinstance(one, ast.JoinedStr | ast.List | ast.Tuple)
        or (isinstance(one, ast.Constant) and isinstance(one.value, str))
        for one in (node.left, node.right)
    ):
        yield from _between(source, node.left, node.right, node.op)


def _boundary(source: Source, node: ast.AST) -> Iterator[Span]:
    if isinstance(node, ast.Compare):
        for (before, behind), operator in zip(
            pairwise([node.left, *node.comparators]), node.ops, strict=True
        ):
            yield from _between(source, before, behind, operator)


def _and_or(source: Source, node: ast.AST) -> Iterator[Span]:
    if isinstance(node, ast.BoolOp):
        for before, behind in pairwise(node.values):
            yield from _between(source, before, behind, node.op)


def _number(source: Source, node: ast.AST) -> Iterator[Span]:
    if not isinstance(node, ast.Constant) or type(node.value) not in (int, float):
        return
    place = isinstance(source.above[node], ast.Subscript | ast.Slice)
    scaled = [node.value + 1] if place else [node.value + 1, node.value * 2, node.value * 10]
    if isinstance(node.value, float):
        scaled = [node.value * 2, node.value * 10, node.value * 0.1] if node.value else [1.0]
    for one in scaled:
        if one != node.value:
            yield *source.span(node), f"{one!r}"


def _decimals(source: Source, node: ast.AST) -> Iterator[Span]:
    if isinstance(node, ast.JoinedStr):
        start, end = source.span(node)
        for found in _DECIMALS.finditer(source.text, start, end):
            digits = int(found[1])
            yield found.start(1), found.end(1), f"{digits - 1 if digits > 1 else digits + 1}"


def _extreme(source: Source, node: ast.AST) -> Iterator[Span]:
    match node:
        case ast.Call(func=ast.Name(id="sorted")) if not any(
            keyword.arg == "reverse" for keyword in node.keywords
        ):
            inner = [*node.args, *(keyword.value for keyword in node.keywords)]
            if not any(isinstance(one, ast.GeneratorExp) for one in inner):
                end = source.span(node)[1]
                yield (
                    end - 1,
                    end,
                    ("" if source.text[: end - 1].rstrip().endswith(",") else ", ") + "reverse=True)",
                )
        case ast.Call(func=ast.Name(id=name) as named) if name in _CALLS:
            yield *source.span(named), _CALLS[name]
        case ast.Call(func=ast.Attribute(attr=name) as named) if name in _CALLS:
            end = source.span(named)[1]
            yield end - len(name), end, _CALLS[name]


def _not(source: Source, node: ast.AST) -> Iterator[Span]:
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield source.span(node)[0], source.span(node.operand)[0], ""


def _element(source: Source, node: ast.AST) -> Iterator[Span]:
    if not isinstance(node, ast.Tuple | ast.List | ast.Set) or isinstance(
        getattr(node, "ctx", None), ast.Store
    ):
        return
    inside = source.above[node]
    unpacked = isinstance(inside, ast.Assign) and isinstance(inside.targets[0], ast.Tuple)
    if unpacked or isinstance(inside, ast.Subscript | ast.JoinedStr):
        return
    spans = [source.span(elt) for elt in node.elts]
    if len(spans) == 2 and isinstance(node, ast.Tuple):
        for kept in node.elts:
            yield spans[0][0], spans[1][1], f"{source.sentence(kept)},"
    elif len(spans) > 1:
        yield from _less_one(spans)
    elif spans and not isinstance(node, ast.Set):
        yield *source.span(node), "()" if isinstance(node, ast.Tuple) else "[]"


def _key(source: Source, node: ast.AST) -> Iterator[Span]:
    if isinstance(node, ast.Dict) and len(node.keys) > 1 and None not in node.keys:
        yield from _less_one(
            [
                (source.span(key)[0], source.span(value)[1])
                for key, value in zip(node.keys, node.values, strict=True)
                if key
            ]
        )


def _less_one(spans: list[tuple[int, int]]) -> Iterator[Span]:
    """Each of several parts left out, with the comma beside it."""
    for this, behind in pairwise(spans):
        yield this[0], behind[0], ""
    yield spans[-2][1], spans[-1][1], ""


def _flag(source: Source, node: ast.AST) -> Iterator[Span]:
    if isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield *source.span(node), f"{not node.value}"


def _returned(source: Source, node: ast.AST) -> Iterator[Span]:
    if not isinstance(node, ast.Return) or node.value is None:
        return
    made = next((one for one in source.chain(node) if isinstance(one, ast.FunctionDef)), None)
    if made is not None and made.returns is not None:
        new = _RETURNED.get(source.sentence(made.returns).partition("[")[0], "None")
        yield *source.span(node.value), new.format(source.sentence(node.value))


def _factor(source: Source, node: ast.AST) -> Iterator[Span]:
    if (
        isinstance(node, ast.Name)
        and isinstance(node.ctx, ast.Load)
        and (found := FACTOR.fullmatch(node.id))
    ):
        alike = [one for one, measure in source.factors.items() if one != node.id and measure == found[1]]
        for other in [*alike, "1.0"]:
            yield *source.span(node), other


def _misspelt(source: Source, node: ast.AST) -> Iterator[Span]:
    if isinstance(node, ast.Constant) and isinstance(node.value, str) and _WORD.fullmatch(node.value):
        sentence = source.sentence(node)
        if sentence[1:-1] == node.value:
            k = len(sentence) // 2
            yield (
                *source.span(node),
                sentence[:k] + sentence[k - 1] + sentence[k:] if k > 1 else f"{sentence[0]}x{sentence[1:]}",
            )


def _condition(source: Source, node: ast.AST) -> Iterator[Span]:
    asked = [node.test] if isinstance(node, ast.If | ast.IfExp | ast.While) else getattr(node, "ifs", [])
    for one in asked:
        if not isinstance(one, ast.Compare | ast.BoolOp | ast.UnaryOp) and source.is_where_it_says(one):
            yield *source.span(one), f"(not ({source.sentence(one)}))"


def _dropped(source: Source, node: ast.AST) -> Iterator[Span]:
    match node:
        case ast.Expr(value=ast.Call() | ast.Yield() | ast.YieldFrom()) | ast.AugAssign():
            yield *source.span(node), "pass"


KINDS: dict[str, Callable[[Source, ast.AST], Iterable[Span]]] = {
    "arithmetic": _arithmetic,
    "comparison": _boundary,
    "and/or": _and_or,
    "number": _number,
    "decimals": _decimals,
    "min/max": _extreme,
    "not": _not,
    "element": _element,
    "key": _key,
    "flag": _flag,
    "return": _returned,
    "unit": _factor,
    "word": _misspelt,
    "condition": _condition,
    "statement": _dropped,
}
