"""The seed page: tags, boxes, what to buy and to deliver, what to tip in at each stop, labels, and what if it sows heavy."""

from __future__ import annotations

from fieldplan.model.budget import Batch, OrderLine, Portion
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.model.seed import Component
from fieldplan.report.plain import plain
from fieldplan.report.quantities import Quantities, percent
from fieldplan.report.table import paragraph, table

LABEL_WIDTH = 60


def seed_page(plan: Plan, boundary_name: str, q: Quantities, *, labels: bool) -> str:
    """Everything about the seed of a job as text.

    Parameters
    ----------
    labels
        Print the labels of all batches as well.
    """
    sections = [
        [plain(f"Seed for {boundary_name} with {plan.job.path.name}")],
        ["", "TAGS", *_tags(plan, q)],
        ["", "BOXES", *_boxes(plan, q)],
        ["", "ORDER", *_order(plan, q)],
        ["", "DELIVERY", *_delivery(plan, q)],
        ["", "LOADING", *_loading(plan, q)],
        ["", "IF IT SOWS HEAVY", *_heavy(plan, q)],
    ]
    if labels:
        sections.append(["", "LABELS", *(line for one in plan.fields for batch in one.batches for line in label(batch, q))])
    sections.append(["", "NOTES", *_notes(plan)])
    return "\n".join(line for section in sections for line in section) + "\n"


def lot_name(species: str, lot: str) -> str:
    """A lot as people read it."""
    return f"{species} ({lot})" if lot else species


def _tags(plan: Plan, q: Quantities) -> list[str]:
    sowings = plan.job.working.sowings
    sown = {
        (one.seed.mix, part.species, part.lot): part for one in plan.fields for box in one.seed.boxes for part in box.components
    }
    rows = []
    for mix in plan.job.mixes:
        parts = [
            (one, sown[mix.name, one.species, one.lot]) for one in mix.components if (mix.name, one.species, one.lot) in sown
        ]
        for i, (one, part) in enumerate(parts):
            rows.append((
                mix.name if i == 0 else "", lot_name(one.species, one.lot), one.box, percent(one.purity_frac, 1),
                _live(one), percent(one.pls_frac, 1), q.mass_rate(part.pls_kg_per_m2 * sowings),
                q.mass_rate(part.bulk_kg_per_m2 * sowings),
            ))  # fmt: skip
    header = ("mix", "seed", "box", "pure", "germ + hard + dormant", "live", "sow live", "sow bulk")
    text = "Live = pure live seed = pure × (germination + hard + dormant); bulk = live rate / live share."
    return [*table(header, rows, left=3), *paragraph(text)]


def _live(one: Component) -> str:
    return " + ".join(f"{share * 100:.4g}" for share in (one.germination_frac, one.hard_frac, one.dormant_frac)) + " %"


def _boxes(plan: Plan, q: Quantities) -> list[str]:
    rows, seen = [], set()
    for one in plan.fields:
        for box in one.seed.boxes:
            if (one.seed.mix, box.box) in seen:
                continue
            seen.add((one.seed.mix, box.box))
            carrier = (
                f"{q.mass_rate(box.carrier_kg_per_m2)} {box.carrier}, {percent(box.carrier_frac)}"
                if box.carrier_kg_per_m2
                else "–"
            )
            rows.append((one.seed.mix, box.box, q.mass_rate(box.bulk_kg_per_m2), carrier, q.mass_rate(box.load_kg_per_m2),
                         q.volume_rate(box.volume_m3_per_m2), f"{q.mass(box.load_kg_per_m3 * (box.working_m3 + box.least_m3))} {q.mass_unit}",
                         f"{q.area(box.area_per_fill_m2, 1)} {q.area_unit}"))  # fmt: skip
    header = ("mix", "box", "seed", "carrier (of weight)", "drill delivers", "by volume", "full", "a fill sows")
    return table(header, rows, left=2)


