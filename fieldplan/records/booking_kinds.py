"""Kinds of entries about requests, bookings and renters."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from fieldplan.jobfile.values import choice
from fieldplan.records import reading
from fieldplan.records.typed_fact import DAY, DRILL, FIRST, REQUEST, WHY, Fact

TAKEN = ("days lost", "work goes on")
"""Causes of a cancellation after which the request comes first when days are free again: nobody gave them up."""
CAUSES = (*TAKEN, "planned again")
SAID = (
    "confirm",
    "decline",
    "release",
    "shorten",
    "cancel",
    "withdraw",
    "done",
    "met",
    "standing",
    "refused",
    "paid",
    "deposit",
    "remark",
    "strike",
)
"""Kinds that somebody says, pays or shows at the desk: typed without a day, they are of today. When a drill was out, a field
sown or a day lost is always said."""
_CELLS = Fact(reading.cells_of, """cells='{"acres": "12"}' (columns of the list)""", needed=True)
_RENTER = Fact(reading.short_text, "renter=H12 (the id of a renter)", needed=True)
_DAYS = Fact(reading.days_of, 'days="2027-04-24 2027-04-26" (the days booked)', needed=True)
_ORDER = Fact(reading.names_of, 'order="R05, R08" (who has it first on shared days)')
_PROMISE = Fact(reading.promise_of, "promise=… (hours and odds, as season plan wrote them)")
_BOOKED = {
    "request": REQUEST,
    "drill": DRILL,
    "day": DAY,
    "days": _DAYS,
    "order": _ORDER,
    "road": Fact(reading.road_of, 'road="12 mi" (to collect the drill)'),
    "promise": _PROMISE,
}

BOOKING_KINDS: Mapping[str, tuple[str, Mapping[str, Fact]]] = {
    "request": (
        "a request came in (season plan writes it)",
        {"request": REQUEST, "day": DAY, "renter": _RENTER, "cells": _CELLS},
    ),
    "changed": (
        "a request changed (season plan writes it)",
        {
            "request": REQUEST,
            "day": DAY,
            "renter": replace(_RENTER, needed=False),
            "cells": _CELLS,
            "personal": Fact(reading.names_of, "personal=phone (columns about the person)"),
        },
    ),
    "withdraw": (
        "a request was withdrawn, with its booking",
        {"request": REQUEST, "day": DAY, "why": WHY},
    ),
    "planned": ("a request got days (season plan writes it)", _BOOKED),
    "moved": ("a booking got other days (season rain writes it)", {**_BOOKED, "why": WHY}),
    "confirm": (
        "a renter said yes: to the booking as planned, or to an offer",
        {
            "request": REQUEST,
            "day": DAY,
            "drill": replace(DRILL, needed=False),
            "first": FIRST,
            **{name: replace(_BOOKED[name], needed=False) for name in ("days", "order", "road", "promise")},
        },
    ),
    "decline": (
        "a renter said no to an offer",
        {"request": REQUEST, "day": DAY, "drill": DRILL, "first": replace(FIRST, needed=True), "why": WHY},
    ),
    "release": ("a confirmed booking may be moved again", {"request": REQUEST, "day": DAY, "why": WHY}),
    "shorten": (
        "a renter gave days back",
        {
            "request": REQUEST,
            "day": DAY,
            "last": Fact(reading.day_of, "last=2027-04-26 (the last day kept)", needed=True),
            "why": WHY,
        },
    ),
    "cancel": (
        "a booking was cancelled; the request waits",
        {
            "request": REQUEST,
            "day": DAY,
            "why": WHY,
            "cause": Fact(
                choice(*CAUSES), f"cause={CAUSES[0]!r} (or {', '.join(CAUSES[1:])}; plan and rain write it)"
            ),
        },
    ),
    "done": (
        "how much of a job is done",
        {"request": REQUEST, "day": DAY, "share": Fact(reading.share, 'share="60 %"', needed=True)},
    ),
    "lost": (
        "days were lost, with one drill or with all",
        {
            "drill": replace(DRILL, needed=False),
            "day": DAY,
            "until": Fact(reading.day_of, "until=2027-04-26 (the last day lost)"),
            "why": Fact(reading.short_text, "why=rain (or breakdown, or repair)", needed=True),
        },
    ),
    "met": (
        "a renter met a requirement",
        {
            "request": REQUEST,
            "day": DAY,
            "what": Fact(reading.short_text, "what=insurance", needed=True),
            "until": Fact(reading.day_of, "until=2028-01-31 (how long it holds)"),
        },
    ),
    "standing": (
        "whether a renter may rent",
        {
            "request": REQUEST,
            "day": DAY,
            "good": Fact(reading.yes_or_no, "good=no", needed=True),
            "why": replace(WHY, example='why="fee of last year unpaid"', needed=True),
        },
    ),
    "forgotten": (
        "a renter's name was taken out (season forget writes it)",
        {"renter": _RENTER, "day": DAY},
    ),
}
"""What each of these says happened, and its facts in the order shown."""
