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


def chosen_layers(path: Path, layers: tuple[Layer, ...], terms: ReadingTerms) -> tuple[Layer, ...]:
    """The layers asked for, or all.

    Raises
    ------
    BoundaryError
        If a name asked for is none of the file's.
    """
    names = [layer.name for layer in layers]
    for wanted in terms.layers:
        if wanted not in names:
            raise BoundaryError.of("layer-unknown", file=str(path), layer=wanted, known=listed(names))
    return tuple(layer for layer in layers if not terms.layers or layer.name in terms.layers)


def conditions(path: Path, layers: Iterable[Layer], terms: ReadingTerms) -> tuple[Condition, ...]:
    """The conditions of ``--where`` taken apart: attribute, sign and value.

    Raises
    ------
    UsageError
        If one cannot be understood.
    BoundaryError
        If one, or an option that names an attribute, names none of the file's.
    """
    known = {key for layer in layers for feature in layer.features for key in feature.attributes}
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
    asked = [("--where", name) for name, _, _ in found] + [
        (option, name) for option, name in options.items() if name
    ]
    for option, name in asked:
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
    """Whether a feature meets a condition: as numbers if both sides are, else as text."""
    name, sign, value = condition
    has = attribute(feature.attributes, name)
    if has is None:
        return sign == "!="
    if isinstance(has, bool):
        return _SIGNS[sign](str(has).lower(), value.lower())
    try:
        return _SIGNS[sign](float(has), float(value))
    except (TypeError, ValueError):
        return _SIGNS[sign](str(has).strip(), value)


def values_there(layers: Iterable[Layer], wanted: Iterable[Condition]) -> tuple[Fact, ...]:
    """The values that the attributes of some conditions have, for a hint."""
    there = []
    for name, _, _ in wanted:
        values = {
            str(has)
            for layer in layers
            for f in layer.features
            if (has := attribute(f.attributes, name)) is not None
        }
        there.append(fact("attribute-values", attribute=name, known=listed(sorted(values))))
    return tuple(there)


def attribute(attributes: Mapping[str, Any], name: str) -> Any:
    """An attribute's value whatever the case of its name; ``None`` if it is missing or blank."""
    value = attributes.get(name)
    if value is None:
        value = next((v for key, v in attributes.items() if key.lower() == name.lower()), None)
    return None if _missing(value) else value


def _missing(value: Any) -> bool:
    if isinstance(value, str | bytes):
        return not value.strip()
    if value is None or hasattr(value, "__len__"):
        return value is None or len(value) == 0
    return str(value) in ("nan", "NaT", "<NA>")


def listed(names: Iterable[str]) -> Fact:
    """Names to be listed, the first dozen of them."""
    names = tuple(names)
    if len(names) > MAX_LISTED:
        return fact("names/many", names=names[:MAX_LISTED], n_more=len(names) - MAX_LISTED)
    return fact("names", names=names) if names else fact("names/none")
