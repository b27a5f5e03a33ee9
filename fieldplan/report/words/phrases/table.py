"""All phrases by code, or ``code/case``."""

from __future__ import annotations

from collections.abc import Mapping

from fieldplan.report.words.phrases import (
    bookings,
    boundary,
    commands,
    cover,
    coverage,
    desk,
    desk_forms,
    desk_where,
    driving,
    files,
    jobfile,
    mixes,
    of_form,
    outputs,
    placing,
    plain_files,
    quantities,
    rate_card,
    reading,
    records,
    region,
    season,
    seed,
    tables,
    weather,
    work,
)
from fieldplan.report.words.phrases.phrase import Phrase

ROOMS: Mapping[str, Mapping[str, Phrase]] = {
    room.__name__.rpartition(".")[2]: room.PHRASES
    for room in (
        boundary,
        bookings,
        commands,
        cover,
        coverage,
        desk,
        desk_forms,
        desk_where,
        driving,
        files,
        jobfile,
        mixes,
        outputs,
        placing,
        plain_files,
        quantities,
        rate_card,
        reading,
        records,
        region,
        season,
        seed,
        tables,
        weather,
        work,
    )
}
PHRASES: Mapping[str, Phrase] = {key: phrase for room in ROOMS.values() for key, phrase in room.items()}


def phrase(key: str, *, fills_form: bool = False) -> Phrase:
    """The phrase of a code, or of a ``code/case``.

    Parameters
    ----------
    key
        The code.
    fills_form
        For who fills in a form and sees no job file: in the words of its labels.

    Raises
    ------
    KeyError
        If nothing is said of it: a fault of fieldplan.
    """
    plain = PHRASES[key]
    of_labels = of_form.PHRASES.get(key) if fills_form else None
    if of_labels is None:
        return plain
    said, tried = (of_labels if part else plain for part in (of_labels.text, of_labels.hint))
    return Phrase(
        text=said.text,
        metric=said.metric,
        short=said.short,
        hint=tried.hint,
        metric_hint=tried.metric_hint,
    )
