"""Which layers and features of a file are wanted: ``--layer`` and ``--where``."""

from __future__ import annotations

import operator
import re
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

from fieldplan.boundary.layer import Feature, Layer
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError, UsageError
from fieldplan.facts import Fact, fact
from fieldplan.model.spelling import same_word

_CONDITION = re.compile(
    r"\s*(?P<name>[^=<>!]+?)\s*(?P<sign>!=|<=|>=|==?|<|>)\s*(?P<value>.*?)\s*", re.DOTALL
)
_SIGNS: dict[str, Callable[[Any, Any], bool]] = {
    "=": operator.eq,
    "!=": operator.ne,
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
}
MAX_LISTED = 12
Condition = tuple[str, str, str]
"""Name of an attribute, sign, and the value to compare with."""


def chosen_layers(path: Path, layers: tuple[Layer, ...], terms: ReadingTerms) -> tuple[Layer, ...]:
    """The layers named with ``--layer``, or all if none is named.

    Raises
    ------
    BoundaryError
        If the file has no layer of that name.
    """
    names = [layer.name for layer in layers]
    for wanted in terms.layers:
        if wanted not in names:
            raise BoundaryError.of("layer-unknown", file=str(path), layer=wanted, known=listed(names))
    return tuple(layer for layer in layers if not terms.layers or layer.name in terms.layers)


def conditions(
    path: Path, layers: Iterable[Layer], terms: ReadingTerms, attributes: Iterable[str] = ()
) -> tuple[Condition, ...]:
    """The conditions of ``--where``, each as its attribute, sign and value.

    Parameters
    ----------
    attributes
        Names that features of the file have besides those in ``layers``.

    Raises
    ------
    UsageError
        If a condition cannot be understood.
    BoundaryError
        If a condition or an option names an attribute that no feature of the file has.
    """
    known = {key for layer in layers for feature in layer.features for key in feature.attributes}
    known.update(attributes)
    found = []
    for text in terms.where:
        match = _CONDITION.fullmatch(text)
        if match is None:
            raise UsageError.of("where-unreadable", about="--where", given=text)
        found.append((match["name"], match["sign"].replace("==", "="), match["value"].strip("'\"")))
    options = {
        "--id-field": terms.id_field,
        "--name-field": terms.name_field,
        "--mix-field": terms.mix_field,
    }
    named = [("--where", name) for name, _, _ in found]
    named += [(option, name) for option, name in options.items() if name]
    for option, name in named:
        if name.lower() not in {key.lower() for key in known}:
            raise BoundaryError.of(
                "attribute-unknown",
                file=str(path),
                attribute=name,
                option=option,
                known=listed(sorted(known)),
            )
    return tuple(found)


def holds(condition: Condition, feature: Feature) -> bool:
    """Whether a feature meets a condition, compared as numbers if both sides are numbers, else as text.

    Examples
    --------
    >>> oats = Feature(attributes={"crop": "oats", "acres": 12}, geometry=None)
    >>> holds(("crop", "=", "oats"), oats), holds(("acres", ">", "5"), oats), holds(("gate", "=", ""), oats)
    (True, True, False)
    """
    name, sign, wanted = condition
    value = attribute(feature.attributes, name)
    if value is None:
        return sign == "!="
    if isinstance(value, bool):
        return _SIGNS[sign](str(value).lower(), wanted.lower())
    try:
        return _SIGNS[sign](float(value), float(wanted))
    except (TypeError, ValueError):
        return _SIGNS[sign](str(value).strip(), wanted)


def values_there(layers: Iterable[Layer], wanted: Iterable[Condition]) -> tuple[Fact, ...]:
    """For a hint: the values that the attributes named in some conditions have in the file."""
    features = [feature for layer in layers for feature in layer.features]
    facts = []
    for name, _, _ in wanted:
        found = (attribute(feature.attributes, name) for feature in features)
        values = sorted({str(value) for value in found if value is not None})
        facts.append(fact("attribute-values", attribute=name, known=listed(values)))
    return tuple(facts)


def attribute(attributes: Mapping[str, Any], name: str) -> Any:
    """An attribute's value, whatever the case of its name, with blanks or hyphens for underscores too; ``None`` if it is
    missing or blank.

    Examples
    --------
    >>> attribute({"MIX": "prairie", "note": " "}, "mix")
    'prairie'
    >>> attribute({"Set-back": "30 ft"}, "set_back")
    '30 ft'
    >>> attribute({"note": " "}, "note") is None
    True
    """
    value = attributes.get(name)
    if value is None:
        value = next((found for key, found in attributes.items() if same_word(key, name)), None)
    return None if _missing(value) else value


def _missing(value: Any) -> bool:
    if isinstance(value, str | bytes):
        return not value.strip()
    if value is None or hasattr(value, "__len__"):
        return value is None or len(value) == 0
    return str(value) in ("nan", "NaT", "<NA>")


def listed(names: Iterable[str]) -> Fact:
    """Names for a sentence: the first dozen, and how many more there are."""
    names = tuple(names)
    if len(names) > MAX_LISTED:
        return fact("names/many", names=names[:MAX_LISTED], n_more=len(names) - MAX_LISTED)
    return fact("names", names=names) if names else fact("names/none")
