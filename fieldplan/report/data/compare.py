"""Several plans side by side, as JSON."""

from __future__ import annotations

from fieldplan.model.plan import Plan
from fieldplan.report.words.notes import notes_as_data


def compare_object(named: list[tuple[str, Plan]]) -> dict[str, object]:
    """The figures of each plan that a comparison shows, as nested dicts in SI.

    Parameters
    ----------
    named
        Plans, each with the name of its job file or variant.
    """
    return {
        "schema": "fieldplan/compare/1",
        "plans": [
            {
                "plan": name,
                "drill_width_m": plan.job.drill.effective_width_m,
                "field_speed_m_per_s": plan.job.working.field_speed_m_per_s,
                "passes": plan.totals.passes,
                "drilled_m2": plan.totals.drilled_m2,
                "field_s": plan.job_time.field_s,
                "job_s": plan.job_time.job_s,
                "start": None if plan.job.booking.start is None else plan.job.booking.start.isoformat(),
                "suggested_days": plan.booking.suggested_days,
                "prob": plan.booking.prob,
                "range_prob": _range(plan),
                "n_years": 0 if plan.booking.counted is None else len(plan.booking.counted.used),
                "cost": list(plan.cost.total),
                "currency": plan.cost.currency,
                "warnings": notes_as_data(note for note in plan.notes if note.warning),
            }
            for name, plan in named
        ],
    }


def _range(plan: Plan) -> list[float] | None:
    """The range of the odds, where they are counted over years."""
    found = plan.booking.of_suggested
    return None if found is None or found.range_prob is None else list(found.range_prob)
