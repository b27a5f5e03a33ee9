"""Current entries gathered by request: rentals, ground sown, seed, payments."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from fieldplan.model.booked import Confirmed
from fieldplan.model.records import Account, Entry, Rental, SeedUsed, Sown
from fieldplan.model.request import Request
from fieldplan.records.rentals import rentals_of

_ANSWERS = ("refused", "confirm", "release", "cancel", "withdraw")
"""Kinds of entries that answer a request or take the answer back; the last of them holds."""


def accounts_of(entries: Sequence[Entry], requests: Sequence[Request]) -> tuple[Account, ...]:
    """An account for each request, in the order of the list.

    Parameters
    ----------
    entries
        Current entries (`current_entries`), without conflicts.
    """
    rentals = rentals_of(entries)
    by_request: dict[str, list[Entry]] = {}
    for entry in entries:
        by_request.setdefault(entry.request, []).append(entry)
    return tuple(
        _account(request, by_request.get(request.request_id, []), rentals.get(request.request_id, ()))
        for request in requests
    )


def _account(request: Request, entries: Sequence[Entry], rentals: Sequence[Rental]) -> Account:
    facts: dict[str, str] = {}
    answers = [entry for entry in entries if entry.kind in _ANSWERS]
    last = answers[-1] if answers else None
    for entry in entries:
        facts |= entry.facts.get("bill", {})
    return Account(
        request=request,
        rentals=tuple(rentals),
        facts=facts,
        sown=tuple(_sown(entry, request.facts) for entry in entries if entry.kind == "sown"),
        seed=tuple(_seed(entry) for entry in entries if entry.kind == "seed"),
        paid=tuple(entry for entry in entries if entry.kind == "paid"),
        deposit=sum((entry.facts["sum"] for entry in entries if entry.kind == "deposit"), Decimal(0)),
        remarks=tuple(entry for entry in entries if entry.kind == "remark"),
        confirmed=_confirmed(last, entries) if last and last.kind == "confirm" else None,
        refused=last if last and last.kind == "refused" and not rentals else None,
    )


def _confirmed(answer: Entry, entries: Sequence[Entry]) -> Confirmed | None:
    """The booking that was confirmed: as the entry names it, else as it was planned last."""
    planned = [entry.facts for entry in entries if entry.kind in ("planned", "moved")]
    drill = answer.facts.get("drill") or (planned[-1]["drill"] if planned else None)
    first = answer.facts.get("first") or (planned[-1]["days"][0] if planned else None)
    return None if drill is None or first is None else Confirmed(drill=drill, first=first)


def _sown(entry: Entry, row: Mapping[str, str]) -> Sown:
    """Ground sown; its practice is that of the entry, else that of the list of requests."""
    facts = entry.facts
    return Sown(
        number=entry.number,
        field_id=facts["field"],
        day=entry.day,
        drilled_m2=facts.get("acres"),
        practice=facts.get("practice") or row.get("practice", ""),
        depth_m=facts.get("depth"),
        settings=facts.get("settings", ""),
        weather=facts.get("weather", ""),
    )


def _seed(entry: Entry) -> SeedUsed:
    facts = entry.facts
    return SeedUsed(
        number=entry.number,
        field_id=facts["field"],
        species=facts["species"],
        lot=facts["lot"],
        bulk_kg=facts["weight"],
        box=facts.get("box", ""),
        purity_frac=facts.get("purity"),
        germination_frac=facts.get("germination"),
        dormant_frac=facts.get("dormant"),
        tested=facts.get("tested"),
        origin=facts.get("origin", ""),
        tag=facts.get("tag", ""),
        receipt=facts.get("receipt", ""),
        treated=facts.get("treated") == "yes",
    )
