"""The seed page: order, tags, boxes, deliveries, loads of each stop, labels, and what if it sows heavy."""

from __future__ import annotations

from fieldplan.model.budget import OrderLine
from fieldplan.model.notes import Source
from fieldplan.model.plan import MIN_KG, Plan
from fieldplan.report.documents.load_list import load_list_parts
from fieldplan.report.text.document import body_lines
from fieldplan.report.text.labels import label_lines
from fieldplan.report.text.notes import note_lines
from fieldplan.report.text.seed_tags import tag_lines
from fieldplan.report.text.species import species_block
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.money_and_places import money_text
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.numbers import counted, percent
from fieldplan.report.words.places import place_of, start_of
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import (
    before,
    carried,
    changed,
    changes_lines,
    end_texts,
    from_bags,
    lot_name,
    marked_lots,
    parcel,
    spread,
)
from fieldplan.report.words.sentences import sources_text
from fieldplan.report.words.species import species_sources
from fieldplan.tables import read
from fieldplan.tables.seed_law import limit_counted


def seed_page(plan: Plan, boundary_name: str, q: Quantities, *, labels: bool) -> str:
    """The seed page of a plan as text, with its parcels in the order they are sown.

    Parameters
    ----------
    labels
        Whether to add the labels of all batches.
    """
    cited = (line for source in _sources(plan) for line in _source_lines(source))
    sections = [
        [plain(f"Seed for {boundary_name} with {plan.job.path.name}")],
        ["", "IN SHORT", *_short(plan, q)],
        ["", "ORDER", *_order(plan, q)],
        ["", "TAGS", *tag_lines(plan, q)],
        ["", "SPECIES", *_species(plan, q)],
        ["", "BOXES", *_boxes(plan, q)],
        ["", "DELIVERY", *_delivery(plan, q)],
        ["", "LOAD LIST", *_load_list(plan, q)],
        ["", "LOADING", *_loading(plan, q)],
        ["", "IF IT SOWS HEAVY", *_heavy(plan, q)],
        ["", "NOTES", *_notes(plan, q)],
        ["", "SOURCES", *cited],
    ]
    if labels:
        sections.append(["", "LABELS", *label_lines(plan, q)])
    return "\n".join(line for section in sections for line in section) + "\n"


def _source_lines(source: Source) -> list[str]:
    return paragraph(f"{source.key}: {source.title}", bullet="- ")


def _short(plan: Plan, q: Quantities) -> list[str]:
    sown = ", ".join(
        f"{parcel(field)} ({q.area(field.coverage.audit.drilled_m2)} {q.area_unit})"
        for field in plan.fields
    )
    lots, bags = len(plan.order), plan.bags
    batches = sum(len(field.batches) for field in plan.fields)
    lines = [
        *warning_lines(plan.notes, q),
        f"{counted(lots, 'lot')}, {counted(bags, 'bag')} to order; {counted(batches, 'batch', 'batches')} to mix and label.",
        f"Parcels in the order they are sown, with drilled {q.area_word}: {sown}.",
        *changes_lines(plan),
    ]
    return [wrapped for line in lines for wrapped in paragraph(line)]


def _species(plan: Plan, q: Quantities) -> list[str]:
    state = plan.job.seed_law.state
    blocks = [line for facts in plan.species for line in species_block(facts, q, state)]
    text = (
        "Figures differ by lot and place: the tag, the supplier and the law of the place come before them. fieldplan species NAME "
        "shows every figure with its source."
    )
    return [*blocks, *paragraph(text)]


_CARRIER_COLUMN = 3


def _boxes(plan: Plan, q: Quantities) -> list[str]:
    rows, seen = [], set()
    for field in plan.fields:
        for box in field.seed.boxes:
            if (field.seed.mix, box.box) in seen:
                continue
            seen.add((field.seed.mix, box.box))
            carrier = (
                f"{q.mass_rate(box.carrier_kg_per_m2)} {box.carrier}, {percent(box.carrier_frac)}"
                if box.carrier_kg_per_m2
                else "–"
            )
            rows.append(
                (
                    field.seed.mix,
                    box.box,
                    q.mass_rate(box.bulk_kg_per_m2),
                    carrier,
                    q.mass_rate(box.load_kg_per_m2),
                    q.volume_rate(box.volume_m3_per_m2),
                    q.mass(box.load_kg_per_m3 * box.working_m3),
                    f"{q.area(box.area_per_fill_m2, 1)} {q.area_unit}",
                    "swept" if box.swept else q.mass(box.load_kg_per_m3 * box.min_m3),
                )
            )
    header = (
        "mix",
        "box",
        "seed",
        "carrier (of weight)",
        "drill delivers",
        "by volume",
        f"a fill, {q.mass_unit}",
        "sows",
        "residual",
    )
    text = (
        "A fill is what fits between the least level and the fill line. The least level is left in the box as residual seed. Swept: only "
        "until all of the mix is loaded; then run the box down and sweep the last seed to the meters."
    )
    written = [list(row) for row in (header, *rows)]
    if all(row[_CARRIER_COLUMN] == "–" for row in rows):
        for cells in written:
            del cells[_CARRIER_COLUMN]
    return [*table(written[0], written[1:], left=2), *paragraph(text)]


