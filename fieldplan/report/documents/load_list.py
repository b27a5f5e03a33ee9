"""The load list: each trip of the truck, what it takes in bags and bales, and what goes where at which stop."""

from __future__ import annotations

from fieldplan.model.loads import Drop, LotAccount, Taken, Trip
from fieldplan.model.plan import MIN_KG, FieldPlan, Plan
from fieldplan.report.documents.document import Document, Part
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.places import place_of, start_of
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import TREATED, lot_name, marked_lots, parcel

TAKEN_HEADER = ("parcel", "take", "weight", "from the open bag", "whole bags", "out of one more")
DROPS_HEADER = ("parcel", "when", "box", "put down", "of it carrier")
NONE = "–"
ACCOUNT_HEADER = (
    *("seed", "ordered", "stays", "brought", "spare"),
    *("loaded", "sown", "left in boxes", "swept into bags"),
)


def load_list_document(plan: Plan, q: Quantities) -> Document:
    """The load list of a plan, to be printed and signed."""
    return Document(
        title=f"Load list for {plan.job.path.name}",
        about=(f"{plan.job.drill.name}; parcels in the order they are sown.",),
        parts=load_list_parts(plan, q),
        last=(
            "The truck's own ratings, the seed labels and local rules come before this list. Weigh what you cannot be sure of."
        ),
        head=tuple(line for line in (*plan.job.drill.letterhead, plan.job.drill.lender) if line),
        blanks=("loaded by", "date", "driven by", "brought back"),
    )


def load_list_parts(plan: Plan, q: Quantities) -> tuple[Part, ...]:
    """Trip by trip what to take and where it goes, then where all of each lot goes."""
    if not plan.loads.trips:
        return (Part(lines=("Nothing is drilled: there is nothing to load.",)),)
    parts = [Part(lines=(limit_text(plan, q),))]
    for trip in plan.loads.trips:
        treated = any(drop.treated for drop in trip.drops)
        parts.append(
            Part(
                name=trip_text(plan, trip, q),
                header=TAKEN_HEADER,
                rows=tuple(taken_rows(plan, trip, q)),
                left=2,
                lines=(f"{TREATED}. Keep it apart from other seed.",) if treated else (),
            )
        )
        parts.append(_drops(plan, trip, q))
    text = (
        "Brought = loaded + spare; loaded = sown + left in boxes + swept into bags. Ordered less brought stays at the seed house. Bags are "
        "used up before the next is opened, in the order of the trips."
    )
    account = Part(
        name="Where all of it goes", header=ACCOUNT_HEADER, rows=tuple(account_rows(plan, q)), lines=(text,)
    )
    return (*parts, account)


def _drops(plan: Plan, trip: Trip, q: Quantities) -> Part:
    """Where each load of a trip is put down; how much of it is carrier only where some of it is."""
    rows = drop_rows(plan, trip, q)
    if any(row[-1] != NONE for row in rows):
        return Part(header=DROPS_HEADER, rows=tuple(rows), left=3)
    return Part(header=DROPS_HEADER[:-1], rows=tuple(row[:-1] for row in rows), left=3)


def limit_text(plan: Plan, q: Quantities) -> str:
    """What the truck may carry, and of how many trips and days the list is."""
    trips = f"{counted(len(plan.loads.trips), 'trip')} on {counted(plan.loads.n_days, 'day')}"
    terms, limit_kg = plan.job.loading, plan.loads.limit_kg
    if (terms.payload_kg is None or limit_kg is None) and q.fills_form:
        return (
            f"{trips}: no payload is filled in, so each trip takes all that a day needs. Read the payload off the truck's door, and "
            "fill in “The truck and the scale”."
        )
    if terms.payload_kg is None or limit_kg is None:
        return (
            f"{trips}: the job file gives no payload, so each trip takes all that a day needs. Read the payload off the truck's door, and give it "
            "in [loading] with what people, gear and a trailer's tongue take of it."
        )
    taken = terms.payload_kg - limit_kg
    return (
        f"{trips}: of a payload of {q.mass(terms.payload_kg)} {q.mass_unit}, {q.mass(taken)} {q.mass_unit} go to people, gear and tongue; "
        f"{q.mass(limit_kg)} {q.mass_unit} are left for seed, carrier and bags. The weakest of truck, hitch, ball and tires rules: their "
        "ratings come before this list."
    )


