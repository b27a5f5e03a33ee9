"""What is said of quantities written as text."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_HINT = "write it as {example}"
PHRASES: dict[str, Phrase] = {
    "kind/angle": Phrase("angle"),
    "kind/area": Phrase("area"),
    "kind/count-rate": Phrase("seeds by area"),
    "kind/density": Phrase("weight by volume"),
    "kind/length": Phrase("length"),
    "kind/mass": Phrase("weight"),
    "kind/mass-rate": Phrase("weight by area"),
    "kind/power": Phrase("power"),
    "kind/share": Phrase("percentage"),
    "kind/speed": Phrase("speed"),
    "kind/time": Phrase("time"),
    "kind/volume": Phrase("volume"),
    "kind/volume-rate": Phrase("volume by area"),
    "quantity-comma": Phrase('"{given}" has a comma where fieldplan looks for a point', hint=_HINT),
    "quantity-needs-unit": Phrase('"{given}" has no unit', hint=_HINT),
    "quantity-needs-unit/number": Phrase("is {given}, without a unit", hint=_HINT),
    "quantity-unknown-unit": Phrase('"{unit}" is no unit of {kind} (known: {known*, })', hint=_HINT),
    "quantity-unreadable": Phrase('"{given}" is no {kind}', hint=_HINT),
    "quantity-unreadable/no-digits": Phrase(
        '"{given}" is no {kind}: the number is looked for in digits', hint=_HINT
    ),
    "quantity-unreadable/not-text": Phrase("is {given}, not a {kind} as text", hint=_HINT),
    "quantity-unreadable/several-numbers": Phrase(
        '"{given}" is no {kind}: one number is looked for', hint=_HINT
    ),
    "quantity-unreadable/too-large": Phrase('"{given}" is too large a number', hint=_HINT),
}