def _order(plan: Plan, q: Quantities) -> list[str]:
    header, rows = order_table(plan, q)
    lines = table(header, rows)
    lines += [text for line in plan.order if line.need_range_kg for text in paragraph(spread(line, q))]
    costs: dict[str, float] = {}
    for line in plan.order:
        if line.cost is not None and line.price is not None:
            costs[line.price.currency] = costs.get(line.price.currency, 0.0) + line.cost
    if costs:
        lacking = sum(line.price is None for line in plan.order)
        text = "Cost of the order: " + ", ".join(
            money_text(total, currency) for currency, total in costs.items()
        )
        lines += paragraph(
            text + (f"; {counted(lacking, 'lot has', 'lots have')} no price." if lacking else ".")
        )
    for carrier in plan.carriers:
        lines += paragraph(
            f"Carrier to bring: {q.mass(carrier.kg)} {q.mass_unit} of {carrier.name}, {q.volume(carrier.m3)}."
        )
    return lines


def order_table(plan: Plan, q: Quantities) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Header and a row for each lot to order, with bags and what they weigh, and its cost where it is priced."""
    marked = marked_lots(plan)
    rows: list[tuple[str, ...]] = [
        (
            lot_name(line.species, line.lot) + marked.get((line.species, line.lot), ""),
            q.mass(line.sown_kg),
            q.mass(line.overage_kg),
            q.mass(line.residual_kg),
            q.mass(line.need_kg),
            f"{line.bags} × {q.mass(line.bag_kg)}",
            q.mass(line.ordered_kg),
            q.mass(line.left_over_kg),
            *_money(line, q),
        )
        for line in plan.order
    ]
    header = (
        f"seed, {q.mass_unit}",
        "sown",
        "overage",
        "of it residual",
        "need",
        "bags",
        "ordered",
        "left over",
        "cost",
        f"per {q.mass_unit} PLS",
    )
    return header, rows


def _money(line: OrderLine, q: Quantities) -> tuple[str, str]:
    if line.price is None or line.cost is None or line.price_per_live_kg is None:
        return "–", "–"
    per_unit = line.price_per_live_kg * q.mass_unit_kg
    return money_text(line.cost, line.price.currency), money_text(per_unit, line.price.currency)


def _delivery(plan: Plan, q: Quantities) -> list[str]:
    header, rows = delivery_table(plan, q)
    lines = table(header, rows, left=3)
    if any(part.carried_kg for field in plan.fields for part in field.deliveries):
        lines += paragraph(CARRIED)
    return lines


CARRIED = (
    "In box for later: poured in here and sown on later parcels; with −, poured in earlier and sown here."
)


def delivery_table(plan: Plan, q: Quantities) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Header and a row for each lot that is brought to each parcel; the parcel stands in its first row only."""
    rows: list[tuple[str, ...]] = []
    scale_kg = plan.job.loading.scale_kg
    for field in plan.fields:
        for i, part in enumerate(field.deliveries):
            rows.append(
                (
                    parcel(field) if i == 0 else "",
                    field.seed.mix if i == 0 else "",
                    lot_name(part.species, part.lot) + (", TREATED" if part.treated else ""),
                    "–" if part.carrier else q.weight(part.sown_pls_kg, scale_kg),
                    q.weight(part.sown_kg, scale_kg),
                    q.weight(part.overage_kg, scale_kg),
                    q.weight(part.residual_kg, scale_kg),
                    carried(part, q, scale_kg),
                    q.weight(part.need_kg, scale_kg),
                )
            )
    header = (
        "parcel",
        "mix",
        "seed",
        "PLS sown",
        "bulk sown",
        "overage",
        "of it residual",
        "in box for later",
        "bring",
    )
    return header, rows


def _load_list(plan: Plan, q: Quantities) -> list[str]:
    """Each trip under its own line, with an empty line between trips."""
    lines: list[str] = []
    for part in load_list_parts(plan, q):
        if part.name:
            lines += ["", *paragraph(part.name)]
        lines += body_lines(part)
    return lines


