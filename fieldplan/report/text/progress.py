"""The progress page: pace, seed and days left of a job."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta

from fieldplan.model.budget import BoxChange
from fieldplan.model.notes import Note
from fieldplan.model.progress import BoxNow, FieldDone, LotPace, Now, Outlook
from fieldplan.report.documents.stock import sequence_text
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.hours import hours
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.numbers import counted, odds_text, percent
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import changed, lot_name
from fieldplan.report.words.years import counted_text, years_text

OFF_FRAC = 0.05
"""From here on a rate is worth setting again (common practice, no source)."""
_GONE_FRAC = 0.01
"""Share of a lot that may be gone (spilled, or caught to calibrate) without having been sown."""


def progress_page(found: Outlook, q: Quantities, notes: Iterable[Note] = ()) -> str:
    """The page as text: warnings from ``notes``, then pace, seed and days left."""
    done = found.drilled_m2 - found.rest_m2
    warnings = [line for warning in warning_lines(notes, q) for line in paragraph(warning)]
    lines = ["How the job goes", *(["", *warnings] if warnings else []), "", "PACE"]
    faster = found.planned_s / found.worked_s - 1
    lines += paragraph(
        f"{q.area(done, 1)} of {q.area(found.drilled_m2, 1)} {q.area_unit} drilled in {hours(found.worked_s)}, at {q.capacity(found.real_pace_m2_per_s)}: "
        f"{percent(abs(faster))} {'faster' if faster > 0 else 'slower'} than planned for that ground ({hours(found.planned_s)}, {q.capacity(found.planned_pace_m2_per_s)})."
    )
    lines += paragraph(_fields(found.fields))
    lines += paragraph(
        f"Left: {q.area(found.rest_m2, 1)} {q.area_unit}, {hours(found.rest_s)} with remaining moves and clean-out."
    )
    lines += ["", "SEED", *_seed(found.lots, q)]
    lines += _sequences(found, q)
    lines += ["", "NOW", *_now(found.now, q)]
    lines += ["", "DAYS", *_since(found), *_days(found), *_finishes(found)]
    return "\n".join(lines) + "\n"


def _seed(lots: tuple[LotPace, ...], q: Quantities) -> list[str]:
    if not lots:
        return paragraph(f'Give the seed left with --left, such as --left "oats=400 {q.mass_unit}".')
    rows = [
        (
            _name(lot),
            _expected(lot, q),
            q.mass(lot.gone_kg),
            f"{lot.error_frac * 100:+.0f} %" if lot.begun else "–",
            q.mass_rate(lot.planned_kg_per_m2),
            q.mass_rate(lot.real_kg_per_m2) if lot.begun else "–",
            q.mass(lot.left_kg),
            q.mass(lot.asked_kg),
            f"short {q.mass(lot.short_kg)}" if lot.short_kg > 0 else f"over {q.mass(-lot.short_kg)}",
        )
        for lot in lots
    ]
    header = (
        f"seed, {q.mass_unit}",
        "planned so far",
        "used",
        "off",
        "planned",
        "real",
        "left",
        "still needed",
        "",
    )
    text = "Planned so far = what the plan sows on the ground done; used = ordered less left."
    lines = [*table(header, rows), *paragraph(text)]
    early = [
        _name(lot)
        for lot in lots
        if not lot.begun and lot.gone_kg - lot.expected_kg > _GONE_FRAC * (lot.gone_kg + lot.left_kg)
    ]
    if early:
        lines += paragraph(
            f"Used, but not yet due in the order of the plan: {', '.join(early)}. If you sowed other fields first, give --done FIELD."
        )
    if any(abs(lot.error_frac) > OFF_FRAC for lot in lots):
        lines += paragraph("Off by more than 5 %: calibrate before you go on (fieldplan calibrate).")
    return lines


def _sequences(found: Outlook, q: Quantities) -> list[str]:
    """What the rest is sown with where a lot falls short or was tested again."""
    if not found.sequences:
        return []
    lines = ["", "LOTS IN SEQUENCE, FOR THE REST"]
    for one in found.sequences:
        lines += paragraph(sequence_text(one, q), bullet="- ")
        for turn in one.turns:
            if not turn.on_shelf:
                lines += paragraph(
                    f"Buy {q.mass(turn.bulk_kg)} {q.mass_unit} of {lot_name(one.species, one.lot)}: {counted(turn.bags, 'bag')}.",
                    bullet="- ",
                )
    return lines + paragraph(
        "Each at one rate of live seed: set and calibrate the drill anew for each lot."
    )


def _now(now: Now | None, q: Quantities) -> list[str]:
    """What to change now, on the field under way or before the next, and before the one after."""
    if now is None:
        return paragraph("All is sown: empty and clean every box.")
    place = f"{now.field_id}, {now.mix}" if now.mix else now.field_id
    lines = paragraph(f"{'Under way' if now.begun else 'Next'}: {place}.")
    lines += _changed(now.changes, q)
    for box in now.boxes:
        lines += paragraph(_box(box, q), bullet="* ")
    if now.following is not None:
        following = now.following
        lines += paragraph(f"Then: {following.field_id}{f', {following.mix}' if following.mix else ''}.")
        lines += _changed(following.changes, q)
    return lines


def _changed(changes: Iterable[BoxChange], q: Quantities) -> list[str]:
    return [line for change in changes for line in paragraph(changed(change, q), bullet="* ")]


def _box(box: BoxNow, q: Quantities) -> str:
    """What a box should deliver, and by how much its setting is off."""
    wanted = f"{box.box} box: {q.mass_rate(box.wanted_kg_per_m2)} of seed and carrier"
    if box.off_frac is None or box.real_kg_per_m2 is None:
        return f"{wanted}."
    if box.real_kg_per_m2 <= 0:
        return f"{wanted}; nothing of it is gone: check that its drive is on and its tubes are clear, or the weight that is left."
    over = f" (over {', '.join(box.mixes)} together)" if len(box.mixes) > 1 else ""
    if abs(box.off_frac) <= OFF_FRAC:
        return f"{wanted}; it sows {q.mass_rate(box.real_kg_per_m2)}{over}: leave it."
    way = "heavy: set it back" if box.off_frac > 0 else "light: open it"
    return (
        f"{wanted}; it sows {q.mass_rate(box.real_kg_per_m2)}{over}, {percent(abs(box.off_frac))} too {way} until a catch gives "
        f"{percent(1 / (1 + box.off_frac))} of what it gives now."
    )


def _expected(lot: LotPace, q: Quantities) -> str:
    if lot.begun:
        return q.mass(lot.expected_kg)
    return "too early to tell" if lot.expected_kg > 0 else "not begun"


def _name(lot: LotPace) -> str:
    return f"{lot.species} ({lot.lot})" if lot.lot else lot.species


def _fields(fields: tuple[FieldDone, ...]) -> str:
    """Which fields are done, as reported or in the order of the plan."""
    reported = ", ".join(field.field_id for field in fields if field.reported)
    full = ", ".join(field.field_id for field in fields if not field.reported and field.share >= 1)
    part = ", ".join(
        f"{_part(field.share)} of {field.field_id}"
        for field in fields
        if not field.reported and 0 < field.share < 1
    )
    assumed = " and ".join(filter(None, (full, part)))
    if not reported:
        return f"Assumed done, in the order of the plan: {assumed}. If you sowed another field first, give --done FIELD."
    after = f" Assumed done after that, in the order of the plan: {assumed}." if assumed else ""
    return f"Reported done: {reported}.{after}"


def _part(share: float) -> str:
    """A share of a field in percent, never printed as 0 or 100 %."""
    return "under 1 %" if share < 0.005 else "over 99 %" if share >= 0.995 else percent(share)


def _since(found: Outlook) -> list[str]:
    """The days since the start, and how many fieldwork days are usual in them."""
    since = found.since
    if since is None:
        return []
    worked = found.worked_s / found.terms.day_s
    text = (
        f"Since {since.start:%a %d %b} {counted(since.n_days, 'day')} went by, {since.n_working_days} of them working days; "
        f"{hours(found.worked_s)} in the fields are {worked:.1f} days of {hours(found.terms.day_s)}."
    )
    if since.usual_days is not None:
        among = (
            "" if since.range_days is None else f" ({since.range_days[0]} to {since.range_days[1]} by year)"
        )
        text += f" Usual are {since.usual_days:.1f} fieldwork days{among}."
    return paragraph(text)


def _finishes(found: Outlook) -> list[str]:
    """When the rest is done, by odds, and the forecast that this rests on."""
    if not found.finishes:
        return []
    lines = []
    if found.terms.forecast:
        told = ", ".join(
            f"{'dry' if spell.fit else 'wet'} through {spell.until:%a %d %b}"
            for spell in found.terms.forecast
        )
        lines += paragraph(f"With the forecast: {told}; after that as usual.")
    rows = []
    for _, odds in found.finishes:
        end = (
            ""
            if found.terms.start is None
            else f"{found.terms.start + timedelta(days=odds.days - 1):%a %d %b}"
        )
        years = years_text(odds, found.booking.counted)
        rows.append((f"{counted_text(odds)} odds", end, counted(odds.days, "day"), years))
    return lines + table(("done with", "by", "in", ""), rows, left=4)


def _days(found: Outlook) -> list[str]:
    booking, days = found.booking, found.booking.suggested_days
    if not booking.odds:
        return paragraph("Nothing is left to do.")
    if days is None:
        asked = odds_text(booking.confidence_prob)
        return paragraph(
            f"The rest takes {counted(booking.fieldwork_days_needed, 'fieldwork day')}. No booking of up to {booking.odds[-1].days} days reaches the wanted {asked} odds: "
            f"that many days have {odds_text(booking.prob, booking.confidence_prob)}."
        )
    until = "" if booking.finish is None else f", to {booking.finish:%a %d %b %Y}"
    fieldwork = counted(booking.fieldwork_days_needed, "fieldwork day")
    lines = paragraph(
        f"The rest takes {fieldwork}: {counted(days, 'day is', 'days are')} enough with {percent(booking.confidence_prob)} odds{until}."
    )
    if found.days_left is None or found.prob_in_days_left is None:
        return lines
    odds = odds_text(found.prob_in_days_left)
    more = days - found.days_left
    advice = f"ask for {counted(more, 'more day')}" if more > 0 else "the booking is long enough"
    return lines + paragraph(
        f"In the {counted(found.days_left, 'day')} left the odds are {odds}: {advice}."
    )
