"""Every table and key of a job file."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.jobfile.values import (
    Parser,
    anything,
    choice,
    day,
    flag,
    number,
    pair,
    place,
    quantity,
    rate,
    text,
    whole,
    word_or,
)


@dataclass(frozen=True, slots=True)
class Key:
    """One key. Without a default in ``tables/defaults.csv`` it is asked for, unless it is optional."""

    parse: Parser
    optional: bool = False
    used: bool = True
    """False for a key that is read and that no part of the plan acts on yet: giving it makes a note."""


def _unused(parse: Parser) -> Key:
    return Key(parse, optional=True, used=False)


SCHEMA: dict[str, dict[str, Key]] = {
    "drill": {
        "name": Key(text),
        "rows": Key(whole),
        "row_spacing": Key(quantity("length")),
        "turning_radius": Key(quantity("length")),
        "pass_overlap": Key(quantity("length")),
        "follows_bend": Key(quantity("angle")),
        "reverse_turns": Key(flag),
        "transport_width": _unused(quantity("length")),
        "weight": _unused(quantity("mass")),
        "wheel_circumference": _unused(quantity("length")),
        "notch_depth": _unused(quantity("length")),
        "chart": _unused(anything),
    },
    "drill.box": {
        "name": Key(text),
        "kind": Key(choice("grain", "native", "small")),
        "volume": Key(quantity("volume")),
        "usable": Key(quantity("share"), optional=True),
        "least": Key(quantity("share")),
        "drive": Key(text, optional=True),
        "lands": Key(text, optional=True),
        "metering": Key(pair("volume rate"), optional=True),
    },
    "tractor": {
        "pto_power": _unused(quantity("power")),
        "remotes": _unused(whole),
        "hitch": _unused(text),
        "drive": _unused(choice("2WD", "MFWD", "4WD", "tracks")),
    },
    "working": {
        "field_speed": Key(quantity("speed")),
        "turn_speed": Key(quantity("speed")),
        "turn_extra": Key(quantity("time")),
        "headland_rounds": Key(word_or("auto", whole)),
        "headland": Key(choice("first", "last")),
        "heading": Key(word_or("best", quantity("angle"))),
        "blocks": Key(word_or("best", whole)),
        "order": Key(choice("best", "plain")),
        "sowings": Key(whole),
        "smallest_obstacle": Key(quantity("area")),
        "lift_over": Key(quantity("length")),
        "refill_time": Key(quantity("time")),
        "tube_check": Key(quantity("time")),
        "seed_at": Key(choice("gate")),
        "pick_up": Key(quantity("time")),
        "set_up": Key(quantity("time")),
        "calibration": Key(quantity("time")),
        "clean_out": Key(quantity("time")),
        "towing_speed": Key(quantity("speed")),
        "road_factor": Key(number),
    },
    "booking": {
        "hours_per_day": Key(quantity("time")),
        "fit_day_chance": Key(quantity("share")),
        "confidence": Key(quantity("share")),
        "start": _unused(day),
        "days_off": _unused(anything),
        "persistence": _unused(anything),
        "spread": _unused(anything),
    },
    "field": {
        "gate": Key(place, optional=True),
        "mix": Key(text, optional=True),
        "exclusions": Key(text, optional=True),
        "slope": _unused(quantity("share")),
    },
    "mix": {
        "name": Key(text),
        "overage": Key(quantity("share")),
    },
    "mix.component": {
        "species": Key(text),
        "box": Key(text),
        "rate": Key(rate),
        "lot": Key(text, optional=True),
        "purity": Key(quantity("share")),
        "germination": Key(quantity("share")),
        "hard": Key(quantity("share")),
        "dormant": Key(quantity("share")),
        "seeds_per_pound": Key(number, optional=True),
        "bulk_weight": Key(quantity("density")),
        "bag": Key(quantity("mass")),
        "coating": _unused(quantity("share")),
        "price": _unused(anything),
        "tested": _unused(day),
        "carrier": _unused(anything),
    },
    "cost": {
        "rate_card": _unused(anything),
        "fuel_price": _unused(anything),
        "wage": _unused(anything),
    },
}

TABLES = ("drill", "tractor", "working", "booking", "field", "mix", "cost")

HINTS = {
    (
        "mix.component",
        "bulk_weight",
    ): 'weigh a bucket of known volume, then write such as bulk_weight = "8 lb/bu"',
    ("booking", "fit_day_chance"): (
        'the chance that a day is fit for field work where you are, such as "55 %" (published: 59 % in northwest Iowa '
        "around 1 May, about 50 % in Illinois in April and May, over 75 % there in September and October)"
    ),
    (
        "drill",
        "turning_radius",
    ): 'of tractor and drill together, measured to the middle of the drill, such as "20 ft"',
    ("drill", "rows"): "how many openers the drill has, such as 16",
    ("drill", "row_spacing"): 'the distance between openers, such as "7.5 in"',
    ("drill.box", "volume"): 'brim-full volume of the box, such as "8 ft3" or "6 bu"',
}
