"""Facts, notes and problems in words: a phrase for each code, with quantities in the reader's units.

Several notes of one code share a sentence, with each quantity as a range; their texts and days must be the
same.
"""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterable, Mapping, Sequence
from datetime import date
from typing import cast

from fieldplan.errors import Problem
from fieldplan.facts import Fact, Measure, Money, Part, TableSentence, Value
from fieldplan.model.cost import OWN_NEED
from fieldplan.model.notes import Note
from fieldplan.report.words.both_units import BothUnits
from fieldplan.report.words.money_and_places import money_text, place_text
from fieldplan.report.words.phrases.phrase import Phrase
from fieldplan.report.words.phrases.table import phrase
from fieldplan.report.words.quantities import Quantities, measures

Values = Mapping[str, Value]
Sayable = Fact | TableSentence | Note | Problem
"""What has a sentence."""
_NAME = r"[a-z][a-z0-9_]*"
_PLACE = re.compile(
    rf"\{{(?P<name>{_NAME})(?:\.\.(?P<to>{_NAME}))?(?::(?P<digits>\d))?(?:\|(?P<singular>[^|{{}}]*)\|(?P<plural>[^|{{}}]*)|\*(?P<by>[^{{}}]*))?\}}"
)
_OPTIONAL = re.compile(r"<([^<>]*)>")
_SOURCES = re.compile(r" \(\{sources\}\)|; \{sources\}")
"""Sources in brackets, which short sentences leave out."""
_WHERE = ("file", "about", "key")
_UNPUBLISHED = {
    "assumed": "assumed",
    "practice": "common practice, no source",
    OWN_NEED: "the drill's own requirement (job file)",
}
MAX_PLACES = 3
"""Fields whose place is named where notes of several fields share a sentence."""


def sentence(thing: Sayable, q: Quantities) -> str:
    """The sentence of a fact, note or problem.

    Parameters
    ----------
    thing
        What the sentence is about.
    q
        The reader's units.

    Raises
    ------
    KeyError
        If its code has no phrase, or the phrase names a value that it lacks.
    """
    return joint_sentence([thing], q)


def hint_sentence(problem: Problem, q: Quantities) -> str:
    """What to try about a problem, without a full stop; empty if there is nothing to try.

    Parameters
    ----------
    problem
        The problem; a cure of its own replaces the hint of its phrase.
    q
        The reader's units.
    """
    if problem.cure is not None:
        return sentence(problem.cure, q)
    words = _phrase(problem, q)
    hint = words.metric_hint if words.metric_hint and q.system == "metric" else words.hint
    return _put(hint, [_with_where(problem)], q)


def in_words(thing: object, part: Part) -> str:
    """A fact, note or problem for a reader whose units are not known: quantities in US and metric units.

    Parameters
    ----------
    thing
        A fact, note, problem or sentence of a table.
    part
        "text" for the sentence, "hint" for what to try about a problem.
    """
    if part == "hint":
        return hint_sentence(cast(Problem, thing), BothUnits())
    return sentence(cast(Sayable, thing), BothUnits())


def short_sentence(thing: Sayable, q: Quantities) -> str:
    """The sentence of a fact or note where there is little room; see `sentence`."""
    return joint_sentence([thing], q, short=True)


def joint_sentence(group: Sequence[Sayable], q: Quantities, *, short: bool = False) -> str:
    """The one sentence of several things that `alike` gives the same key.

    Parameters
    ----------
    group
        At least one fact, note or problem; of problems only the first counts.
    q
        The reader's units.
    short
        Take the short sentence, if there is one; it names places of a single field only.
    """
    first = group[0]
    brief = "" if not short or isinstance(first, TableSentence) else _phrase(first, q).short
    template = brief or _template(first, q)
    if short:
        template = _SOURCES.sub("", template)
    if isinstance(first, Problem):
        return _placed(first, template, q)
    places = (
        {name: _places(cast(Sequence[Note], group), name) for name in first.places}
        if isinstance(first, Note) and not (brief and len(group) > 1)
        else {}
    )
    text = _put(template, [{**_values(thing), **places} for thing in group], q)
    return f"{first.about}: {text}" if isinstance(first, Note) and first.about else text


def alike(thing: Sayable) -> Hashable:
    """A key that is the same for things that can share a sentence: all of them but quantities and places.

    Parameters
    ----------
    thing
        A fact, note, problem or sentence of a table.
    """
    if isinstance(thing, TableSentence):
        return thing.text, _shape(thing.values)
    sources = (thing.about, *thing.sources) if isinstance(thing, Note) else ()
    where = (thing.file, thing.about, thing.key) if isinstance(thing, Problem) else ()
    return _key(thing), sources, where, _shape(thing.values)


def _template(thing: Sayable, q: Quantities) -> str:
    if isinstance(thing, TableSentence):
        return thing.text
    words = _phrase(thing, q)
    return words.metric if words.metric and q.system == "metric" else words.text


def _phrase(thing: Fact, q: Quantities) -> Phrase:
    return phrase(_key(thing), fills_form=q.fills_form)


def _key(thing: Fact) -> str:
    """The key of a fact's phrase."""
    return f"{thing.code}/{thing.case}" if isinstance(thing, Note | Problem) and thing.case else thing.code


def _values(thing: Sayable) -> Values:
    """The values of a sentence; for a note ``{sources}`` is where its numbers come from."""
    if not isinstance(thing, Note) or not thing.sources:
        return thing.values
    return {**thing.values, "sources": sources_text(thing.sources)}


