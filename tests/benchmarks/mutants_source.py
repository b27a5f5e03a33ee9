"""Python source with the places of its parts, and the lines that run because of each."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Iterator
from functools import cached_property
from typing import TypeAlias

Place: TypeAlias = tuple[str, int]
"""A file and a line of it."""
FACTOR = re.compile(r"(?:[A-Z]+_)+?(M_PER_S|M2|M3|M|KG|S|W)")
"""Names of unit factors and of what they measure."""
_NO_MATTER = frozenset({"encoding", "newline", "strict", "mode", "errors"})
"""Arguments that are no choice of the product's."""


class Source:
    """A file of the package, its tree, and where in the text each part stands."""

    def __init__(self, file: str, text: str) -> None:
        self.file, self.text, self.tree = file, text, ast.parse(text)
        self._starts = [0, *(found.end() for found in re.finditer("\n", text)), len(text)]
        self.above = {below: node for node in ast.walk(self.tree) for below in ast.iter_child_nodes(node)}

    def at(self, line: int, column: int) -> int:
        """The place in the text of a column, which the tree counts in bytes."""
        start = self._starts[line - 1]
        return start + len(self.text[start : self._starts[line]].encode()[:column].decode())

    def span(self, node: ast.AST) -> tuple[int, int]:
        """From where to where a part stands."""
        return self.at(node.lineno, node.col_offset), self.at(node.end_lineno, node.end_col_offset)

    def sentence(self, node: ast.AST) -> str:
        """A part as it is written."""
        start, end = self.span(node)
        return self.text[start:end]

    def line_of(self, place: int) -> int:
        """The line of a place in the text."""
        return self.text.count("\n", 0, place) + 1

    def chain(self, node: ast.AST) -> Iterator[ast.AST]:
        """All that a part stands in, from within."""
        while node in self.above:
            node = self.above[node]
            yield node

    @cached_property
    def factors(self) -> dict[str, str]:
        """Unit factors that the file knows, with what they measure."""
        named = {
            name.asname or name.name
            for node in ast.walk(self.tree)
            if isinstance(node, ast.ImportFrom)
            for name in node.names
        }
        named |= {
            node.id
            for node in ast.walk(self.tree)
            if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store)
        }
        return {one: found[1] for one in sorted(named) if (found := FACTOR.fullmatch(one))}

    def parts(self) -> Iterator[ast.AST]:
        """What is worth changing: no types, docstrings, decorators, imports, assertions or lists of
        names.
        """
        yield from self._parts(self.tree)

    def _parts(self, node: ast.AST) -> Iterator[ast.AST]:
        for name, value in ast.iter_fields(node):
            if name in ("annotation", "returns", "decorator_list", "bases"):
                continue
            for below in value if isinstance(value, list) else [value]:
                if isinstance(below, ast.AST) and not _left_out(below):
                    if not isinstance(below, ast.expr) or self.is_where_it_says(below):
                        yield below
                    yield from self._parts(below)

    def is_where_it_says(self, node: ast.expr) -> bool:
        """Parts of a composed string are not always placed right."""
        if not any(isinstance(one, ast.JoinedStr) for one in self.chain(node)):
            return True
        try:
            return ast.dump(ast.parse(f"({self.sentence(node)})", mode="eval").body) == ast.dump(node)
        except (SyntaxError, ValueError, IndexError):
            return False


def _left_out(node: ast.AST) -> bool:
    match node:
        case ast.Import() | ast.ImportFrom() | ast.Assert() | ast.Expr(value=ast.Constant()):
            return True
        case ast.Assign(targets=[ast.Name(id=name)]):
            return name == "__all__" or bool(re.fullmatch(r"_?[A-Z][a-z]\w*", name))
        case ast.Call(func=ast.Name(id="isinstance" | "cast" | "TypeVar" | "issubclass")):
            return True
        case ast.keyword(arg=name):
            return name in _NO_MATTER
    return False


class Reach:
    """Which lines run because of a part: its own, or, of what is made on import, those that use its
    name.
    """

    def __init__(self, sources: Iterable[Source]) -> None:
        self._within: dict[str, set[Place]] = {}
        self._made_of: dict[str, set[str]] = {}
        for source in sources:
            for node in ast.walk(source.tree):
                if isinstance(node, ast.Name | ast.Attribute):
                    name = _own(source, node.id if isinstance(node, ast.Name) else node.attr)
                    if _run_later(source, node):
                        self._within.setdefault(name, set()).add((source.file, node.lineno))
                    else:
                        self._made_of.setdefault(name, set()).update(_assigned(source, node))

    def of(self, source: Source, node: ast.AST) -> set[Place]:
        """Lines whose tests would see a change of the part."""
        if not isinstance(node, ast.stmt | ast.expr):
            node = next(
                one
                for one in [*ast.walk(node), *source.chain(node)]
                if isinstance(one, ast.expr | ast.stmt)
            )
        later = _run_later(source, node)
        if isinstance(later, ast.Lambda):
            return _lines(source, later.body)
        if later is not None:
            return _lines(source, node if isinstance(node, ast.stmt) else _statement(source, node))
        function = next(
            (one for one in [node, *source.chain(node)] if isinstance(one, ast.FunctionDef | ast.Lambda)),
            None,
        )
        if function is not None:
            return {
                place
                for one in ast.walk(function)
                if isinstance(one, ast.stmt)
                for place in [(source.file, one.lineno)]
            }
        return self._users(_assigned(source, node))

    def _users(self, names: set[str]) -> set[Place]:
        seen: set[str] = set()
        while new := names - seen:
            seen |= new
            names = {other for name in new for other in self._made_of.get(name, ())}
        return {place for name in seen for place in self._within.get(name, ())}


def _own(source: Source, name: str) -> str:
    """Private names are their file's."""
    return f"{source.file}:{name}" if name.startswith("_") and not name.startswith("__") else name


def _run_later(source: Source, node: ast.AST) -> ast.AST | None:
    """The function in whose body a part stands; its defaults and types are not in it."""
    below = node
    for one in source.chain(node):
        if isinstance(one, ast.Lambda) and below is one.body:
            return one
        if isinstance(one, ast.FunctionDef) and below in one.body:
            return one
        below = one
    return None


def _statement(source: Source, node: ast.AST) -> ast.AST:
    return next((one for one in source.chain(node) if isinstance(one, ast.stmt)), node)


def _lines(source: Source, node: ast.AST) -> set[Place]:
    """Lines of a part; of a statement with a body, those of its head."""
    body = getattr(node, "body", None)
    last = body[0].lineno - 1 if isinstance(body, list) and body else node.end_lineno
    return {(source.file, line) for line in range(node.lineno, max(node.lineno, last) + 1)}


def _assigned(source: Source, node: ast.AST) -> set[str]:
    """Names that a part's statement gives on import."""
    made = next((one for one in [node, *source.chain(node)] if isinstance(one, ast.stmt)), None)
    match made:
        case ast.Assign():
            named = [one for target in made.targets for one in ast.walk(target)]
        case ast.AnnAssign() | ast.AugAssign():
            named = [made.target]
        case ast.ClassDef() | ast.FunctionDef():
            return {_own(source, made.name)}
        case _:
            return set()
    return {_own(source, one.id) for one in named if isinstance(one, ast.Name)}
