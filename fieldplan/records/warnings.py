"""Warnings on entries that are likely slips. They come after the entry is written and never refuse it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from itertools import chain

from fieldplan.facts import Fact, fact
from fieldplan.model.records import Entry, Ground
from fieldplan.records.rentals import rentals_of
from fieldplan.tables import read as tables
from fieldplan.units import ACRE_M2

WARNED_ABOUT = ("in", "sown", "seed")
"""Kinds of entries with figures that are compared with the map."""
FEW_M2 = ACRE_M2


def warnings(
    new: Sequence[Entry], current: Sequence[Entry], grounds: Mapping[str, Sequence[Ground]], today: date
) -> Iterator[Fact]:
    """Warnings on new entries: days still to come, and figures far from the map.

    Parameters
    ----------
    current
        Current entries, with the new ones.
    grounds
        Fields on the map of the requests that the new entries are about, by request.
    """
    to_come = [entry for entry in new if entry.day > today]
    if to_come:
        yield fact(
            "entries-to-come",
            n_entries=len(to_come),
            today_typed_day=today,
            row=to_come[0].number,
            first_typed_day=to_come[0].day,
        )
    rentals = {
        rental.back.number: rental
        for rental in chain.from_iterable(rentals_of(current).values())
        if rental.back
    }
    heaviest_kg_per_m2, heaviest_by = tables.machinery_figure("heaviest seeding that is drilled", "kg/m2")
    for entry in new:
        ground = grounds.get(entry.request, ())
        request_m2 = sum(field.mapped_m2 for field in ground)
        field_m2 = next(
            (field.mapped_m2 for field in ground if field.field_id == entry.facts.get("field")), request_m2
        )
        rental = rentals.get(entry.number)
        if rental and rental.drilled_m2 is not None and _far_over(rental.drilled_m2, request_m2):
            yield fact(
                "meter-over-map",
                metered_m2=rental.drilled_m2,
                request=entry.request,
                mapped_m2=request_m2,
                row=entry.number,
            )
        if entry.kind == "sown" and _far_over(entry.facts.get("acres", 0.0), field_m2):
            yield fact(
                "sown-over-map",
                sown_m2=entry.facts["acres"],
                field=entry.facts["field"],
                mapped_m2=field_m2,
                row=entry.number,
            )
        if entry.kind == "seed" and field_m2 and entry.facts["weight"] / field_m2 > heaviest_kg_per_m2:
            yield fact(
                "seed-heavy",
                weight=entry.typed["weight"],
                species=entry.facts["species"],
                mapped_m2=field_m2,
                row=entry.number,
                sources=(heaviest_by,),
            )


def _far_over(value_m2: float, mapped_m2: float) -> bool:
    return (
        value_m2 > tables.machinery_figure("a meter reads over the map by", "times")[0] * mapped_m2 + FEW_M2
    )
