"""A cost-share packet: what was sown where, with which seed, and what is not on record."""

from __future__ import annotations

from collections.abc import Iterator

from fieldplan.model.records import Packet, PacketField, SeedUsed
from fieldplan.report.documents.document import Document, Part
from fieldplan.report.words.numbers import percent
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence
from fieldplan.report.words.sources import sources_of

NONE = "–"


def packet_document(packet: Packet, season: str, q: Quantities) -> Document:
    """The packet: whether it is complete, what is missing, each field, and sums.

    Parameters
    ----------
    season
        Name of the season.
    """
    request = packet.account.request
    verdict = (
        "Complete: nothing that is asked for is missing."
        if packet.complete
        else "Not complete: see what is missing below."
    )
    facts = "; ".join(f"{name} {value or NONE}" for name, value in packet.facts.items())
    equipment = "; ".join(
        f"{rental.drill}, {rental.out.day:%a %d %b %Y} to {f'{rental.back.day:%a %d %b %Y}' if rental.back else 'not back yet'}"
        for rental in packet.account.rentals
    )
    missing = [
        *(sentence(what, q) for what in packet.missing),
        *(
            f"field {field.field_id}: {sentence(what, q)}"
            for field in packet.fields
            for what in field.missing
        ),
    ]
    return Document(
        title=f"Cost-share packet {request.request_id}: {request.renter}",
        about=(verdict, f"{season}. {facts[:1].upper()}{facts[1:]}.", f"Drill: {equipment or NONE}."),
        parts=(
            *(
                (Part(name="Missing", lines=tuple(f"{text}." for text in missing), listed=True),)
                if missing
                else ()
            ),
            *(
                (
                    Part(
                        name="What a payer may question",
                        lines=tuple(f"{sentence(caution, q)}." for caution in packet.cautions),
                        listed=True,
                    ),
                )
                if packet.cautions
                else ()
            ),
            *(part for field in packet.fields for part in _field(field, q)),
            Part(
                name="Sums",
                header=(
                    "",
                    "fields",
                    f"{q.area_word} on the map",
                    f"{q.area_word} drilled",
                    f"seed, {q.mass_unit}",
                    f"PLS, {q.mass_unit}",
                ),
                rows=(_sums(packet, q),),
                lines=tuple(_tied(packet, q)),
            ),
            Part(
                name="What is asked for",
                lines=(
                    f"Farm, tract and field, {q.area_word}, days, depth, settings, seed by lot with its tag and box (source: {', '.join(packet.sources)}).",
                ),
            ),
        ),
        last="* Per ground on the map. The program's own papers decide what it asks for.",
        blanks=("renter", "date", "district", "date", "map and pictures added", "tags and receipts added"),
        sources=(*packet.sources, *sources_of(packet.cautions)),
    )


def _sums(packet: Packet, q: Quantities) -> tuple[str, ...]:
    seed = [used for field in packet.fields for used in field.seed]
    drilled = sum(field.drilled_m2 or 0.0 for field in packet.fields)
    return (
        "all",
        str(len(packet.fields)),
        q.area(sum(field.mapped_m2 for field in packet.fields)),
        q.area(drilled),
        q.mass(sum(used.bulk_kg for used in seed), 1),
        q.mass(sum(used.pls_kg or 0.0 for used in seed), 2),
    )


def _tied(packet: Packet, q: Quantities) -> Iterator[str]:
    """How acres by field add up to what the meter counted, which is what a card billing by meter bills."""
    if packet.account.returned:
        read = sum(field.drilled_m2 or 0.0 for field in packet.fields)
        metered = packet.account.drilled_m2
        yield (
            f"The meter counted {q.area(metered)} {q.area_word} while the drill was out; "
            f"that is {q.area(abs(metered - read))} {'more' if metered >= read else 'less'} than the fields add up to."
        )


def _field(field: PacketField, q: Quantities) -> Iterator[Part]:
    drilled = NONE if field.drilled_m2 is None else q.area(field.drilled_m2)
    lines = [f"{q.area(field.mapped_m2)} {q.area_word} on the map, {drilled} drilled."]
    for sown in field.sown:
        parts = [
            f"Sown {sown.day:%a %d %b %Y}"
            + ("" if sown.drilled_m2 is None else f", {q.area(sown.drilled_m2)} {q.area_word}"),
            sown.practice,
            f"{q.spacing(sown.depth_m)} deep" if sown.depth_m else "",
            sown.settings,
            sown.weather,
        ]
        lines.append("; ".join(part for part in parts if part) + ".")
    yield Part(name=f"Field {field.field_id}", lines=tuple(lines))
    if field.seed:
        header = (
            "seed",
            "lot",
            "box",
            q.mass_unit,
            "purity",
            "germ.",
            "dormant",
            f"PLS {q.mass_unit}",
            f"PLS {q.mass_unit}/{q.area_unit} *",
            "tested",
            "origin",
        )
        yield Part(header=header, rows=tuple(_lot(seed, field.mapped_m2, q) for seed in field.seed), left=3)


def _lot(seed: SeedUsed, mapped_m2: float, q: Quantities) -> tuple[str, ...]:
    """A lot with its tag, and its pure live seed per ground on the map."""
    rate = NONE
    if seed.pls_kg is not None and mapped_m2 > 0:
        rate = q.count(seed.pls_kg / q.mass_unit_kg / (mapped_m2 / q.area_unit_m2), 2)
    return (
        seed.species + (", TREATED" if seed.treated else ""),
        seed.lot,
        seed.box or NONE,
        q.mass(seed.bulk_kg, 1),
        NONE if seed.purity_frac is None else percent(seed.purity_frac, 1),
        NONE if seed.germination_frac is None else percent(seed.germination_frac),
        NONE if seed.dormant_frac is None else percent(seed.dormant_frac),
        NONE if seed.pls_kg is None else q.mass(seed.pls_kg, 2),
        rate,
        f"{seed.tested:%d %b %Y}" if seed.tested else NONE,
        seed.origin or NONE,
    )