def _loading(plan: Plan, q: Quantities) -> list[str]:
    lines: list[str] = []
    scale_kg = plan.job.loading.scale_kg
    bag_kg = {(line.species, line.lot): line.bag_kg for line in plan.order}
    for field in plan.fields:
        if not field.is_drilled:
            lines += [*paragraph(f"{parcel(field)}: nothing is drilled here."), ""]
            continue
        lines += paragraph(
            f"{parcel(field)}, {q.area(field.coverage.audit.drilled_m2)} {q.area_unit} drilled, {field.seed.mix}"
        )
        lines += [line for text in before(field, q) for line in paragraph(text, bullet="* ")]
        stops = [(start_of(plan, field), field.supply.first_load_kg)]
        stops += [
            (f"stop {stop.stop}, {place_of(field, stop.leg)}", stop.load_kg)
            for stop in field.supply.refills
        ]
        rows = []
        for name, load_kg in stops:
            portions = [
                (box.box, i, part)
                for box in field.seed.boxes
                if load_kg[box.box] > MIN_KG
                for i, part in enumerate(box.portions(load_kg[box.box]))
            ]
            if not portions:
                rows.append((name, "", "nothing: the boxes have enough", "", "", ""))
            for k, (box_name, i, part) in enumerate(portions):
                rows.append(
                    (
                        name if k == 0 else "",
                        box_name if i == 0 else "",
                        lot_name(part.species, part.lot),
                        q.weight(part.bulk_kg, scale_kg),
                        from_bags(part, bag_kg.get((part.species, part.lot)), q, scale_kg),
                        q.weight(part.pls_kg, scale_kg) if not part.carrier else "–",
                    )
                )
        lines += [
            *table(("when", "box", "pour in", "weight", "from bags", "PLS"), rows, left=3),
            "",
        ]
    text = (
        "The first load also fills a box to the level it keeps while more of its mix is to be sown. Seed that is still in the box, or is "
        "poured back, counts toward that level."
    )
    lines += paragraph(text)
    if plan.emptied_last:
        lines += ["", *paragraph("When the last parcel is sown")]
        lines += [
            line for change in plan.emptied_last for line in paragraph(changed(change, q), bullet="* ")
        ]
    return lines


def _heavy(plan: Plan, q: Quantities) -> list[str]:
    rows = []
    for i, run_out in enumerate(plan.run_outs):
        before = plan.run_outs[i - 1] if i else None
        same = before is not None and (before.mix, before.box) == (run_out.mix, run_out.box)
        rows.append(
            (
                "" if same else run_out.mix,
                "" if same else run_out.box,
                f"+{percent(run_out.heavy_frac)}",
                q.area(run_out.fill_m2, 1),
                *end_texts(run_out, q),
                q.area(min(run_out.seed_m2, run_out.planned_m2), 1),
                q.area(run_out.planned_m2, 1),
            )
        )
    header = (
        *("mix", "box", "sows", f"a fill, {q.area_unit}", "ends at", "first out", f"after, {q.area_unit}"),
        *("with all bags", "of"),
    )
    found = dict.fromkeys(
        f"+{percent(run_out.heavy_frac)}, {run_out.found} ({sources_text([run_out.source])})"
        for run_out in plan.run_outs
    )
    text = (
        "Ends at: the parcel at which what was brought there, and is in the box or spare from before, runs out; first out, the lot that ends "
        "first. With all bags: the ground of the mix that all seed ordered would sow. "
        f"Where these figures are from: {'; '.join(found)}. Check after the first {q.area_one}."
    )
    return [*table(header, rows, left=2), *paragraph(text)]


def _notes(plan: Plan, q: Quantities) -> list[str]:
    wanted = (
        "table-value",
        "box-",
        "metering-",
        "test-",
        "two-conventions",
        "stand-",
        "seed-",
        "native-",
        "overage-raised",
        "scale-",
        "sow-order",
        "treated-",
        "species-",
        "form-",
        "coating-",
        "dormant-",
        "noxious-",
        "tag-",
        "tz-",
        "not-sold",
        "other-crop",
        "sowing-window",
        "default-used",
    )
    on_seed = (
        note
        for note in plan.notes
        if note.code.startswith(wanted)
        and (
            note.code != "default-used"
            or str(note.values["key"]).startswith(("mix.", "drill.box", "loading."))
        )
    )
    return note_lines(on_seed, q)


def _sources(plan: Plan) -> list[Source]:
    named = {key for note in plan.notes for key in note.sources} | {"h1-manual", "p3112", "fsa-201"}
    limit = limit_counted(plan.job.seed_law)
    cited = {source.key: source for source in plan.sources if source.key in named}
    further = [*species_sources(plan.species), *([read.source(limit.source)] if limit.source else [])]
    cited |= {source.key: source for source in further}
    return [cited[key] for key in sorted(cited)]