def _order(plan: Plan, q: Quantities) -> list[str]:
    rows = [
        (lot_name(line.species, line.lot), q.mass(line.sown_kg), q.mass(line.overage_kg), q.mass(line.need_kg),
         f"{line.bags} × {q.mass(line.bag_kg)}", q.mass(line.ordered_kg), q.mass(line.left_over_kg), *_money(line, q))
        for line in plan.order
    ]  # fmt: skip
    header = (f"seed, {q.mass_unit}", "sown", "overage", "need", "bags", "ordered", "left over", "cost", f"a live {q.mass_unit}")
    lines = table(header, rows)
    costs: dict[str, float] = {}
    for line in plan.order:
        if line.cost is not None and line.price is not None:
            costs[line.price.currency] = costs.get(line.price.currency, 0.0) + line.cost
    if costs:
        lacking = sum(line.price is None for line in plan.order)
        text = "Cost of the order: " + ", ".join(money(total, currency) for currency, total in costs.items())
        lines += paragraph(text + (f"; {lacking} lot(s) have no price." if lacking else "."))
    for carrier in plan.carriers:
        lines += paragraph(
            f"Carrier to have at hand: {q.mass(carrier.kg)} {q.mass_unit} of {carrier.name}, {q.volume(carrier.m3)}."
        )
    return lines


def _money(line: OrderLine, q: Quantities) -> tuple[str, str]:
    if line.price is None or line.cost is None or line.price_per_live_kg is None:
        return "–", "–"
    return money(line.cost, line.price.currency), money(line.price_per_live_kg * q.mass_unit_kg, line.price.currency)


def money(amount: float, currency: str) -> str:
    """An amount with its currency as it was written: a sign before, a code after."""
    shown = f"{amount:,.2f}"
    return f"{shown} {currency}" if currency.isalpha() else f"{currency}{shown}"


def _delivery(plan: Plan, q: Quantities) -> list[str]:
    rows = []
    for one in plan.fields:
        for i, part in enumerate(one.deliveries):
            rows.append((
                one.field.field_id if i == 0 else "", one.seed.mix if i == 0 else "", lot_name(part.species, part.lot),
                q.mass(part.sown_pls_kg), q.mass(part.sown_kg), q.mass(part.overage_kg), q.mass(part.need_kg),
            ))  # fmt: skip
    header = ("parcel", "mix", f"seed, {q.mass_unit}", "live sown", "bulk sown", "overage", "bring")
    return table(header, rows, left=3)


def _loading(plan: Plan, q: Quantities) -> list[str]:
    lines: list[str] = []
    for one in plan.fields:
        bag_kg = {(line.species, line.lot): line.bag_kg for line in plan.order}
        stops = [("start", one.supply.first_load_kg), *((f"stop {stop.stop}", stop.load_kg) for stop in one.supply.refills)]
        rows = []
        for name, load_kg in stops:
            for box in one.seed.boxes:
                if load_kg[box.box] <= 0:
                    continue
                for i, portion in enumerate(box.portions(load_kg[box.box])):
                    first = i == 0 and box is one.seed.boxes[0]
                    rows.append((
                        name if first else "", box.box if i == 0 else "", lot_name(portion.species, portion.lot),
                        _weighed(portion, q), _bags(portion, bag_kg.get((portion.species, portion.lot)), q),
                        q.mass(portion.pls_kg) if not portion.carrier else "–",
                    ))  # fmt: skip
        header = (one.field.field_id, "box", "tip in", q.mass_unit, "bags", f"live {q.mass_unit}")
        lines += [*table(header, rows, left=3), ""]
    text = "Bags: whole ones and what to weigh out of one more. The first load also fills the box up to its least level, which stays in it."
    return [*lines, *paragraph(text)]


def _weighed(portion: Portion, q: Quantities) -> str:
    return q.mass(portion.bulk_kg)


def _bags(portion: Portion, bag_kg: float | None, q: Quantities) -> str:
    if bag_kg is None:
        return "–"
    whole = int(portion.bulk_kg / bag_kg + 1e-9)
    part = portion.bulk_kg - whole * bag_kg
    return f"{whole} + {q.mass(part)}" if whole else q.mass(part)


