"""A calibration as JSON."""

from __future__ import annotations

from fieldplan.model.calibration import Calibration


def calibration_object(found: Calibration) -> dict[str, object]:
    """The calibration as nested dicts in SI; ``caught`` is null if nothing was caught."""
    caught = found.caught
    return {
        "schema": "fieldplan/calibration/1",
        "row_spacing_m": found.row_spacing_m,
        "rows": found.rows,
        "distance_m": found.distance_m,
        "turns": found.turns,
        "slip_frac": found.slip_frac,
        "targets": [
            {
                "box": target.box,
                "contents": target.contents,
                "rate_kg_per_m2": target.rate_kg_per_m2,
                "row_kg": target.row_kg,
                "drill_kg": target.drill_kg,
            }
            for target in found.targets
        ],
        "caught": None
        if caught is None
        else {
            "wanted_kg_per_m2": caught.wanted_kg_per_m2,
            "kg": caught.kg,
            "tubes": caught.tubes,
            "real_kg_per_m2": caught.real_kg_per_m2,
            "error_frac": caught.error_frac,
            "near_enough": caught.near_enough,
            "setting": caught.setting,
            "next_setting": caught.next_setting,
        },
    }
