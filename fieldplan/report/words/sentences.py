"""Facts, notes and problems in words: a phrase for each code, its quantities in the reader's units.

Several notes of one code are said in one sentence, each quantity from its least to its most; texts and days
must then be the same.
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
from fieldplan.report.words.money_and_places import money_text, place_text
from fieldplan.report.words.phrases.table import phrase
from fieldplan.report.words.quantities import BothUnits, Quantities, measures

Values = Mapping[str, Value]
Saying = Fact | TableSentence | Note | Problem
_NAME = r"[a-z][a-z0-9_]*"
_PLACE = re.compile(
    rf"\{{(?P<name>{_NAME})(?:\.\.(?P<to>{_NAME}))?(?::(?P<digits>\d))?(?:\|(?P<one>[^|{{}}]*)\|(?P<many>[^|{{}}]*)|\*(?P<by>[^{{}}]*))?\}}"
)
_OPTIONAL = re.compile(r"<([^<>]*)>")
_WHERE = ("file", "about", "key")
_UNPUBLISHED = {
    "assumed": "assumed",
    "practice": "common practice, no source",
    OWN_NEED: "the drill's own requirement (job file)",
}
MAX_PLACES = 3
"""Fields whose place is named where notes that differ in it are said as one."""


def sentence(thing: Saying, q: Quantities) -> str:
    """The sentence of a fact, note or problem."""
    return joint_sentence([thing], q)


def hint_sentence(problem: Problem, q: Quantities) -> str:
    """What to try about a problem; empty if there is nothing to say."""
    if problem.cure is not None:
        return sentence(problem.cure, q)
    own = phrase(_key(problem))
    hint = own.metric_hint if own.metric_hint and q.system == "metric" else own.hint
    return _put(hint, [_with_where(problem)], q)


def in_words(thing: object, part: Part) -> str:
    """A fact, note or problem for a reader whose units are not known: quantities in both."""
    if part == "hint":
        return hint_sentence(cast(Problem, thing), BothUnits())
    return sentence(cast(Saying, thing), BothUnits())


def joint_sentence(group: Sequence[Saying], q: Quantities) -> str:
    """The sentence that several share which `alike` does not tell apart."""
    first = group[0]
    template = _template(first, q)
    if isinstance(first, Problem):
        return _placed(first, template, q)
    places = (
        {name: _places(cast(Sequence[Note], group), name) for name in first.places}
        if isinstance(first, Note)
        else {}
    )
    text = _put(template, [{**_values(one), **places} for one in group], q)
    return f"{first.about}: {text}" if isinstance(first, Note) and first.about else text


def alike(thing: Saying) -> Hashable:
    """What things have in common that are said in one sentence: all but the quantities and places."""
    if isinstance(thing, TableSentence):
        return thing.text, _shape(thing.values)
    sources = (thing.about, *thing.sources) if isinstance(thing, Note) else ()
    where = (thing.file, thing.about, thing.key) if isinstance(thing, Problem) else ()
    return _key(thing), sources, where, _shape(thing.values)


def _template(thing: Saying, q: Quantities) -> str:
    if isinstance(thing, TableSentence):
        return thing.text
    own = phrase(_key(thing))
    return own.metric if own.metric and q.system == "metric" else own.text


def _key(thing: Fact) -> str:
    """Which phrase a fact has."""
    return f"{thing.code}/{thing.case}" if isinstance(thing, Note | Problem) and thing.case else thing.code


def _values(thing: Saying) -> Values:
    """What stands in a sentence; ``{sources}`` is where the numbers of a note come from."""
    if not isinstance(thing, Note) or not thing.sources:
        return thing.values
    return {**thing.values, "sources": sources_text(thing.sources)}


def sources_text(keys: Iterable[str]) -> str:
    """Where numbers come from, such as "source: tow20, h1-manual", "assumed" or "common practice, no
    source".
    """
    published = [key for key in keys if key not in _UNPUBLISHED]
    sentence = [f"source: {', '.join(published)}"] if published else []
    return "; ".join([*sentence, *(_UNPUBLISHED[key] for key in keys if key in _UNPUBLISHED)])


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
    """A template with values in it, each as the range over all of ``each``.

    Raises
    ------
    KeyError
        If the template names what is not there.
    """

    def segment(found: re.Match[str]) -> str:
        return (
            found[1]
            if all(each[0].get(place["name"], "") not in ("", ()) for place in _PLACE.finditer(found[1]))
            else ""
        )

    def shown(place: re.Match[str]) -> str:
        names = (place["name"], place["to"] or place["name"])
        lows, highs = ([own[name] for own in each] for name in names)
        if place["many"] is not None:
            return place["one"] if all(low == 1 for low in lows) else place["many"]
        digits = None if place["digits"] is None else int(place["digits"])
        if isinstance(lows[0], tuple) and not names[0].endswith("_lonlat"):
            members = _apart(list(zip(*cast(list[tuple[Value, ...]], lows), strict=True)))
            return (place["by"] or ", ").join(
                _shown(names, member, member, digits, q) for member in members
            )
        return _shown(names, lows, highs, digits, q)

    return _PLACE.sub(shown, _OPTIONAL.sub(segment, template))


def _apart(members: Sequence[Sequence[Value]]) -> Iterable[Sequence[Value]]:
    """The members of a list; notes that `alike` does not tell apart are one member."""
    sentence: dict[Hashable, list[Value]] = {}
    for k, member in enumerate(members):
        sentence.setdefault(alike(member[0]) if isinstance(member[0], Note) else k, []).extend(member)
    return sentence.values()


def _shown(
    names: tuple[str, str], lows: Sequence[Value], highs: Sequence[Value], digits: int | None, q: Quantities
) -> str:
    """What stands in one place: a quantity from its least to its most, anything else as it is."""
    first = lows[0]
    match first:
        case Note() | Problem():  # its sentence goes on or ends where the one that it stands in does
            return joint_sentence(cast(Sequence[Saying], lows), q).removesuffix(".")
        case Fact() | TableSentence():
            return joint_sentence(cast(Sequence[Saying], lows), q)
        case Measure():
            sizes = [low.value for low in cast(Sequence[Measure], (*lows, *highs))]
            return _ranged([q.measured(first.ending, value, digits) for value in (min(sizes), max(sizes))])
        case Money():
            sums = sorted(cast(Sequence[Money], (*lows, *highs)), key=lambda low: low.amount)
            return _ranged(
                [money_text(sum_.amount, sum_.currency, exact=sum_.exact) for sum_ in (sums[0], sums[-1])]
            )
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
            return f"{first:,.{digits}f}"
    return str(first)


def _ranged(ends: Sequence[str]) -> str:
    """From one quantity to another, the unit said once where it is the same."""
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
    """The values without what may differ in one sentence."""
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
            return "" if name.endswith("_lonlat") else tuple(_kind(name, one) for one in value)
        case int() | float() if measures(name):
            return ""
    return value if isinstance(value, str) else repr(value)
