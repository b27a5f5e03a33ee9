"""What stands at a stop and at excluded ground, in every map format."""

from __future__ import annotations

from collections.abc import Mapping

from fieldplan.model.field import ExcludedGround
from fieldplan.report.words.quantities import Quantities


def load_text(load_kg: Mapping[str, float], q: Quantities) -> str:
    """What is poured in at a stop: "grain 460 lb, small 98.3 lb"."""
    return ", ".join(f"{box} {q.mass(kg)} {q.mass_unit}" for box, kg in load_kg.items())


def excluded_text(piece: ExcludedGround, q: Quantities) -> str:
    """Why ground is excluded, and the set-back: "pond, 30 ft set-back"."""
    return piece.reason + (f", {q.length(piece.set_back_m)} set-back" if piece.set_back_m > 0 else "")
