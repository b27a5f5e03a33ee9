"""How a job goes, for programs."""

from __future__ import annotations

from fieldplan.model.progress import Outlook


def progress_object(found: Outlook) -> dict[str, object]:
    """The outlook as nested dicts: SI."""
    return {
        "schema": "fieldplan/progress/1",
        "drilled_m2": found.drilled_m2,
        "rest_m2": found.rest_m2,
        "rest_s": found.rest_s,
        "planned_s": found.planned_s,
        "worked_s": found.worked_s,
        "fields": [
            {"field_id": one.field_id, "done_frac": one.share, "said": one.reported} for one in found.fields
        ],
        "planned_pace_m2_per_s": found.planned_pace_m2_per_s,
        "real_pace_m2_per_s": found.real_pace_m2_per_s,
        "lots": [
            {
                "species": one.species,
                "lot": one.lot,
                "planned_kg_per_m2": one.planned_kg_per_m2,
                "real_kg_per_m2": one.real_kg_per_m2,
                "begun": one.begun,
                "expected_kg": one.expected_kg,
                "gone_kg": one.gone_kg,
                "left_kg": one.left_kg,
                "asked_kg": one.asked_kg,
                "short_kg": one.short_kg,
            }
            for one in found.lots
        ],
        "suggested_days": found.booking.suggested_days,
        "days_left": found.days_left,
        "prob_in_days_left": found.prob_in_days_left,
    }
