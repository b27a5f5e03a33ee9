"""The calibration page: what to catch, and what a catch means."""

from __future__ import annotations

from fieldplan.model.calibration import Calibration, Catch, CatchTarget
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.numbers import percent, significant
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import hint_sentence, sentence

FAR_OFF_FRAC = 0.5
MIN_READ_KG = 0.002
"""A catch this small, read to a tenth of a gram, may be off by a twentieth."""


def calibration_page(found: Calibration, q: Quantities) -> str:
    """The page as text: a table of targets, the catch with the next setting, and how to do it."""
    ground = q.length(found.distance_m, 1)
    if found.turns is not None:
        ground = f"{found.turns:g} turns of the drive wheel, {ground} in the field"
        ground += f" at {percent(found.slip_frac, 1)} slip" if found.slip_frac else ""
    lines = [
        f"Calibration over {ground}; {found.rows} rows, {q.spacing(found.row_spacing_m)} apart",
        "",
        "CATCH",
    ]
    rows = [
        (
            target.box,
            target.contents,
            q.mass_rate(target.rate_kg_per_m2),
            f"{q.count(target.row_kg * 1000, 2)} g",
            f"{significant(target.drill_kg * 1000, 4)} g",
        )
        for target in found.targets
    ]
    lines += table(("box", "holds", "rate", "per row", f"all {found.rows} rows"), rows, left=2)
    if found.caught:
        lines += ["", "CAUGHT", *_caught(found.caught, found.rows, q)]
    lines += [
        line
        for target in found.targets
        if target.row_kg < MIN_READ_KG
        for line in _too_little(target, found, q)
    ]
    lines += ["", "HOW", *_how(found)]
    lines += ["", "SOURCES"]
    for source in found.sources:
        lines += paragraph(f"{source.key}: {source.title}", bullet="- ")
    return "\n".join(lines) + "\n"


def _caught(caught: Catch, rows: int, q: Quantities) -> list[str]:
    side = "more" if caught.error_frac > 0 else "less"
    error = percent(abs(caught.error_frac), 0 if abs(caught.error_frac) >= 0.1 else 1)
    lines = paragraph(
        f"{significant(caught.kg * 1000, 4)} g from {caught.tubes} of {rows} rows is {q.mass_rate(caught.real_kg_per_m2)}, "
        f"{error} {side} than the {q.mass_rate(caught.wanted_kg_per_m2)} wanted."
    )
    if caught.near_enough:
        return lines + paragraph(
            f"Close enough: within {percent(caught.near_enough_frac)}, a limit that this program chose, as no source gives one."
        )
    if abs(caught.error_frac) > FAR_OFF_FRAC:
        lines += paragraph(
            "That is far off. First check the box, the number of rows caught, the unit, and for plugged tubes."
        )
    if caught.next_setting is not None:
        text = f"Set about {caught.next_setting:.3g} instead of {caught.setting:g} and catch again: rates do not follow settings exactly."
        return lines + paragraph(text)
    if caught.no_setting is None:
        return lines + paragraph("Give --setting to get the next one.")
    return (
        lines
        + paragraph(f"No next setting: {sentence(caught.no_setting, q)}")
        + paragraph(f"Try: {hint_sentence(caught.no_setting, q)}.")
    )


def _too_little(target: CatchTarget, found: Calibration, q: Quantities) -> list[str]:
    """What to do where a row gives too little to weigh."""
    longer_m = found.distance_m * MIN_READ_KG / target.row_kg
    return paragraph(
        f"{target.box}: {target.row_kg * 1000:.2f} g per row is too little for a scale that reads tenths of a gram. Catch all rows "
        f"together, or over {q.length(longer_m)}."
    )


def _how(found: Calibration) -> list[str]:
    slip = ""
    if found.turns is not None and not found.slip_frac:
        slip = "A jacked-up wheel does not slip: count turns in the field over a measured distance and give --slip."
    steps = (
        "Turn the engine off and take the key out before you reach near meters or tubes; lower the drill, or lock and block it (source: osha-1928).",
        "Prime the meters until seed falls from every tube. Weigh the empty containers and subtract that.",
        "Catch the same rows three times and weigh to a tenth of a gram. A row that differs from the others is plugged or worn.",
        "Catch the seed as you will sow it, mixed with its carrier. Calibrate again for a new lot.",
        slip,
        "Rate charts are for new tires and can be off by a quarter to a half (source: p3112): they only get you close.",
    )
    return [line for step in steps if step for line in paragraph(step, bullet="- ")]
