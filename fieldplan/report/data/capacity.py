"""A season's capacity as JSON."""

from __future__ import annotations

from fieldplan.model.capacity import Capacity, Option, RegionDemand, Served
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

    found_object: dict[str, object] = {
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
    if found.region is not None:
        found_object["region"] = _region(found.region)
    return found_object


def _region(demand: RegionDemand) -> dict[str, object]:
    """What a program over a region would ask."""
    found = demand.found
    return {
        "fields": found.name,
        "n_rows": found.n_rows,
        "n_sample": found.n_drawn,
        "n_refused": found.n_refused,
        "refused_m2": found.refused_m2,
        "work_standard_error_frac": found.error_frac,
        "share_frac": demand.share_frac,
        "kinds": [
            {
                "jobs": list(kind.jobs),
                "drill_width_m": kind.width_m,
                "boxes": list(kind.boxes),
                "parcels": kind.n_parcels,
                "ground_m2": kind.ground_m2,
                "work_s": kind.work_s,
                "fit_days": kind.fieldwork_days,
                "drills": list(kind.drills),
                "free": _served(kind.free),
                "beside_bookings": _served(kind.beside),
            }
            for kind in demand.kinds
        ],
        "drills_of_several_kinds": list(demand.shared_drills),
    }


def _served(served: Served) -> dict[str, object]:
    return {
        "drill_days": served.drill_days,
        "fit_days": served.fieldwork_days,
        "done_prob": served.done_prob,
        "ground_m2": served.ground_m2,
        "drills_needed": served.needed,
    }
