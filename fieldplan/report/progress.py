"""How a job goes, as a page and as JSON."""

from __future__ import annotations

from fieldplan.model.progress import LotPace, Outlook
from fieldplan.report.quantities import Quantities, hours, percent, shown_odds
from fieldplan.report.table import paragraph, table


def progress_page(found: Outlook, q: Quantities) -> str:
    """Pace, seed and days left, in sentences a driver can act on."""
    done = found.drilled_m2 - found.rest_m2
    lines = ["How the job goes", "", "PACE"]
    faster = found.real_pace_m2_per_s / found.planned_pace_m2_per_s - 1
    lines += paragraph(
        f"{q.area(done, 1)} of {q.area(found.drilled_m2, 1)} {q.area_unit} drilled, at {q.capacity(found.real_pace_m2_per_s)}: "
        f"{percent(abs(faster))} {'faster' if faster > 0 else 'slower'} than planned ({q.capacity(found.planned_pace_m2_per_s)})."
    )
    lines += paragraph(f"Left: {q.area(found.rest_m2, 1)} {q.area_unit}, {hours(found.rest_s)} with the clean-out.")
    lines += ["", "SEED", *_seed(found.lots, q)]
    lines += ["", "DAYS", *_days(found)]
    return "\n".join(lines) + "\n"


def _seed(lots: tuple[LotPace, ...], q: Quantities) -> list[str]:
    if not lots:
        return paragraph('Say what is left with --left, such as --left "oats=400 lb".')
    rows = [
        (f"{one.species} ({one.lot})" if one.lot else one.species, q.mass_rate(one.planned_kg_per_m2), q.mass_rate(one.real_kg_per_m2) if one.begun else "not begun",
         f"{one.error_frac * 100:+.0f} %" if one.begun else "–", q.mass(one.left_kg), q.mass(one.asked_kg),
         f"short {q.mass(one.short_kg)} {q.mass_unit}" if one.short_kg > 0 else "lasts")
        for one in lots
    ]  # fmt: skip
    header = ("seed", "planned", "real", "off", f"left, {q.mass_unit}", "the rest takes", "")
    lines = [*table(header, rows), *paragraph("Fields are taken to be sown in the order of the plan.")]
    if any(abs(one.error_frac) > 0.05 for one in lots):
        lines += paragraph("Off by more than a twentieth: calibrate before going on (fieldplan calibrate).")
    return lines


def _days(found: Outlook) -> list[str]:
    booking, days = found.booking, found.booking.suggested_days
    if not booking.odds:
        return paragraph("Nothing is left to do.")
    if days is None:
        asked = shown_odds(booking.confidence_prob)
        return paragraph(
            f"The rest takes {booking.fit_days_needed} fit day(s), and no number of days up to {booking.odds[-1].days} reaches the {asked} odds asked for: "
            f"so many have {shown_odds(booking.prob, booking.confidence_prob)}."
        )
    until = "" if booking.finish is None else f", to {booking.finish:%a %d %b %Y}"
    lines = paragraph(
        f"The rest takes {booking.fit_days_needed} fit day(s): {days} day(s) hold it with {percent(booking.confidence_prob)} odds{until}."
    )
    if found.days_left is None or found.prob_in_days_left is None:
        return lines
    odds = shown_odds(found.prob_in_days_left)
    more = days - found.days_left
    word = f"ask for {more} day(s) more" if more > 0 else "the booking holds"
    return lines + paragraph(f"In the {found.days_left} day(s) left the odds are {odds}: {word}.")


def progress_object(found: Outlook) -> dict[str, object]:
    """The outlook as nested dicts: SI."""
    return {
        "schema": "fieldplan/progress/1", "drilled_m2": found.drilled_m2, "rest_m2": found.rest_m2, "rest_s": found.rest_s,
        "planned_pace_m2_per_s": found.planned_pace_m2_per_s, "real_pace_m2_per_s": found.real_pace_m2_per_s,
        "lots": [
            {"species": one.species, "lot": one.lot, "planned_kg_per_m2": one.planned_kg_per_m2, "real_kg_per_m2": one.real_kg_per_m2,
             "left_kg": one.left_kg, "asked_kg": one.asked_kg}
            for one in found.lots
        ],
        "suggested_days": found.booking.suggested_days, "days_left": found.days_left, "prob_in_days_left": found.prob_in_days_left,
    }  # fmt: skip
