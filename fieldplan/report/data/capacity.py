"""A season's capacity as JSON."""

from __future__ import annotations

from fieldplan.model.capacity import Capacity, Option
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence


def capacity_object(found: Capacity) -> dict[str, object]:
    """The capacity as nested dicts in SI: what was asked, what each drill can do, now and with each option."""

    def option_object(option: Option) -> dict[str, object]:
        return {
            "name": sentence(option.changed, Quantities("us")),
            "booked": len(option.season.placements),
            "waiting_days": option.season.proof.waiting_days,
            "ground_m2": sum(placed.duration.ground_m2 for placed in option.season.placements),
            "mean_done": option.chances.mean_done,
            "booked_prob": option.chances.booked_prob,
            "all_prob": option.chances.all_prob,
        }

    return {
        "schema": "fieldplan/capacity/1",
        "weathers": found.now.chances.n_drawn,
        "years": list(found.now.chances.years),
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
        "now": option_object(found.now),
        "options": [option_object(option) for option in found.options],
        "each_prob": found.now.chances.each_prob,
    }
