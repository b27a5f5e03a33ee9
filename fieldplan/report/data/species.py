"""What is published of species as JSON."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict

from fieldplan.model.species import Printed, SpeciesFacts
from fieldplan.report.data.json_text import json_text


def species_json(found: Iterable[SpeciesFacts]) -> str:
    """Species, each figure with its source, as the text of a JSON object in SI."""
    return json_text({"schema": "fieldplan/species/1", "species": species_object(found)})


def species_object(found: Iterable[SpeciesFacts]) -> list[dict[str, object]]:
    """Species as dicts in SI: names, the count used with its range, all that is printed, and what to ask for."""
    return [
        {
            "named": facts.named,
            "kind": facts.kind,
            "taken": facts.taken,
            "scientific_name": facts.scientific_name,
            "symbol": facts.symbol,
            "other_names": list(facts.other_names),
            "seeds_per_kg": None if facts.count is None or facts.count.unfit else facts.count.per_kg,
            "seeds_per_kg_range": None
            if facts.count is None
            else [facts.count.low_per_kg, facts.count.high_per_kg],
            "forms": []
            if facts.count is None
            else [
                {"form": form, "low_seeds_per_kg": low, "high_seeds_per_kg": high}
                for form, low, high in facts.count.forms
            ],
            "independent_sources": 0 if facts.count is None else facts.count.witnesses,
            "printed": [_printed(one) for one in facts.printed],
            "windows": [
                {
                    **asdict(window),
                    "first": f"{window.first:%m-%d}",
                    "last": f"{window.last:%m-%d}",
                }
                for window in facts.windows
            ],
            "asked_for": list(facts.asked),
        }
        for facts in found
    ]


def _printed(one: Printed) -> dict[str, object]:
    figure: dict[str, object] = (
        {"word": one.word}
        if not one.ending
        else {
            f"low{one.ending}".replace("_small", ""): one.low,
            f"high{one.ending}".replace("_small", ""): one.high,
        }
    )
    texts = {
        name: value
        for name in ("form", "variety", "place", "note", "unfit")
        if (value := getattr(one, name))
    }
    return {"quantity": one.quantity, **figure, "source": one.source, **texts}
