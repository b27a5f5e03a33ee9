"""The progress of a job as JSON."""

from __future__ import annotations

from fieldplan.model.progress import Now, Outlook, Since
from fieldplan.report.data.seed import change_object
from fieldplan.report.data.stock import sequence_object
from fieldplan.report.data.weather import odds_object


def progress_object(found: Outlook) -> dict[str, object]:
    """The outlook as nested dicts in SI: what is done, the pace, the seed and the days left."""
    return {
        "schema": "fieldplan/progress/1",
        "drilled_m2": found.drilled_m2,
        "rest_m2": found.rest_m2,
        "rest_s": found.rest_s,
        "planned_s": found.planned_s,
        "worked_s": found.worked_s,
        "fields": [
            {"field_id": field.field_id, "done_frac": field.share, "said": field.reported}
            for field in found.fields
        ],
        "planned_pace_m2_per_s": found.planned_pace_m2_per_s,
        "real_pace_m2_per_s": found.real_pace_m2_per_s,
        "lots": [
            {
                "species": lot.species,
                "lot": lot.lot,
                "planned_kg_per_m2": lot.planned_kg_per_m2,
                "real_kg_per_m2": lot.real_kg_per_m2,
                "begun": lot.begun,
                "expected_kg": lot.expected_kg,
                "gone_kg": lot.gone_kg,
                "left_kg": lot.left_kg,
                "asked_kg": lot.asked_kg,
                "short_kg": lot.short_kg,
            }
            for lot in found.lots
        ],
        "sequences": [sequence_object(one) for one in found.sequences],
        "now": _now_object(found.now),
        "suggested_days": found.booking.suggested_days,
        "days_left": found.days_left,
        "prob_in_days_left": found.prob_in_days_left,
        "finishes": [{"asked_prob": asked, **odds_object(odds)} for asked, odds in found.finishes],
        "forecast": [
            {"until": spell.until.isoformat(), "fit": spell.fit} for spell in found.terms.forecast
        ],
        "since": None if found.since is None else _since(found.since),
    }


def _since(since: Since) -> dict[str, object]:
    return {
        "start": since.start.isoformat(),
        "days": since.n_days,
        "working_days": since.n_working_days,
        "usual_fit_days": since.usual_days,
        "range_fit_days": None if since.range_days is None else list(since.range_days),
    }


def _now_object(now: Now | None) -> dict[str, object] | None:
    if now is None:
        return None
    return {
        "field_id": now.field_id,
        "mix": now.mix,
        "begun": now.begun,
        "box_changes": [change_object(change) for change in now.changes],
        "boxes": [
            {
                "box": box.box,
                "wanted_kg_per_m2": box.wanted_kg_per_m2,
                "real_kg_per_m2": box.real_kg_per_m2,
                "off_frac": box.off_frac,
                "mixes": list(box.mixes),
            }
            for box in now.boxes
        ],
        "following": None
        if now.following is None
        else {
            "field_id": now.following.field_id,
            "mix": now.following.mix,
            "box_changes": [change_object(change) for change in now.following.changes],
        },
    }
