"""Sentences about quantities written as text."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_HINT = "write it as {example}"
PHRASES: dict[str, Phrase] = {
    "kind/angle": Phrase("angle"),
    "kind/area": Phrase("area"),
    "kind/count-rate": Phrase("seeds per area"),
    "kind/density": Phrase("weight per volume"),
    "kind/length": Phrase("length"),
    "kind/mass": Phrase("weight"),
    "kind/mass-rate": Phrase("weight per area"),
    "kind/power": Phrase("power"),
    "kind/share": Phrase("percentage"),
    "kind/speed": Phrase("speed"),
    "kind/time": Phrase("time"),
    "kind/volume": Phrase("volume"),
    "kind/volume-rate": Phrase("volume per area"),
    "quantity-comma": Phrase('"{given}" has a comma where a decimal point is needed', hint=_HINT),
    "quantity-needs-unit": Phrase('"{given}" has no unit', hint=_HINT),
    "quantity-needs-unit/number": Phrase("is {given}, without a unit", hint=_HINT),
    "quantity-unknown-unit": Phrase('"{unit}" is not a unit of {kind} (known: {known*, })', hint=_HINT),
    "quantity-unreadable": Phrase('"{given}" cannot be read as {kind}', hint=_HINT),
    "quantity-unreadable/no-digits": Phrase(
        '"{given}" cannot be read as {kind}: write the number in digits', hint=_HINT
    ),
    "quantity-unreadable/not-text": Phrase("is {given}, not {kind} in quotes", hint=_HINT),
    "quantity-unreadable/several-numbers": Phrase(
        '"{given}" cannot be read as {kind}: it needs exactly one number', hint=_HINT
    ),
    "quantity-unreadable/too-large": Phrase('"{given}" is too large a number', hint=_HINT),
}
