"""What stands beside a box: the default and why, what is wrong with a value, and what may be taken instead."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from fieldplan.errors import Problem
from fieldplan.facts import Fact, fact
from fieldplan.model.notes import Note
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import hint_sentence, sentence
from fieldplan.tables import read as tables

_EMPTY = ("key-missing", "table-missing")
LACKING = (*_EMPTY, "box-not-said", "form-missing")
"""Codes of what is not yet filled in, which is no fault."""
_UNLIKELY = {"unlikely": "box-unlikely", "hardly-possible": "box-impossible"}


def is_lacking(one: Problem) -> bool:
    """Whether something is only not filled in yet."""
    return one.code in LACKING or (one.code, one.case) == ("mix-unknown", "not-said")


@dataclass(frozen=True, slots=True)
class Offer:
    """A button beside a box.

    Parameters
    ----------
    words
        What it says.
    value
        The value that it puts in.
    confirms
        Whether it confirms the value that is there instead.
    """

    words: str
    value: Any = None
    confirms: bool = False


@dataclass(frozen=True, slots=True)
class Said:
    """One thing that is said beside a box: how much it weighs, its words, and what may be taken instead."""

    weight: str
    words: str
    offers: tuple[Offer, ...] = ()


def default_words(table: str, key: str, row: Mapping[str, Any], q: Quantities) -> str:
    """The default of a key with its source and reason; empty if it has none.

    Parameters
    ----------
    table, key
        The table's name in the schema, and the key.
    row
        The table as it stands: some defaults depend on other keys.
    q
        The reader's units.
    """
    kind = str(row.get("kind", "")).casefold() if table == "drill.box" else ""
    return _default_words(table, key, kind, "residual" in row or "least" in row, q)


@cache
def _default_words(table: str, key: str, kind: str, with_residual: bool, q: Quantities) -> str:
    rows = _default_rows(table, key)
    found = next((one for one in rows if _fits(one["key"], key, kind, with_residual=with_residual)), None)
    if found is None:
        return ""
    value = tables.quantity(found["value"])
    shown = value if isinstance(value, str) else q.measured(value.ending, value.value)
    words = {"true": "yes", "false": "no"}.get(str(shown), str(shown))
    return sentence(fact("box-default", value=words, why=_why(found["source"]), place=found["place"]), q)


def _default_rows(table: str, key: str) -> Iterator[Mapping[str, str]]:
    for row in tables.rows("defaults"):
        if row["table"] == table and (row["key"] == key or row["key"].startswith(f"{key} ")):
            yield row


def _fits(named: str, key: str, kind: str, *, with_residual: bool) -> bool:
    """Whether a default that depends on the kind of box, or on a residual that is given, is that of a box."""
    case = named.removeprefix(key).strip()
    if case.startswith("residual "):
        return (case == "residual given") == with_residual
    return not case or case == kind


def _why(source: str) -> str:
    if source == "assumed":
        return "assumed"
    return "common practice, no source" if source == "practice" else tables.source(source).title


def said_of(one: Problem | Note, label: str, q: Quantities) -> Said:
    """What is said beside a box of a problem or note about it.

    Parameters
    ----------
    one
        The problem or note.
    label
        What the box is called.
    q
        The reader's units.
    """
    if one.code in _UNLIKELY and one.values.get("likely"):
        weight = "wrong" if isinstance(one, Problem) else "odd"
        words = sentence(_unlikely(one), q)
        return Said(weight, words, (*_slips(one), Offer("It is right as it stands", confirms=True)))
    if isinstance(one, Note):
        return Said(
            "odd" if one.warning else "known", sentence(replace(one, about=""), q), tuple(_nears(one))
        )
    if one.code in _EMPTY or (is_lacking(one) and one.code == "mix-unknown"):
        return Said("lacking", "Still to be filled in.")
    if one.code == "mix-unknown":
        return Said(
            "wrong", sentence(fact("box-mix-unknown", mix=one.values["mix"]), q), tuple(_nears(one))
        )
    offers = tuple({offer.words: offer for offer in (*_cures(one), *_nears(one))}.values())
    other = one.file if one.file.rpartition("/")[2] != "job.toml" else ""
    bare = replace(
        one,
        file=other.rpartition("/")[2],
        about=one.about if other else "",
        key=one.key if other else label,
    )
    hint = "" if offers else _hint(bare, q)
    words = sentence(bare, q)
    weight = "lacking" if is_lacking(one) else "wrong"
    return Said(weight, f"{words} Try: {hint}." if hint else words, offers)


def _hint(bare: Problem, q: Quantities) -> str:
    """What to try; an example without the name of the key, which no box shows."""
    if bare.cure is not None and bare.cure.code == "right-form/such-as":
        return sentence(fact("box-such-as", example=bare.cure.values["example"]), q)
    return hint_sentence(bare, q)


def _unlikely(one: Problem | Note) -> Fact:
    values = {
        key: value for key, value in one.values.items() if key not in ("table", "key", "slips", "line")
    }
    return fact("box-unlikely", **values) if isinstance(one, Note) else fact("box-impossible", **values)


def _slips(one: Problem | Note) -> Iterator[Offer]:
    slips = one.values.get("slips", ())
    yield from _offers(slips if isinstance(slips, tuple) else (slips,))


def _nears(one: Problem | Note) -> Iterator[Offer]:
    near = one.values.get("near", "")
    if isinstance(near, str) and near and one.code != "key-unknown":
        yield Offer(f"Take {near}", near)


def _cures(one: Problem) -> Iterator[Offer]:
    """What the checker says would be right, where that is a value to put in."""
    cures = [one.cure] if one.cure is not None else []
    for cure in cures:
        other = cure.values.get("other")
        if isinstance(other, Fact):
            cures.append(other)
        if word := cure.values.get("word"):
            yield Offer(f"Take {word}", word)
        if cure.code == "right-form":
            right = cure.values.get("right", ())
            yield from _offers(right if isinstance(right, tuple) else (right,))
    right = one.values.get("right", ())
    yield from _offers(right if isinstance(right, tuple) else (right,))


def _offers(forms: Iterable[object]) -> Iterator[Offer]:
    """Buttons for values as a job file has them, such as ``"10 ft"`` in quotes."""
    for form in forms:
        try:
            value = tomllib.loads(f"value = {form}")["value"]
        except (tomllib.TOMLDecodeError, KeyError):
            continue
        yield Offer(f"Take {_words(value)}", value)


def _words(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return (
        " and ".join(_words(one) for one in value)
        if isinstance(value, Sequence) and not isinstance(value, str)
        else str(value)
    )


def sorted_by_weight(said: Iterable[Said]) -> list[Said]:
    """What is said, the weightiest first, each once."""
    order = ("wrong", "lacking", "odd", "known")
    return sorted({one.words: one for one in said}.values(), key=lambda one: order.index(one.weight))
