"""The route on the clock as CSV: every leg with its start, length and place."""

from __future__ import annotations

import csv
import io

from fieldplan.model.plan import Plan
from fieldplan.plane.frame import frame_near
from fieldplan.report.output import Output, PlanAsked, of_text
from fieldplan.report.words.plain import safe

HEADER = (
    *("field", "leg", "kind", "sowing", "block", "start_s", "duration_s", "length_m", "lon", "lat"),
    *("shape", "reverse_m"),
)


def timeline_csv(plan: Plan) -> str:
    """One row for each leg, in driving order.

    Parameters
    ----------
    plan
        The plan of the job.

    Returns
    -------
    str
        CSV with the columns of `HEADER`; times in seconds from the start of the field, the place in degrees
        where the leg starts.
    """
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(HEADER)
    for field in plan.fields:
        frame = frame_near(field.field.ground)
        for number, timed in enumerate(field.time.legs, start=1):
            leg = timed.leg
            lon, lat = frame.point_to_lonlat(*leg.line.coords[0])
            rows.writerow(
                (
                    safe(field.field.field_id),
                    number,
                    leg.kind,
                    leg.sowing,
                    leg.block,
                    f"{timed.start_s:.1f}",
                    f"{timed.duration_s:.1f}",
                    f"{leg.length_m:.2f}",
                    f"{lon:.8f}",
                    f"{lat:.8f}",
                    leg.shape,
                    f"{leg.reverse_m:.2f}",
                )
            )
    return out.getvalue()


OUTPUT: Output[PlanAsked] = Output(
    name="timeline",
    words="CSV of every leg",
    make=lambda asked: {"timeline.csv": of_text(lambda: timeline_csv(asked.plan))},
)
