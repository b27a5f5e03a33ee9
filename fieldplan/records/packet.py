"""Proof for a cost-share payment out of the ledger: complete, or what is missing. What is asked for stands
in ``tables/packet.csv``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date

from fieldplan.facts import Fact, TableSentence, fact
from fieldplan.model.records import Account, Ground, Packet, PacketField, SeedUsed, Sown
from fieldplan.tables import read as tables

_OF_SEED: Mapping[str, Callable[[SeedUsed], object]] = {
    "box": lambda one: one.box,
    "tag": lambda one: one.pls_kg is not None,
    "kept": lambda one: one.tag,
    "tested": lambda one: one.tested,
    "origin": lambda one: one.origin,
    "receipt": lambda one: one.receipt,
}
_OF_SOWN: Mapping[str, Callable[[Sown], object]] = {
    "depth": lambda one: one.depth_m,
    "settings": lambda one: one.settings,
}


def packet_of(account: Account, ground: Sequence[Ground]) -> Packet:
    """The packet of a request: every field that was sown or should have been, with its seed, and what is
    not on record.

    Parameters
    ----------
    ground
        The fields of the request on the map.
    """
    rows = tables.rows("packet")
    facts = {name: account.request.facts.get(name, "") for name in ("farm", "tract")}
    facts["practice"] = ", ".join(dict.fromkeys(one.practice for one in account.sown if one.practice))
    missing: list[Fact | TableSentence] = [
        TableSentence(row["line"]) for row in rows if row["level"] == "request" and not facts[row["key"]]
    ]
    if not account.returned:
        missing.append(fact("return-missing"))
    mapped = _mapped(account, ground)
    ids = list(dict.fromkeys([*mapped, *(one.field_id for one in account.sown)]))
    fields = tuple(
        _field(account, field_id, mapped.get(field_id, 0.0), alone=len(ids) == 1) for field_id in ids
    )
    return Packet(
        account=account,
        facts=facts,
        fields=fields,
        missing=tuple(missing),
        cautions=tuple(_cautions(account)),
        sources=tuple(dict.fromkeys(row["source"] for row in rows)),
    )


def _mapped(account: Account, ground: Sequence[Ground]) -> dict[str, float]:
    """Acres on the map by field. Where only acres were asked for they are those of the one field sown,
    whatever it is called.
    """
    names = list(dict.fromkeys(one.field_id for one in account.sown))
    if account.request.fields is None and names:
        return {names[0]: ground[0].mapped_m2} if len(names) == 1 else {}
    return {one.field_id: one.mapped_m2 for one in ground}


def _field(account: Account, field_id: str, mapped_m2: float, *, alone: bool) -> PacketField:
    """One field. Where it is the only one, the drill's meter says its acres."""
    sown = tuple(one for one in account.sown if one.field_id == field_id)
    seed = tuple(one for one in account.seed if one.field_id == field_id)
    read = [one.drilled_m2 for one in sown if one.drilled_m2 is not None]
    drilled = (
        sum(read)
        if sown and len(read) == len(sown)
        else account.drilled_m2
        if alone and account.returned
        else None
    )
    return PacketField(
        field_id=field_id,
        mapped_m2=mapped_m2,
        drilled_m2=drilled,
        sown=sown,
        seed=seed,
        missing=tuple(_missing(sown, seed, mapped_m2, drilled)),
    )


def _missing(
    sown: Sequence[Sown], seed: Sequence[SeedUsed], mapped_m2: float, drilled_m2: float | None
) -> Iterator[Fact | TableSentence]:
    there = {
        "mapped": mapped_m2 > 0,
        "drilled": drilled_m2 is not None,
        "sown": bool(sown),
        "seed": bool(seed),
    }
    for row in tables.rows("packet"):
        key = row["key"]
        line = TableSentence(row["line"])
        if row["level"] == "field" and key in there and not there[key]:
            yield line
        if key in _OF_SOWN and sown and not all(_OF_SOWN[key](one) for one in sown):
            yield line
        if key in _OF_SEED:
            lots = [one.lot for one in seed if not _OF_SEED[key](one)]
            if lots:
                yield fact("lots-lack", line=line, lots=tuple(dict.fromkeys(lots)))


def _cautions(account: Account) -> Iterator[Fact]:
    """What would make a payer ask: a test too old, seed sown on no day, days outside the renter's own
    window.
    """
    months, source = tables.machinery_figure("months a test holds for contracts", "months")
    for one in account.seed:
        days = [sown.day for sown in account.sown if sown.field_id == one.field_id]
        if one.tested and days and _months(one.tested, min(days)) > months:
            yield fact(
                "test-old/packet",
                lot=one.lot,
                tested_typed_day=one.tested,
                n_months=months,
                sources=(source,),
            )
        if one.tested and days and one.tested > min(days):
            yield fact("test-late", lot=one.lot, tested_typed_day=one.tested)
        if not days:
            yield fact("seed-not-sown", lot=one.lot, field=one.field_id)
    for sown in account.sown:
        if not account.request.ready <= sown.day <= account.request.until:
            yield fact(
                "sown-outside/packet",
                field=sown.field_id,
                sown_typed_day=sown.day,
                ready_typed_day=account.request.ready,
                until_typed_day=account.request.until,
            )


def _months(earlier: date, later: date) -> float:
    """Months from one day to another: whole ones by the calendar, the rest by the day."""
    return (later.year - earlier.year) * 12 + later.month - earlier.month + (later.day - earlier.day) / 31