def trip_text(plan: Plan, trip: Trip, q: Quantities) -> str:
    """The head of a trip: day, parcels in their order, and gross weight against the limit."""
    over = ""
    if plan.loads.limit_kg is not None:
        over = f" of {q.mass(plan.loads.limit_kg)}"
        if trip.gross_kg > plan.loads.limit_kg * (1 + 1e-9):
            over += ": OVER THE LIMIT"
    return f"Trip {trip.number}, working day {trip.day}, to {', '.join(trip.field_ids)}: gross {q.mass(trip.gross_kg)} {q.mass_unit}{over}"


def taken_rows(plan: Plan, trip: Trip, q: Quantities) -> list[tuple[str, ...]]:
    """What a trip takes of each lot for each parcel; the parcel stands in its first row only."""
    rows: list[tuple[str, ...]] = []
    before = ""
    for taken in trip.taken:
        rows.append((taken.field_id if taken.field_id != before else "", *_taken(plan, taken, q)))
        before = taken.field_id
    return rows


def _taken(plan: Plan, taken: Taken, q: Quantities) -> tuple[str, ...]:
    scale_kg = plan.job.loading.scale_kg
    name = lot_name(taken.species, taken.lot) + (", TREATED" if taken.treated else "")
    weight = q.weight(taken.kg, scale_kg)
    if taken.volume_m3 is not None:
        weight += (
            f" = {q.volume(taken.volume_m3)} = {taken.bags:.2f} {'bale' if taken.bags == 1 else 'bales'}"
        )
    opened = ""
    if taken.opened_kg:
        last = taken.first_bag + (taken.from_open_kg > 0) + taken.n_whole
        opened = f"{q.weight(taken.opened_kg, scale_kg)} of {'bale' if taken.carrier else 'bag'} {last}"
    return (
        name,
        weight,
        q.weight(taken.from_open_kg, scale_kg) if taken.from_open_kg else "–",
        f"{taken.n_whole} × {q.mass(taken.bag_kg)} {q.mass_unit}" if taken.n_whole else "–",
        opened or "–",
    )


def drop_rows(plan: Plan, trip: Trip, q: Quantities) -> list[tuple[str, ...]]:
    """Where each load of a trip is put down, stop by stop; repeated words are left out."""
    by_id = {field.field.field_id: field for field in plan.driven}
    rows: list[tuple[str, ...]] = []
    before = ("", "")
    for drop in trip.drops:
        field = by_id[drop.field_id]
        here = (drop.field_id, drop_when(plan, field, drop))
        rows.append(
            (
                parcel(field) if here[0] != before[0] else "",
                here[1] if here != before else "",
                drop.box,
                *_put_down(plan, drop, q),
            )
        )
        before = here
    return rows


def _put_down(plan: Plan, drop: Drop, q: Quantities) -> tuple[str, str]:
    scale_kg = plan.job.loading.scale_kg
    carrier_kg = sum(part.bulk_kg for part in drop.portions if part.carrier)
    part = "" if drop.parts == 1 else f", part {drop.part} of {drop.parts}"
    treated = ", TREATED" if drop.treated else ""
    return (
        q.weight(drop.net_kg, scale_kg) + part + treated,
        q.weight(carrier_kg, scale_kg) if carrier_kg > MIN_KG else NONE,
    )


def drop_when(plan: Plan, field: FieldPlan, drop: Drop) -> str:
    """When a load is poured in: at the start, at a stop, or as a spare."""
    if drop.spare:
        return "spare, keep dry"
    if drop.stop == 0:
        return start_of(plan, field)
    return f"stop {drop.stop}, {place_of(field, field.supply.refills[drop.stop - 1].leg)}"


def account_rows(plan: Plan, q: Quantities) -> list[tuple[str, ...]]:
    """Where all of each lot goes."""
    return [_account(plan, one, q) for one in plan.loads.accounts]


def _account(plan: Plan, one: LotAccount, q: Quantities) -> tuple[str, ...]:
    name = lot_name(one.species, one.lot) + marked_lots(plan).get((one.species, one.lot), "")
    weights = (
        *(one.ordered_kg, one.stays_kg, one.brought_kg, one.spare_kg),
        *(one.loaded_kg, one.sown_kg, one.left_kg, one.swept_kg),
    )
    scale_kg = plan.job.loading.scale_kg
    return (name, *(q.weight(kg, scale_kg) if abs(kg) > MIN_KG else "–" for kg in weights))