def sources_text(keys: Iterable[str]) -> str:
    """Where numbers come from.

    Parameters
    ----------
    keys
        Keys of ``tables/sources.csv``, "assumed", "practice" or `OWN_NEED`.

    Examples
    --------
    >>> sources_text(["tow20", "h1-manual"]), sources_text(["practice"])
    ('source: tow20, h1-manual', 'common practice, no source')
    """
    published = [key for key in keys if key not in _UNPUBLISHED]
    cited = [f"source: {', '.join(published)}"] if published else []
    return "; ".join([*cited, *(_UNPUBLISHED[key] for key in keys if key in _UNPUBLISHED)])


def _with_where(problem: Problem) -> dict[str, Value]:
    return {**problem.values, "file": problem.file, "about": problem.about, "key": problem.key}


def _placed(problem: Problem, template: str, q: Quantities) -> str:
    """The sentence of a problem after what it is about, with a full stop."""
    text = _put(template, [_with_where(problem)], q)
    text = text if text.endswith((".", "?", "…")) else f"{text}."
    if any(place["name"] in _WHERE for place in _PLACE.finditer(template)):
        return text
    about = " ".join(part for part in (problem.about, problem.key) if part)
    apart = ": " if about and text[:1].isupper() else " "
    text = f"{about}{apart}{text}" if about else text
    return f"{problem.file}: {text}" if problem.file else text


def _put(template: str, each: Sequence[Values], q: Quantities) -> str:
    """A template with its values filled in, each as the range over all of ``each``.

    Raises
    ------
    KeyError
        If the template names a value that is missing.
    """

    def optional(found: re.Match[str]) -> str:
        names = [place["name"] for place in _PLACE.finditer(found[1])]
        return found[1] if all(each[0].get(name, "") not in ("", ()) for name in names) else ""

    def value_text(place: re.Match[str]) -> str:
        names = (place["name"], place["to"] or place["name"])
        lows, highs = ([values[name] for values in each] for name in names)
        if place["plural"] is not None:
            return place["singular"] if all(low == 1 for low in lows) else place["plural"]
        digits = None if place["digits"] is None else int(place["digits"])
        if isinstance(lows[0], tuple) and not names[0].endswith("_lonlat"):
            members = _apart(list(zip(*cast(list[tuple[Value, ...]], lows), strict=True)))
            texts = (_value_text(names, member, member, digits, q) for member in members)
            return (place["by"] or ", ").join(texts)
        return _value_text(names, lows, highs, digits, q)

    return _PLACE.sub(value_text, _OPTIONAL.sub(optional, template))


def _apart(members: Sequence[Sequence[Value]]) -> Iterable[Sequence[Value]]:
    """The members of a list; notes that can share a sentence are one member."""
    groups: dict[Hashable, list[Value]] = {}
    for k, member in enumerate(members):
        groups.setdefault(alike(member[0]) if isinstance(member[0], Note) else k, []).extend(member)
    return groups.values()


def _value_text(
    names: tuple[str, str], lows: Sequence[Value], highs: Sequence[Value], digits: int | None, q: Quantities
) -> str:
    """The text of one place: a quantity as a range, anything else as it is."""
    first = lows[0]
    match first:
        case Note() | Problem():  # the sentence around it has the full stop
            return joint_sentence(cast(Sequence[Sayable], lows), q).removesuffix(".")
        case Fact() | TableSentence():
            return joint_sentence(cast(Sequence[Sayable], lows), q)
        case Measure():
            sizes = [low.value for low in cast(Sequence[Measure], (*lows, *highs))]
            return _ranged([q.measured(first.ending, value, digits) for value in (min(sizes), max(sizes))])
        case Money():
            sums = sorted(cast(Sequence[Money], (*lows, *highs)), key=lambda low: low.amount)
            return _ranged(
                [money_text(end.amount, end.currency, exact=end.exact) for end in (sums[0], sums[-1])]
            )
        case date() if names[0].endswith("_month_day"):
            return f"{first.day} {first:%b}"
        case date() if names[0].endswith("_weekday"):
            return f"{first:%a %d %b %Y}"
        case date():
            return f"{first}" if names[0].endswith("_typed_day") else f"{first:%d %b %Y}"
        case tuple():
            return place_text(cast(tuple[float, float], first))
        case int() | float() if measures(names[0]):
            ends = (
                (names[0], min(cast(Sequence[float], lows))),
                (names[1], max(cast(Sequence[float], highs))),
            )
            return _ranged([q.measured(name, value, digits) for name, value in ends])
        case int() | float() if digits is not None:
            return q.count(first, digits)
    return str(first)


def _ranged(ends: Sequence[str]) -> str:
    """From one quantity to another, with the unit once if it is the same: "5 to 8 ft"."""
    low, high = ends
    number, _, unit = low.partition(" ")
    return low if low == high else f"{number if unit and high.endswith(f' {unit}') else low} to {high}"


def _places(group: Sequence[Note], name: str) -> str:
    if len(group) == 1:
        return place_text(group[0].places[name])
    first = [f"{place_text(note.places[name])} ({note.field_id})" for note in group[:MAX_PLACES]]
    more = len(group) - len(first)
    return "; ".join(first) + (f"; and so on for {more} more" if more else "")


def _shape(values: Values) -> Hashable:
    """The values without the quantities, which may differ in one sentence."""
    return tuple(sorted((name, _kind(name, value)) for name, value in values.items()))


def _kind(name: str, value: Value) -> Hashable:
    match value:
        case Fact() | TableSentence():
            return alike(value)
        case Measure():
            return value.ending
        case Money():
            return value.currency
        case tuple():
            return "" if name.endswith("_lonlat") else tuple(_kind(name, member) for member in value)
        case int() | float() if measures(name):
            return ""
    return value if isinstance(value, str) else repr(value)
