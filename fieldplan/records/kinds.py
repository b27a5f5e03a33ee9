"""Kinds of entries and their facts. Facts are typed as in a job file: quantities with their unit."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from fieldplan.errors import InputError, Problem, placed, problem
from fieldplan.facts import fact
from fieldplan.jobfile.values import choice
from fieldplan.model.letters import LETTER_KINDS
from fieldplan.model.records import Fresh
from fieldplan.model.spelling import nearest
from fieldplan.records import reading
from fieldplan.records.booking_kinds import BOOKING_KINDS
from fieldplan.records.typed_fact import (
    CONDITION,
    DAY,
    DRILL,
    FIELD,
    METER,
    NEW_METER,
    NOTE,
    OLD_METER,
    REQUEST,
    TURNS_AT,
    Fact,
)

KINDS: Mapping[str, tuple[str, Mapping[str, Fact]]] = {
    **BOOKING_KINDS,
    "out": (
        "a drill went out",
        {
            "request": REQUEST,
            "drill": DRILL,
            "day": DAY,
            "meter": METER,
            "condition": CONDITION,
            "miles": Fact(reading.positive("length", 3e6), 'miles="12 mi"'),
            "bill": Fact(reading.rate_facts, 'bill="area=outside"'),
            "waive": Fact(reading.names_of, 'waive="insurance" (requirements that are let pass)'),
            "why": Fact(reading.short_text, 'why="certificate comes Monday" (with waive)'),
        },
    ),
    "sown": (
        "a field was sown",
        {
            "request": REQUEST,
            "field": FIELD,
            "day": DAY,
            "acres": Fact(reading.positive("area", reading.MAX_METER_M2), 'acres="8.1 ac"'),
            "practice": Fact(reading.short_text, 'practice="cover crop"'),
            "depth": Fact(reading.positive("length", 0.3), 'depth="0.5 in"'),
            "settings": Fact(reading.short_text, 'settings="grain box 42"'),
            "weather": Fact(reading.short_text, 'weather="dry, light wind"'),
        },
    ),
    "seed": (
        "seed of a lot went into a field",
        {
            "request": REQUEST,
            "field": FIELD,
            "day": DAY,
            "species": Fact(reading.short_text, "species=oats", needed=True),
            "lot": Fact(reading.short_text, "lot=T-117", needed=True),
            "weight": Fact(reading.positive("mass", 1e6), 'weight="430 lb"', needed=True),
            "box": Fact(reading.short_text, "box=grain"),
            "purity": Fact(reading.share, 'purity="98 %"'),
            "germination": Fact(reading.share, 'germination="92 %"'),
            "dormant": Fact(reading.share, 'dormant="10 %" (hard and dormant)'),
            "tested": Fact(reading.day_of, "tested=2027-01-20"),
            "origin": Fact(reading.short_text, "origin=local"),
            "tag": Fact(reading.short_text, 'tag="kept" (or where it is kept)'),
            "receipt": Fact(reading.short_text, 'receipt="no. 5561"'),
            "treated": Fact(reading.yes_or_no, "treated=yes (as the tag says)"),
        },
    ),
    "in": (
        "a drill came back",
        {
            "request": REQUEST,
            "drill": Fact(reading.short_text, 'drill="ten foot"'),
            "day": DAY,
            "meter": METER,
            "turns_at": TURNS_AT,
            "old_meter": OLD_METER,
            "new_meter": NEW_METER,
            "condition": CONDITION,
            "empty": Fact(reading.yes_or_no, "empty=yes (all boxes)"),
            "hours": Fact(reading.positive("time", 3e6), 'hours="7 h"'),
            "bill": Fact(reading.rate_facts, 'bill="cleaned=no"'),
        },
    ),
    "paid": (
        "a renter paid; below 0: was paid back",
        {"request": REQUEST, "day": DAY, "sum": Fact(reading.money, "sum=$120", needed=True)},
    ),
    "deposit": (
        "a deposit was taken; below 0: was given back",
        {"request": REQUEST, "day": DAY, "sum": Fact(reading.money, "sum=$100", needed=True)},
    ),
    "refused": (
        "a renter was turned away",
        {
            "request": REQUEST,
            "day": DAY,
            "why": Fact(reading.short_text, 'why="no days left"', needed=True),
        },
    ),
    "rain": ("a day that a drill lost to weather", {"drill": DRILL, "day": DAY}),
    "down": (
        "a drill broke down: it loses its days until it works again",
        {
            "drill": DRILL,
            "day": DAY,
            "until": Fact(
                reading.day_of, "until=2027-04-29 (the last day without it, as expected)", needed=True
            ),
            "what": Fact(reading.short_text, 'what="hydraulic hose burst"', needed=True),
        },
    ),
    "repair": (
        "a drill was repaired",
        {
            "drill": DRILL,
            "day": DAY,
            "cost": Fact(reading.cost, "cost=$84.50", needed=True),
            "what": Fact(reading.short_text, 'what="two seed tubes"', needed=True),
            "works": Fact(reading.day_of, "works=2027-04-28 (the first day on which it works again)"),
            "broke": Fact(reading.day_of, "broke=2027-04-26 (the day of the breakdown that it belongs to)"),
        },
    ),
    "meter": (
        "a drill's meter was read at home, or replaced",
        {
            "drill": DRILL,
            "day": DAY,
            "meter": METER,
            "turns_at": TURNS_AT,
            "old_meter": OLD_METER,
            "why": Fact(reading.short_text, 'why="new meter"', needed=True),
        },
    ),
    "letter": (
        "a letter was made (season letters writes it)",
        {
            "request": REQUEST,
            "day": DAY,
            "what": Fact(
                choice(*LETTER_KINDS), f"what=pick-up (or {', '.join(LETTER_KINDS)})", needed=True
            ),
            "drill": replace(DRILL, needed=False),
            "days": Fact(reading.days_of, 'days="2027-04-24 2027-04-26" (the days that it told)'),
            "file": Fact(reading.short_text, "file=2027-04-17-pick-up-r05.pdf"),
        },
    ),
    "remark": (
        "what a renter said about the rental",
        {"request": REQUEST, "day": DAY, "text": Fact(reading.short_text, 'text="went well"', needed=True)},
    ),
    "strike": (
        "an earlier entry is withdrawn",
        {"day": DAY, "why": Fact(reading.short_text, 'why="entered twice"', needed=True)},
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
    known = {**KINDS[fresh.kind][1], "note": NOTE}
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
