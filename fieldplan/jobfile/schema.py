"""Every table and key of a job file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, get_args

from fieldplan.jobfile.days import day, days_off, fieldwork_day_chance, test_month
from fieldplan.jobfile.hitch import hitch
from fieldplan.jobfile.rates import carrier, money, price, rate
from fieldplan.jobfile.reverse import reverse
from fieldplan.jobfile.spans import budget, group, span
from fieldplan.jobfile.values import (
    Parser,
    choice,
    flag,
    number,
    pair,
    place,
    quantity,
    sides,
    telephone,
    text,
    text_or_texts,
    texts,
    whole,
    word_or,
    words,
)
from fieldplan.jobfile.weather_values import rule, years
from fieldplan.model.field import PatternWord, SearchWord
from fieldplan.units import HEIGHT_UNITS_M
from fieldplan.weather.columns import UNITS


@dataclass(frozen=True, slots=True)
class Key:
    """A key of a table.

    Parameters
    ----------
    parse
        Reads its value.
    optional
        Whether it may be left out without a default in ``tables/defaults.csv``.
    older
        The name that the key had before, which is still read.
    unless
        Keys of the same table that stand for it: with one of them it may be left out.
    """

    parse: Parser
    optional: bool = False
    older: str = ""
    unless: tuple[str, ...] = ()


SCHEMA: dict[str, dict[str, Key]] = {
    "drill": {
        "name": Key(text),
        "rows": Key(whole),
        "row_spacing": Key(quantity("length")),
        "turning_radius": Key(quantity("length")),
        "pass_overlap": Key(quantity("length")),
        "sowing_radius": Key(quantity("length"), optional=True),
        "pass_radius": Key(quantity("length"), optional=True),
        "follows_bend": Key(quantity("angle")),
        "reverse": Key(reverse, older="reverse_turns"),
        "transport_width": Key(quantity("length"), optional=True),
        "weight": Key(quantity("mass"), optional=True),
        "min_pto_power": Key(quantity("power"), optional=True),
        "min_remotes": Key(whole, optional=True),
        "hitch": Key(hitch, optional=True),
        "lender": Key(telephone, optional=True),
        "letterhead": Key(texts, optional=True),
        "wheel_circumference": Key(quantity("length"), optional=True),
        "notch_depth": Key(quantity("length")),
    },
    "drill.chart": {
        "seed": Key(text),
        "box": Key(text, optional=True),
        "range": Key(text, optional=True),
        "gate": Key(text, optional=True),
        "setting": Key(number),
        "rate": Key(quantity("mass rate")),
    },
    "drill.box": {
        "name": Key(text),
        "kind": Key(choice("grain", "native", "small")),
        "volume": Key(quantity("volume")),
        "usable": Key(quantity("share"), optional=True),
        "residual": Key(quantity("share"), older="least"),
        "sweep": Key(flag, optional=True),
        "drive": Key(text, optional=True),
        "lands": Key(text, optional=True),
        "metering": Key(pair("volume rate"), optional=True),
        "cleaning": Key(quantity("time")),
        "resetting": Key(quantity("time")),
    },
    "tractor": {
        "pto_power": Key(quantity("power"), optional=True),
        "remotes": Key(whole, optional=True),
        "front_reach": Key(quantity("length"), optional=True),
        "weight": Key(quantity("mass"), optional=True),
        "hitch": Key(hitch, optional=True),
        "drive": Key(choice("2WD", "MFWD", "4WD", "tracks"), optional=True),
    },
    "working": {
        "field_speed": Key(quantity("speed")),
        "turn_speed": Key(quantity("speed")),
        "turn_extra": Key(quantity("time")),
        "backing_speed": Key(quantity("speed")),
        "direction_change": Key(quantity("time")),
        "backing_saves": Key(quantity("time")),
        "headland_rounds": Key(word_or("auto", whole)),
        "headland": Key(choice("first", "last")),
        "heading": Key(word_or("best", quantity("angle"))),
        "blocks": Key(word_or("best", whole)),
        "pattern": Key(choice(*get_args(PatternWord))),
        "elevation": Key(text, optional=True),
        "elevation_unit": Key(choice(*HEIGHT_UNITS_M), optional=True),
        "hill_speed": Key(quantity("speed"), optional=True),
        "hill_slope": Key(quantity("share")),
        "row_grade": Key(quantity("share")),
        "row_grade_of_slope": Key(quantity("share")),
        "outlet_grade": Key(quantity("share")),
        "outlet_within": Key(quantity("length")),
        "contour_from": Key(quantity("share")),
        "order": Key(choice("best", "plain")),
        "search": Key(choice(*get_args(SearchWord))),
        "sowings": Key(whole),
        "smallest_obstacle": Key(quantity("area")),
        "lift_over": Key(quantity("length")),
        "edge": Key(choice("fenced", "open")),
        "refill_time": Key(quantity("time")),
        "tube_check": Key(quantity("time")),
        "break": Key(quantity("time")),
        "break_every": Key(quantity("time")),
        "seed_at": Key(choice("gate", "follows")),
        "pick_up": Key(quantity("time")),
        "set_up": Key(quantity("time")),
        "calibration": Key(quantity("time")),
        "clean_out": Key(quantity("time")),
        "field_order": Key(choice("fewest changes", "as given")),
        "towing_speed": Key(quantity("speed")),
        "road_factor": Key(number),
    },
    "loading": {
        "payload": Key(quantity("mass"), optional=True),
        "people": Key(quantity("mass")),
        "gear": Key(quantity("mass")),
        "tongue": Key(quantity("mass")),
        "empty_bag": Key(quantity("mass")),
        "bale": Key(quantity("mass")),
        "scale": Key(quantity("mass")),
    },
    "booking": {
        "hours_per_day": Key(quantity("time")),
        "fieldwork_day_chance": Key(
            fieldwork_day_chance, older="fit_day_chance", unless=("weather", "state")
        ),
        "weather": Key(text, optional=True),
        "state": Key(text, optional=True),
        "confidence": Key(quantity("share")),
        "start": Key(day, optional=True),
        "finish_by": Key(day, optional=True),
        "days_off": Key(days_off, optional=True),
        "persistence": Key(quantity("share"), unless=("weather", "state")),
        "uncertainty": Key(quantity("share"), older="spread"),
    },
    "weather": {
        "units": Key(choice(*UNITS), optional=True),
        "station": Key(text, optional=True),
        "rule": Key(rule, optional=True),
        "drainage": Key(text, optional=True),
        "survey": Key(text, optional=True),
        "years": Key(years, optional=True),
        "rain_day": Key(choice("as filed", "day before")),
        "presumed_zero": Key(choice("missing", "none")),
    },
    "field": {
        "gate": Key(place, optional=True),
        "mix": Key(text, optional=True),
        "exclusions": Key(text, optional=True),
        "slope": Key(quantity("share"), optional=True),
        "seed_at": Key(place, optional=True),
        "move": Key(quantity("time"), optional=True),
        "gate_width": Key(quantity("length"), optional=True),
        "edge": Key(choice("fenced", "open"), optional=True),
        "open_sides": Key(sides, optional=True),
        "neighbor": Key(telephone, optional=True),
        "pattern": Key(choice(*get_args(PatternWord)), optional=True),
    },
    "mix": {
        "name": Key(text),
        "overage": Key(quantity("share")),
    },
    "mix.component": {
        "species": Key(text),
        "box": Key(text, optional=True),
        "rate": Key(rate),
        "lot": Key(text, optional=True),
        "purity": Key(quantity("share")),
        "germination": Key(quantity("share"), unless=("tz",)),
        "hard": Key(quantity("share")),
        "dormant": Key(quantity("share")),
        "seeds_per_pound": Key(number, optional=True),
        "bulk_weight": Key(quantity("density")),
        "bag": Key(quantity("mass")),
        "coating": Key(quantity("share")),
        "inert": Key(quantity("share"), optional=True),
        "other_crop": Key(quantity("share"), optional=True),
        "weed_seed": Key(quantity("share"), optional=True),
        "price": Key(price, optional=True),
        "tested": Key(test_month, optional=True),
        "tz": Key(quantity("share"), optional=True),
        "tz_tested": Key(test_month, optional=True),
        "variety": Key(text, optional=True),
        "form": Key(text, optional=True),
        "origin": Key(text, optional=True),
        "noxious": Key(text_or_texts, optional=True),
        "treated": Key(flag),
        "carrier": Key(carrier, optional=True),
    },
    "seed_law": {
        "state": Key(text, optional=True),
        "from_state": Key(text, optional=True),
        "test_limit_months": Key(whole, optional=True),
        "test_limit_source": Key(text, optional=True),
    },
    "target": {
        "name": Key(text),
        "seeds": Key(span("count rate"), optional=True),
        "aim": Key(choice("cheapest", "most seeds")),
        "budget": Key(budget, optional=True),
        "ground": Key(quantity("area"), optional=True),
        "overage": Key(quantity("share")),
        "stock": Key(text, optional=True),
    },
    "target.group": {
        "name": Key(text),
        "seeds": Key(span("count rate"), optional=True),
        "share": Key(span("share"), optional=True),
        "pls": Key(span("mass rate"), optional=True),
    },
    "target.species": {
        "species": Key(text),
        "seeds": Key(span("count rate"), optional=True),
        "share": Key(span("share"), optional=True),
        "pls": Key(span("mass rate"), optional=True),
    },
    "target.lot": {
        "group": Key(group, optional=True),
        "at_hand": Key(quantity("mass"), optional=True),
    },
    "cost": {
        "rate_card": Key(text, optional=True),
        "when": Key(words, optional=True),
        "miles": Key(number, optional=True),
        "fuel_price": Key(money("volume"), optional=True),
        "wage": Key(money("time"), optional=True),
    },
}

SCHEMA |= {
    "season": {
        "name": Key(text, optional=True),
        "opens": Key(day),
        "closes": Key(day),
        "requests": Key(text),
        "confidence": Key(quantity("share")),
        "longest_booking": Key(whole),
        "notice": Key(whole),
        "inspection": Key(quantity("time")),
        "share_days": Key(flag),
        "serve_first": Key(texts),
        "rate_card": Key(text, optional=True),
        "distances": Key(text, optional=True),
        "weather": Key(text, optional=True),
        "letterhead": Key(texts, optional=True),
        "templates": Key(text, optional=True),
        "id": Key(text, optional=True),
        "early_by_rules": Key(flag, optional=True),
        "before_out": Key(texts, optional=True),
        "earlier": Key(texts, optional=True),
    },
    "season_drill": {
        "name": Key(text),
        "job": Key(text),
        "home": Key(place),
        "days_off": Key(days_off, optional=True),
    },
}

TABLES = (
    "drill",
    "tractor",
    "working",
    "loading",
    "booking",
    "weather",
    "field",
    "mix",
    "target",
    "seed_law",
    "cost",
)
LISTED = {
    "drill.box": "[[drill.box]]",
    "drill.chart": "[[drill.chart]]",
    "mix": "[[mix]]",
    "mix.component": "[[mix.component]]",
    "target": "[[target]]",
    "target.group": "[[target.group]]",
    "target.species": "[[target.species]]",
    "target.lot": "[[target.lot]]",
    "season_drill": "[[drill]]",
}
"""Headings of the tables of which a file may have several."""
_OF_SEASONS = ("season", "season_drill")


def names_now(table: str) -> dict[str, str]:
    """The name of today for each older name of a key of a table.

    >>> names_now("booking")["spread"]
    'uncertainty'
    """
    return {spec.older: key for key, spec in SCHEMA[table].items() if spec.older}


def headings_with(key: str, table: str) -> tuple[str, ...]:
    """The headings under which a key may stand, of the file that a table is of; none if no table has the key.

    Examples
    --------
    >>> headings_with("reverse", "working"), headings_with("seed_at", "drill")
    (('[drill]',), ('[working]', '[field.ID]'))
    """
    of_season = table in (*_OF_SEASONS, "season file")
    return tuple(
        "[field.ID]" if name == "field" else LISTED.get(name, f"[{name}]")
        for name, keys in SCHEMA.items()
        if (name in _OF_SEASONS) == of_season and (key in keys or key in names_now(name))
    )


def with_names_now(table: str, given: Mapping[str, Any]) -> dict[str, Any]:
    """The values of a table under the names that its keys have today."""
    now = names_now(table)
    return {now.get(key, key): value for key, value in given.items()}
