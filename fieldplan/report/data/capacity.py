"""A season's capacity for programs."""

from __future__ import annotations

from fieldplan.model.capacity import Capacity, Option
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence


def capacity_object(found: Capacity) -> dict[str, object]:
    """The same as nested dicts: SI."""

    def option(one: Option) -> dict[str, object]:
        return {
            "name": sentence(one.changed, Quantities("us")),
            "booked": len(one.season.placements),
            "waiting_days": one.season.proof.waiting_days,
            "ground_m2": sum(placed.duration.ground_m2 for placed in one.season.placements),
            "mean_done": one.chances.mean_done,
            "booked_prob": one.chances.booked_prob,
            "all_prob": one.chances.all_prob,
        }

    return {
        "schema": "fieldplan/capacity/1",
        "weathers": found.now.chances.n_drawn,
        "asked": {
            "days": found.asked.days,
            "fit_days": found.asked.fieldwork_days,
            "ground_m2": found.asked.ground_m2,
            "unable": list(found.asked.unable),
        },
        "drills": [
            {
                "name": drill.name,
                "working_days": drill.working_days,
                "fit_days": drill.fieldwork_days,
                "booked_days": drill.booked_days,
                "ground_m2": drill.ground_m2,
            }
            for drill in found.drills
        ],
        "now": option(found.now),
        "options": [option(one) for one in found.options],
        "each_prob": found.now.chances.each_prob,
    }
