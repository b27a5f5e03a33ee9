"""Words on parcels, lots and boxes that the seed page, sheets and labels share."""

from __future__ import annotations

from fieldplan.model.budget import BoxChange, ChangeCount, Delivery, OrderLine, Portion, RunOut
from fieldplan.model.plan import MIN_KG, FieldPlan, Plan
from fieldplan.report.words.hours import hours
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence

SCALE_KG = 0.001
"""Smallest step of a scale where none is given."""
TREATED = "TREATED SEED: read the tag, wear the protection it asks for; never food or feed"


def parcel(plan: FieldPlan) -> str:
    """Id and name of a parcel, or the id alone where the name says the same."""
    field = plan.field
    return (
        f"{field.field_id} {field.name}" if field.name and field.name != field.field_id else field.field_id
    )


def lot_name(species: str, lot: str) -> str:
    """Species and lot as printed: ``oats (7)``."""
    return f"{species} ({lot})" if lot else species


def carried(part: Delivery, q: Quantities, scale_kg: float = SCALE_KG) -> str:
    """Seed in the box for later parcels or, with a minus, from earlier ones; a dash for none."""
    if abs(part.carried_kg) < MIN_KG:
        return "–"
    return f"{'−' if part.carried_kg < 0 else ''}{q.weight(abs(part.carried_kg), scale_kg)}"


def before(field: FieldPlan, q: Quantities) -> list[str]:
    """What to do before a parcel: its box changes with their time, then where treated seed is."""
    texts = [changed(change, q) for change in field.box_changes]
    if field.changing_s:
        texts.append(f"These box changes take {hours(field.changing_s)}.")
    held = [sentence(one.says, q) for one in field.treated]
    return [*texts, *(f"TREATED SEED: {text}." for text in held)]


def changed(change: BoxChange, q: Quantities) -> str:
    """The sentence for what to do to a box before a parcel, or before the drill goes back."""
    amount = f"about {q.weight(change.kg)}"
    out = f"{amount} of {change.mix}"
    none = "None should be left: bag what there is."
    text = {
        "in the box": f"{change.box} box: leave in {amount} of the same seed.",
        "empty first": f"{change.box} box: empty it first, to the last meter; weigh, bag and label {out}; clean the box.",
        "tip back": f"{change.box} box: pour back {amount} that you emptied from it before.",
        "set again": f"{change.box} box: set it for {change.mix} and calibrate again.",
        "empty last": f"{change.box} box: in the end empty it to the last meter; weigh, bag and label {out}.",
    }[change.kind]
    if change.kg == 0 and change.kind == "empty first":
        text = (
            f"{change.box} box: sweep {change.mix} out of it first, to the last meter, and clean it. {none}"
        )
    if change.kg == 0 and change.kind == "empty last":
        text = f"{change.box} box: in the end sweep {change.mix} out of it, to the last meter. {none}"
    return f"{text} {TREATED}." if change.treated else text


def from_bags(portion: Portion, bag_kg: float | None, q: Quantities, scale_kg: float = SCALE_KG) -> str:
    """A portion as whole bags, and the weight to take from one more."""
    if bag_kg is None:
        return "–"
    whole = int(portion.bulk_kg / bag_kg + 1e-9)
    part = q.weight(max(0.0, portion.bulk_kg - whole * bag_kg), scale_kg)
    return f"{counted(whole, 'bag')} + {part}" if whole else part


def changes_lines(plan: Plan) -> list[str]:
    """What the box changes of the job come to, and what the order of the file costs beside the best."""
    orders = plan.sow_orders
    if orders is None:
        return []
    sown, spent_s = (orders.of_given, orders.given_s) if orders.kept else (orders.of_best, orders.best_s)
    text = f"Box changes: {_change_text(sown)}, {hours(spent_s)} on the clock"
    if orders.of_given == orders.of_best:
        return [f"{text}; no order has fewer."]
    if orders.kept:
        return [
            f"{text}. The best order, {', '.join(orders.best)}, has {_change_text(orders.of_best)}: the order of the file costs {hours(orders.saved_s)} more."
        ]
    return [
        f"{text}. The order of the file has {_change_text(orders.of_given)} and costs {hours(orders.saved_s)} more."
    ]


def _change_text(count: ChangeCount) -> str:
    return f"{counted(count.n_emptied, 'box', 'boxes')} emptied, {count.n_reset} set again"


def end_texts(run_out: RunOut, q: Quantities) -> tuple[str, str, str]:
    """The parcel at which seed ends, the lot that ends first, and the ground of the parcel sown by then."""
    end = run_out.ends
    if end is None:
        return "–", "enough", "–"
    return (
        end.field_id,
        lot_name(end.species, end.lot),
        f"{q.area(end.sown_m2)} of {q.area(end.of_m2)}",
    )


def marked_lots(plan: Plan) -> dict[tuple[str, str], str]:
    """The mark of each lot of treated seed, by species and lot; other lots have none."""
    return {
        (component.species, component.lot): ", TREATED"
        for mix in plan.job.mixes
        for component in mix.components
        if component.treated
    }


def spread(line: OrderLine, q: Quantities) -> str:
    """What else may be needed where published counts differ."""
    assert line.need_range_kg is not None
    assert line.bags_range is not None
    low_kg, high_kg = line.need_range_kg
    fewest, most = line.bags_range
    return (
        f"{lot_name(line.species, line.lot)}: published counts differ; by the highest and the lowest, {q.mass(low_kg)} to {q.mass(high_kg)} "
        f"{q.mass_unit} are needed, {counted(fewest, 'bag') if fewest == most else f'{fewest} to {most} bags'}. "
        "Give seeds_per_pound from the tag, or count a sample."
    )


def meter_named(text: str, q: Quantities) -> str:
    """A step of a card, or what is filled in there, with the drill's counter of ground as the reader calls it."""
    return text.replace("acre meter", q.meter)
