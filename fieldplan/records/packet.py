"""Proof for a cost-share payment from the ledger: complete, or what is missing. What is asked for is listed in
``tables/packet.csv``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date

from fieldplan.facts import Fact, TableSentence, fact
from fieldplan.model.records import Account, Ground, Packet, PacketField, SeedUsed, Sown
from fieldplan.tables import read as tables

_OF_SEED: Mapping[str, Callable[[SeedUsed], object]] = {
    "box": lambda seed: seed.box,
    "tag": lambda seed: seed.pls_kg is not None,
    "kept": lambda seed: seed.tag,
    "tested": lambda seed: seed.tested,
    "origin": lambda seed: seed.origin,
    "receipt": lambda seed: seed.receipt,
}
_OF_SOWN: Mapping[str, Callable[[Sown], object]] = {
    "depth": lambda sown: sown.depth_m,
    "settings": lambda sown: sown.settings,
}


def packet_of(account: Account, ground: Sequence[Ground]) -> Packet:
    """The cost-share packet of a request: each field on the map or sown, its seed, and what is not on record.

    Parameters
    ----------
    ground
        Fields of the request on the map.
    """
    rows = tables.rows("packet")
    facts = {name: account.request.facts.get(name, "") for name in ("farm", "tract")}
    asked = account.request.facts.get("practice", "")
    facts["practice"] = (
        ", ".join(dict.fromkeys(sown.practice for sown in account.sown if sown.practice)) or asked
    )
    missing: list[Fact | TableSentence] = [
        TableSentence(row["line"]) for row in rows if row["level"] == "request" and not facts[row["key"]]
    ]
    if not account.returned:
        missing.append(fact("return-missing"))
    mapped = _mapped(account, ground)
    ids = list(dict.fromkeys([*mapped, *(sown.field_id for sown in account.sown)]))
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
    """Ground on the map in m² by field.

    A request for acres alone has one field on the map; it stands for the one field sown, whatever its name.
    """
    names = list(dict.fromkeys(sown.field_id for sown in account.sown))
    if account.request.fields is None and names:
        return {names[0]: ground[0].mapped_m2} if len(names) == 1 else {}
    return {field.field_id: field.mapped_m2 for field in ground}


def _field(account: Account, field_id: str, mapped_m2: float, *, alone: bool) -> PacketField:
    """One field. If it is the only one, its acres are those of the drill's meter."""
    sown = tuple(part for part in account.sown if part.field_id == field_id)
    seed = tuple(used for used in account.seed if used.field_id == field_id)
    metered = [part.drilled_m2 for part in sown if part.drilled_m2 is not None]
    drilled_m2 = (
        sum(metered)
        if sown and len(metered) == len(sown)
        else account.drilled_m2
        if alone and account.returned
        else None
    )
    return PacketField(
        field_id=field_id,
        mapped_m2=mapped_m2,
        drilled_m2=drilled_m2,
        sown=sown,
        seed=seed,
        missing=tuple(_missing(sown, seed, mapped_m2, drilled_m2)),
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
        if key in _OF_SOWN and sown and not all(_OF_SOWN[key](part) for part in sown):
            yield line
        if key in _OF_SEED:
            lots = [used.lot for used in seed if not _OF_SEED[key](used)]
            if lots:
                yield fact("lots-lack", line=line, lots=tuple(dict.fromkeys(lots)))


def _cautions(account: Account) -> Iterator[Fact]:
    """What a payer may question: an old seed test, seed without a day, days outside the request's dates."""
    months, source = tables.machinery_figure("months a test holds for contracts", "months")
    treated = {(seed.species, seed.lot, seed.box): seed for seed in account.seed if seed.treated}
    for species, lot, box in treated:
        yield fact("seed-treated/packet", species=species, lot=lot, box=box, sources=("fsa-treated",))
    for seed in account.seed:
        days = [sown.day for sown in account.sown if sown.field_id == seed.field_id]
        if seed.tested and days and _months(seed.tested, min(days)) > months:
            yield fact(
                "test-old/packet",
                lot=seed.lot,
                tested_day=seed.tested,
                n_months=months,
                sources=(source,),
            )
        if seed.tested and days and seed.tested > min(days):
            yield fact("test-late", lot=seed.lot, tested_day=seed.tested)
        if not days:
            yield fact("seed-not-sown", lot=seed.lot, field=seed.field_id)
    asked = account.request.facts.get("practice", "")
    for sown in account.sown:
        if asked and sown.practice and sown.practice.casefold() != asked.casefold():
            yield fact("practice-differs", field=sown.field_id, sown=sown.practice, asked=asked)
    for sown in account.sown:
        if not account.request.ready <= sown.day <= account.request.until:
            yield fact(
                "sown-outside/packet",
                field=sown.field_id,
                sown_day=sown.day,
                ready_day=account.request.ready,
                until_day=account.request.until,
            )


def _months(earlier: date, later: date) -> float:
    """Months from one day to another: whole ones by the calendar, plus days / 31."""
    return (later.year - earlier.year) * 12 + later.month - earlier.month + (later.day - earlier.day) / 31
