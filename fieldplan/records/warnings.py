"""What could be true and is likely a slip: said after an entry is written, never a reason to refuse it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from fieldplan.facts import Fact, fact
from fieldplan.model.records import Entry, Ground
from fieldplan.records.rentals import rentals_of
from fieldplan.tables import read as tables
from fieldplan.units import ACRE_M2

WARNED_ABOUT = ("in", "sown", "seed")
"""Kinds whose figures are held against the map."""
FEW_M2 = ACRE_M2


def warnings(
    new: Sequence[Entry], holds: Sequence[Entry], grounds: Mapping[str, Sequence[Ground]], today: date
) -> Iterator[Fact]:
    """A doubt about each new entry whose figures are far from the map, and one about all whose day is still
    to come.

    Parameters
    ----------
    holds
        All entries that hold, with the new ones.
    grounds
        The fields on the map of the requests that the new entries are about.
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
        rental.back.number: rental for own in rentals_of(holds).values() for rental in own if rental.back
    }
    heaviest_kg_per_m2, heaviest_by = tables.machinery_figure("heaviest seeding that is drilled", "kg/m2")
    for entry in new:
        ground = grounds.get(entry.request, ())
        whole_m2 = sum(one.mapped_m2 for one in ground)
        field_m2 = next(
            (one.mapped_m2 for one in ground if one.field_id == entry.facts.get("field")), whole_m2
        )
        rental = rentals.get(entry.number)
        if rental and rental.drilled_m2 is not None and _far_over(rental.drilled_m2, whole_m2):
            yield fact(
                "meter-over-map",
                metered_m2=rental.drilled_m2,
                request=entry.request,
                mapped_m2=whole_m2,
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
