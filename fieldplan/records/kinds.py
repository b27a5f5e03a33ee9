"""Kinds of entries and their facts. Facts are typed as in a job file: quantities with their unit."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from fieldplan.errors import InputError, Problem, placed, problem
from fieldplan.facts import fact
from fieldplan.jobfile.values import LONGEST_TEXT, Parser, quantity, text
from fieldplan.model.records import Fresh
from fieldplan.model.spelling import nearest
from fieldplan.units import ACRE_M2

MAX_METER_M2 = 1_000_000 * ACRE_M2


@dataclass(frozen=True, slots=True)
class Fact:
    """A fact of an entry: how it is read, an example, and whether it is required."""

    parse: Parser
    example: str
    needed: bool = False


def _text(value: object) -> str:
    if len(str(value)) > LONGEST_TEXT:
        raise InputError.of("text-long/entry", n_characters=len(str(value)), n_most=LONGEST_TEXT)
    return text(value)


def _day(value: object) -> date:
    try:
        day = date.fromisoformat(
            str(value) if len(str(value)) == len("2027-05-10") and str(value).count("-") == 2 else ""
        )
    except ValueError:
        raise InputError.of("not-a-date/entry", given=str(value)) from None
    return day


def _meter(value: object) -> float:
    found = quantity("area")(value)
    if not 0 <= found <= MAX_METER_M2:
        raise InputError.of("out-of-range/meter", given=str(value), most_m2=MAX_METER_M2)
    return float(found)


def _share(value: object) -> float:
    found = quantity("share")(value)
    if not 0 <= found <= 1:
        raise InputError.of("out-of-range/share", given=str(value))
    return float(found)


def _positive(kind: Any, maximum: float) -> Parser:
    def parse(value: object) -> float:
        found = quantity(kind)(value)
        if not 0 < found <= maximum:
            raise InputError.of(
                "out-of-range/nothing" if found <= 0 else "out-of-range/too-much", given=str(value)
            )
        return float(found)

    return parse


_SIGN = r"[^\d\s.,+\-−()]{0,3}"
_MONEY = re.compile(
    rf"(?P<sign>[-−]?)\s*{_SIGN}\s*(?P<late_sign>[-−]?)\s*(?P<amount>(?:\d{{1,3}}(?:,\d{{3}})+|\d{{1,9}})(?:\.\d{{1,2}})?)\s*{_SIGN}"
)


def _money(value: object) -> Decimal:
    match = _MONEY.fullmatch(str(value).strip()) if len(str(value)) <= LONGEST_TEXT else None
    if match is None:
        raise InputError.of("not-money/entry", given=str(value))
    amount = Decimal(match["amount"].replace(",", ""))
    return -amount if match["sign"] or match["late_sign"] else amount


def _cost(value: object) -> Decimal:
    cost = _money(value)
    if cost < 0:
        raise InputError.of("out-of-range/below-nothing", given=str(value))
    return cost


def _rate_facts(value: object) -> dict[str, str]:
    """Facts for the rate card, as name=value, with commas between them."""
    found: dict[str, str] = {}
    for part in str(value).split(","):
        name, equals, value = (part.strip() for part in part.partition("="))
        if not (name and equals and value):
            raise InputError.of("not-facts", given=str(value))
        found[name] = value
    return found


def _yes_or_no(value: object) -> str:
    if str(value).strip().casefold() not in ("yes", "no"):
        raise InputError.of("not-yes-or-no", given=str(value))
    return str(value).strip().casefold()


_REQUEST = Fact(_text, "request=R05", needed=True)
_DRILL = Fact(_text, 'drill="ten foot"', needed=True)
_DAY = Fact(_day, "day=2027-04-24", needed=True)
_METER = Fact(_meter, 'meter="1204.6 ac"', needed=True)
_NOTE = Fact(_text, 'note="what else there is to say"')
_CONDITION = Fact(_text, 'condition="one lamp out"')
_FIELD = Fact(_text, "field=north", needed=True)

KINDS: Mapping[str, tuple[str, Mapping[str, Fact]]] = {
    "confirm": (
        "a renter said yes to a booking",
        {
            "request": _REQUEST,
            "day": _DAY,
            "drill": _DRILL,
            "first": Fact(_day, "first=2027-04-24 (the first day booked)", needed=True),
        },
    ),
    "out": (
        "a drill went out",
        {
            "request": _REQUEST,
            "drill": _DRILL,
            "day": _DAY,
            "meter": _METER,
            "condition": _CONDITION,
            "miles": Fact(_positive("length", 3e6), 'miles="12 mi"'),
            "bill": Fact(_rate_facts, 'bill="area=outside"'),
        },
    ),
    "sown": (
        "a field was sown",
        {
            "request": _REQUEST,
            "field": _FIELD,
            "day": _DAY,
            "acres": Fact(_positive("area", MAX_METER_M2), 'acres="8.1 ac"'),
            "practice": Fact(_text, 'practice="cover crop"'),
            "depth": Fact(_positive("length", 0.3), 'depth="0.5 in"'),
            "settings": Fact(_text, 'settings="grain box 42"'),
            "weather": Fact(_text, 'weather="dry, light wind"'),
        },
    ),
    "seed": (
        "seed of a lot went into a field",
        {
            "request": _REQUEST,
            "field": _FIELD,
            "day": _DAY,
            "species": Fact(_text, "species=oats", needed=True),
            "lot": Fact(_text, "lot=T-117", needed=True),
            "weight": Fact(_positive("mass", 1e6), 'weight="430 lb"', needed=True),
            "box": Fact(_text, "box=grain"),
            "purity": Fact(_share, 'purity="98 %"'),
            "germination": Fact(_share, 'germination="92 %"'),
            "dormant": Fact(_share, 'dormant="10 %" (hard and dormant)'),
            "tested": Fact(_day, "tested=2027-01-20"),
            "origin": Fact(_text, "origin=local"),
            "tag": Fact(_text, 'tag="kept" (or where it is kept)'),
            "receipt": Fact(_text, 'receipt="no. 5561"'),
            "treated": Fact(_yes_or_no, "treated=yes (as the tag says)"),
        },
    ),
    "in": (
        "a drill came back",
        {
            "request": _REQUEST,
            "drill": Fact(_text, 'drill="ten foot"'),
            "day": _DAY,
            "meter": _METER,
            "condition": _CONDITION,
            "empty": Fact(_yes_or_no, "empty=yes (all boxes)"),
            "hours": Fact(_positive("time", 3e6), 'hours="7 h"'),
            "bill": Fact(_rate_facts, 'bill="cleaned=no"'),
        },
    ),
    "paid": (
        "a renter paid; below 0: was paid back",
        {"request": _REQUEST, "day": _DAY, "sum": Fact(_money, "sum=$120", needed=True)},
    ),
    "deposit": (
        "a deposit was taken; below 0: was given back",
        {"request": _REQUEST, "day": _DAY, "sum": Fact(_money, "sum=$100", needed=True)},
    ),
    "refused": (
        "a renter was turned away",
        {"request": _REQUEST, "day": _DAY, "why": Fact(_text, 'why="no days left"', needed=True)},
    ),
    "rain": ("a day that a drill lost to weather", {"drill": _DRILL, "day": _DAY}),
    "repair": (
        "a drill was repaired",
        {
            "drill": _DRILL,
            "day": _DAY,
            "cost": Fact(_cost, "cost=$84.50", needed=True),
            "what": Fact(_text, 'what="two seed tubes"', needed=True),
        },
    ),
    "meter": (
        "the district read a drill's meter, or fitted a new one",
        {
            "drill": _DRILL,
            "day": _DAY,
            "meter": _METER,
            "why": Fact(_text, 'why="new meter"', needed=True),
        },
    ),
    "remark": (
        "what a renter said about the rental",
        {"request": _REQUEST, "day": _DAY, "text": Fact(_text, 'text="went well"', needed=True)},
    ),
    "strike": (
        "an earlier entry is withdrawn",
        {"day": _DAY, "why": Fact(_text, 'why="entered twice"', needed=True)},
    ),
}
"""What each kind of entry says happened, and its facts in the order shown. Every entry may have a note."""


def fact_names(kind: str) -> tuple[str, ...]:
    """Names of the facts of a kind, in the order shown; none for an unknown kind."""
    return (*KINDS[kind][1], "note") if kind in KINDS else ()


def facts_of(fresh: Fresh) -> Mapping[str, Any]:
    """Read the facts of an entry.

    Returns
    -------
    Mapping
        Values by fact: quantities in SI, days as dates, sums of money as decimals, all else as text.

    Raises
    ------
    InputError
        With everything that is wrong with the entry.
    """
    where, about = fresh.where, fresh.kind
    if fresh.kind not in KINDS:
        near = "".join(difflib.get_close_matches(fresh.kind, KINDS, n=1))
        raise InputError.of(
            "kind-unknown", file=where, kind=fresh.kind[:40], near=near, kinds=() if near else tuple(KINDS)
        )
    known = {**KINDS[fresh.kind][1], "note": _NOTE}
    problems: list[Problem] = []
    found: dict[str, Any] = {}
    for name, typed in fresh.typed.items():
        if name not in known:
            near = nearest(name, known) or ""
            problems.append(
                problem(
                    "fact-unknown/entry",
                    file=where,
                    about=about,
                    fact=name[:40],
                    near=near,
                    known=tuple(known),
                )
            )
            continue
        try:
            found[name] = known[name].parse(typed)
        except InputError as error:
            example = fact("entry-example", example=known[name].example)
            problems += [
                placed(fault, file=where, about=about, key=name, cure=example) for fault in error.problems
            ]
    problems += [
        problem("fact-missing", file=where, about=about, fact=name, example=kind_fact.example)
        for name, kind_fact in known.items()
        if kind_fact.needed and name not in fresh.typed
    ]
    if fresh.kind == "strike" and fresh.corrects is None:
        problems.append(problem("fact-missing/row", file=where, about=about))
    if problems:
        raise InputError(tuple(problems))
    return found
