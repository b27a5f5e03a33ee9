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


def phrase(key: str) -> Phrase:
    """The phrase of a code, or of a ``code/case``.

    Raises
    ------
    KeyError
        If nothing is said of it: a fault of fieldplan.
    """
    return PHRASES[key]