def _heavy(plan: Plan, q: Quantities) -> list[str]:
    rows = []
    for i, one in enumerate(plan.run_outs):
        before = plan.run_outs[i - 1] if i else None
        same = before is not None and (before.mix, before.box) == (one.mix, one.box)
        short = one.planned_m2 - one.seed_m2
        rows.append((
            "" if same else one.mix, "" if same else one.box, f"+{percent(one.heavy_frac)}", q.area(one.fill_m2, 1),
            q.area(min(one.seed_m2, one.planned_m2), 1), q.area(one.planned_m2, 1),
            f"{q.area(short, 1)} {q.area_unit} short" if short > 0 else "lasts",
        ))  # fmt: skip
    header = ("mix", "box", "sows", f"a fill, {q.area_unit}", "seed ends at", "of", "")
    text = "Drills sowed 23 % more in the field than in the shop (source: h1-manual); charts are off by 25 to 50 % (source: p3112). Check after the first acre."
    return [*table(header, rows, left=2), *paragraph(text)]


def label(batch: Batch, q: Quantities) -> list[str]:
    """One label as text in a frame."""
    which = "spare, keep dry" if batch.spare else f"batch {batch.number} of {batch.of}"
    lines = [f"{batch.field_id}   {batch.box} box   {which}", f"mix: {batch.mix}"]
    lines += [
        f"{q.mass(one.bulk_kg, 2):>8} {q.mass_unit}  {lot_name(one.species, one.lot)}"
        + ("" if one.carrier else f"  live {q.mass(one.pls_kg, 2)}")
        for one in batch.portions
    ]
    lines.append(
        f"{q.mass(batch.load_kg, 2):>8} {q.mass_unit}  in all; seed {q.mass(batch.bulk_kg, 2)}, live {q.mass(batch.pls_kg, 2)}"
    )
    bar = "+" + "-" * LABEL_WIDTH + "+"
    return [f"  {bar}", *(f"  | {plain(line)[: LABEL_WIDTH - 2]:<{LABEL_WIDTH - 2}} |" for line in lines), f"  {bar}"]


def _notes(plan: Plan) -> list[str]:
    wanted = ("table-value", "box-", "metering-", "test-old", "two-conventions", "seed-", "native-box", "overage-raised")
    texts = dict.fromkeys(note.text for note in plan.notes if note.code.startswith(wanted))
    lines = [line for text in texts for line in paragraph(text, bullet="- ")]
    return lines or paragraph("nothing to add", bullet="- ")


def seed_object(plan: Plan) -> dict[str, object]:
    """The seed of a job as nested dicts and lists, ready for JSON: SI."""
    return {
        "schema": "fieldplan/seed/1",
        "order": [
            {"species": line.species, "lot": line.lot, "sown_kg": line.sown_kg, "overage_kg": line.overage_kg,
             "need_kg": line.need_kg, "bag_kg": line.bag_kg, "bags": line.bags, "ordered_kg": line.ordered_kg,
             "left_over_kg": line.left_over_kg, "cost": line.cost,
             "currency": None if line.price is None else line.price.currency, "price_per_live_kg": line.price_per_live_kg}
            for line in plan.order
        ],
        "carriers": [{"name": one.name, "kg": one.kg, "m3": one.m3} for one in plan.carriers],
        "parcels": [_parcel_object(one) for one in plan.fields],
        "run_outs": [
            {"mix": one.mix, "box": one.box, "heavy_frac": one.heavy_frac, "planned_m2": one.planned_m2, "fill_m2": one.fill_m2,
             "seed_m2": one.seed_m2}
            for one in plan.run_outs
        ],
        "notes": [{"code": note.code, "text": note.text, "field_id": note.field_id} for note in plan.notes],
    }  # fmt: skip


def _parcel_object(one: FieldPlan) -> dict[str, object]:
    return {
        "field_id": one.field.field_id,
        "mix": one.seed.mix,
        "deliveries": [
            {"species": part.species, "lot": part.lot, "sown_kg": part.sown_kg, "overage_kg": part.overage_kg,
             "need_kg": part.need_kg, "sown_pls_kg": part.sown_pls_kg}
            for part in one.deliveries
        ],
        "batches": [
            {"box": batch.box, "number": batch.number, "of": batch.of, "spare": batch.spare, "load_kg": batch.load_kg,
             "portions": [{"species": p.species, "lot": p.lot, "carrier": p.carrier, "bulk_kg": p.bulk_kg, "pls_kg": p.pls_kg}
                          for p in batch.portions]}
            for batch in one.batches
        ],
    }  # fmt: skip
