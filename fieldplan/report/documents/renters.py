"""The renters of a season and of earlier ones, as a document for the clerk."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from fieldplan.model.records import Renter, RenterSeason
from fieldplan.report.documents.document import Document, Part
from fieldplan.report.words.money_and_places import money_text
from fieldplan.report.words.quantities import Quantities


def renters_document(renters: Sequence[Renter], season: str, as_of: date, q: Quantities) -> Document:
    """A part a renter: seasons with what was rented, charged, paid, owed and held, and how the renter stands.

    Parameters
    ----------
    season
        Name of the season.
    """
    return Document(
        title=f"{season}: renters",
        about=(f"From the stores as they stood on {as_of:%a %d %b %Y}. For the clerk only.",),
        parts=tuple(_part(renter, q) for renter in renters),
    )


def _part(renter: Renter, q: Quantities) -> Part:
    header = ("season", "requests", "rentals", q.area_word, "charged", "paid", "owed", "deposit held")
    return Part(
        name=", ".join(filter(None, (renter.called, renter.renter_id, renter.phone))),
        header=header,
        rows=tuple(_row(one, q) for one in renter.seasons),
        left=2,
        lines=tuple(_lines(renter)),
        listed=True,
    )


def _row(one: RenterSeason, q: Quantities) -> tuple[str, ...]:
    sums = (one.charged, one.paid, one.owed, one.deposit)
    return (
        one.season,
        ", ".join(one.requests),
        str(one.rentals),
        q.area(one.drilled_m2, 1),
        *(money_text(value, one.currency) for value in sums),
    )


def _lines(renter: Renter) -> Iterator[str]:
    if renter.bad_standing is not None:
        yield f"May not rent: {renter.bad_standing}."
    for what, day, until in renter.shown:
        yield f"{what}: {day:%d %b %Y}" + (f", holds until {until:%d %b %Y}." if until else ".")
    for one in renter.seasons:
        if one.unbilled:
            yield f"{one.season}: {', '.join(one.unbilled)} could not be billed."
