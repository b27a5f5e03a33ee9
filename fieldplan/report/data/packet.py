"""A cost-share packet as JSON."""

from __future__ import annotations

from fieldplan.model.records import Packet
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence


def packet_object(packet: Packet) -> dict[str, object]:
    """The packet as nested dicts in SI; what is missing and the cautions are sentences in US units."""
    us = Quantities("us")
    return {
        "schema": "fieldplan/cost-share/1",
        "request": packet.account.request.request_id,
        "renter": packet.account.request.renter,
        "complete": packet.complete,
        "facts": dict(packet.facts),
        "missing": [sentence(item, us) for item in packet.missing],
        "cautions": [sentence(caution, us) for caution in packet.cautions],
        "fields": [
            {
                "field_id": field.field_id,
                "mapped_m2": field.mapped_m2,
                "drilled_m2": field.drilled_m2,
                "missing": [sentence(item, us) for item in field.missing],
                "sown": [
                    {
                        "day": sown.day.isoformat(),
                        "practice": sown.practice,
                        "depth_m": sown.depth_m,
                        "settings": sown.settings,
                        "weather": sown.weather,
                    }
                    for sown in field.sown
                ],
                "seed": [
                    {
                        "species": seed.species,
                        "lot": seed.lot,
                        "box": seed.box,
                        "bulk_kg": seed.bulk_kg,
                        "pls_kg": seed.pls_kg,
                        "tested": seed.tested.isoformat() if seed.tested else None,
                        "origin": seed.origin,
                        "tag": seed.tag,
                        "receipt": seed.receipt,
                        "treated": seed.treated,
                    }
                    for seed in field.seed
                ],
            }
            for field in packet.fields
        ],
        "sources": list(packet.sources),
    }
