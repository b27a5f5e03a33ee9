"""The seed page of the sample restoration: every row beside the plan's own kilograms, put into pounds
here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

import pytest

from fieldplan.model.budget import Batch, BoxChange, Delivery, Portion
from fieldplan.model.plan import Plan
from fieldplan.report.data.seed import seed_object
from fieldplan.report.text.labels import Label, label
from fieldplan.report.text.seed_page import seed_page
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.report.words.seed import carried, changed, from_bags, lot_name
from fieldplan.seed.stand import stand_of
from fieldplan.tables.seed_sizes import seeds_per_kg_of

POUND_KG, ACRE_M2, FOOT_M = 0.45359237, 4046.8564224, 0.3048
US, METRIC = Quantities("us"), Quantities("metric")


def _weight(kg: float, system: System) -> str:
    """As a scale of one gram reads it: ounces or grams under a pound or a kilogram, else at most two decimals."""
    kg = round(kg / 0.001) * 0.001
    unit_kg, unit = (0.45359237, "lb") if system == "us" else (1.0, "kg")
    if kg == 0:
        return f"0 {unit}"
    if kg < unit_kg:
        return f"{kg / 0.028349523125:.2f} oz" if system == "us" else f"{kg * 1000:.0f} g"
    value = kg / unit_kg
    return f"{value:,.{2 if value < 99.95 else 1 if value < 999.5 else 0}f} {unit}"


def _mass(kg: float, system: System) -> str:
    """Two decimals under one, one decimal under a hundred, none from there on."""
    value = kg / POUND_KG if system == "us" else kg
    return f"{value:,.{2 if 0.005 <= value < 0.995 else 1 if value < 99.95 else 0}f}"


def _rate(kg_per_m2: float, system: System) -> str:
    value, unit = (
        (kg_per_m2 * ACRE_M2 / POUND_KG, "lb/ac") if system == "us" else (kg_per_m2 * 1e4, "kg/ha")
    )
    return f"{value:,.{1 if value >= 0.995 else 2}f} {unit}"


def _section(plan: Plan, name: str, system: System = "us", *, labels: bool = False) -> list[list[str]]:
    """Rows of a section, cell by cell, blanks within cells kept."""
    page = seed_page(plan, "fields.zip", Quantities(system), labels=labels)
    text = page.partition(f"\n{name}\n")[2]
    text = re.split(r"\n\n[A-Z ]{4,}\n", text)[0]
    return [re.split(r" {2,}", line.strip()) for line in text.splitlines()]


def _are_there(rows: Iterable[list[str]], found: list[list[str]]) -> None:
    """Each row, in this order; cells that stand too close for two blanks are compared as text."""
    told = [" ".join(cells) for cells in found]
    at = -1
    for row in rows:
        at = told.index(" ".join(cell for cell in row if cell), at + 1)


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_order_is_in_whole_bags(restoration: Plan, system: System) -> None:
    """Sown, overage, what stays, need, bags, what they hold, what is left over, cost, and what a pound
    alive costs.
    """
    unit_kg = POUND_KG if system == "us" else 1.0
    rows = []
    for line in restoration.order:
        masses = (line.sown_kg, max(0.0, line.need_kg - line.sown_kg), line.residual_kg, line.need_kg)
        ordered_kg = line.bags * line.bag_kg
        price = (
            ["–", "–"]
            if line.price is None
            else [
                f"${line.price.per_kg * ordered_kg:,.2f}",
                f"${line.price.per_kg / line.pls_frac * unit_kg:,.2f}",
            ]
        )
        rows.append(
            [
                lot_name(line.species, line.lot),
                *(_mass(kg, system) for kg in masses),
                f"{line.bags} × {_mass(line.bag_kg, system)}",
                _mass(ordered_kg, system),
                _mass(ordered_kg - line.sown_kg, system),
                *price,
            ]
        )
    _are_there(rows, _section(restoration, "ORDER", system))


@pytest.mark.parametrize("system", ["us", "metric"])
def test_a_parcel_is_brought_what_it_needs(restoration: Plan, system: System) -> None:
    """Lot by lot: live, bulk, overage, what stays, what is carried on, and their sum."""
    rows = []
    for field in restoration.fields:
        for i, part in enumerate(field.deliveries):
            first = (
                [
                    f"{field.field.field_id} {field.field.name}"
                    if field.field.name
                    else field.field.field_id,
                    field.seed.mix,
                ]
                if i == 0
                else []
            )
            live = "–" if part.carrier else _weight(part.sown_pls_kg, system)
            masses = (part.sown_kg, part.overage_kg, part.residual_kg)
            later = (
                "–"
                if abs(part.carried_kg) < 1e-6
                else ("−" if part.carried_kg < 0 else "") + _weight(abs(part.carried_kg), system)
            )
            rows.append(
                [
                    *first,
                    lot_name(part.species, part.lot),
                    live,
                    *(_weight(kg, system) for kg in masses),
                    later,
                    _weight(part.need_kg, system),
                ]
            )
    _are_there(rows, _section(restoration, "DELIVERY", system))


@pytest.mark.parametrize("system", ["us", "metric"])
def test_boxes_are_told_by_what_the_drill_delivers(restoration: Plan, system: System) -> None:
    """Seed, carrier and both by area; a fill and what stays by weight; ground by the fill."""
    rows = {}
    for field in restoration.fields:
        for box in field.seed.boxes:
            load_kg_per_m2 = box.bulk_kg_per_m2 + box.carrier_kg_per_m2
            kg_per_m3 = load_kg_per_m2 / box.volume_m3_per_m2
            share = f"{100 * box.carrier_kg_per_m2 / load_kg_per_m2:.0f} %"
            fill_m2 = box.working_m3 / box.volume_m3_per_m2
            rows.setdefault(
                (field.seed.mix, box.box),
                [
                    field.seed.mix,
                    box.box,
                    _rate(box.bulk_kg_per_m2, system),
                    f"{_rate(box.carrier_kg_per_m2, system)} {box.carrier}, {share}"
                    if box.carrier_kg_per_m2
                    else "–",
                    _rate(load_kg_per_m2, system),
                    METRIC.volume_rate(box.volume_m3_per_m2)
                    if system == "metric"
                    else US.volume_rate(box.volume_m3_per_m2),
                    _mass(kg_per_m3 * box.working_m3, system),
                    f"{fill_m2 / ACRE_M2:,.1f} ac" if system == "us" else f"{fill_m2 / 1e4:,.1f} ha",
                    "swept" if box.swept else _mass(kg_per_m3 * box.min_m3, system),
                ],
            )
    assert any(row[3] != "–" for row in rows.values())
    _are_there(rows.values(), _section(restoration, "BOXES", system))


@pytest.mark.parametrize("system", ["us", "metric"])
def test_tags_are_told_as_shares_and_rates(restoration: Plan, system: System) -> None:
    """Live = pure × (germination + hard + dormant); seeds by the square foot or metre."""
    sown = {
        (field.seed.mix, c.species, c.lot): c
        for field in restoration.fields
        for box in field.seed.boxes
        for c in box.components
    }
    rows = []
    for mix in restoration.job.mixes:
        for component in mix.components:
            part = sown.get((mix.name, component.species, component.lot))
            if part is None:
                continue
            small_m2 = FOOT_M**2 if system == "us" else 1.0
            germ = (
                " + ".join(
                    f"{100 * frac:.4g}"
                    for frac in (component.germination_frac, component.hard_frac, component.dormant_frac)
                )
                + " %"
            )
            live = component.purity_frac * (
                component.germination_frac + component.hard_frac + component.dormant_frac
            )
            rows.append(
                [
                    lot_name(component.species, component.lot),
                    component.box,
                    f"{100 * component.purity_frac:.1f} %",
                    germ,
                    f"{100 * live:.1f} %",
                    _rate(part.pls_kg_per_m2, system),
                    "–"
                    if (size := seeds_per_kg_of(component)) is None
                    else f"{part.pls_kg_per_m2 * size * small_m2:.1f}",
                    _rate(part.bulk_kg_per_m2, system),
                ]
            )
    told = [" ".join(cells) for cells in _section(restoration, "TAGS", system)]
    assert restoration.job.working.sowings == 1
    for mix in restoration.job.mixes:
        seeds = f"{stand_of(mix).seeds_per_m2 * (FOOT_M**2 if system == 'us' else 1.0):.1f}"
        assert any("all" in line and f" {seeds} " in line for line in told), mix.name
    assert all(any(line.endswith(" ".join(row)) for line in told) for row in rows)
    assert len(rows) > 5


@pytest.mark.parametrize("system", ["us", "metric"])
def test_where_seed_ends_is_told_against_what_is_planned(restoration: Plan, system: System) -> None:
    """The parcel, the lot and the ground there, or that it lasts; then what all bags would sow."""
    unit_m2 = ACRE_M2 if system == "us" else 1e4
    rows = []
    for run_out in restoration.run_outs:
        end = run_out.ends
        ends = ["–", "enough", "–"]
        if end is not None:
            after = f"{end.sown_m2 / unit_m2:,.2f} of {end.of_m2 / unit_m2:,.2f}"
            ends = [end.field_id, f"{end.species} ({end.lot})", after]
        rows.append(
            [
                f"+{100 * run_out.heavy_frac:.0f} %",
                f"{run_out.fill_m2 / unit_m2:,.1f}",
                *ends,
                f"{min(run_out.seed_m2, run_out.planned_m2) / unit_m2:,.1f}",
                f"{run_out.planned_m2 / unit_m2:,.1f}",
            ]
        )
    told = [" ".join(cells) for cells in _section(restoration, "IF IT SOWS HEAVY", system)]
    assert [line.endswith(" ".join(row)) for line, row in zip(told[1:], rows, strict=False)] == [
        True
    ] * len(rows)
    first = restoration.run_outs[0]
    assert any(line.startswith(f"{first.mix} {first.box} +10 %") for line in told)


def test_each_load_is_told_lot_by_lot(restoration: Plan) -> None:
    """The first loads of the first parcel, in pounds or ounces, from bags."""
    one = restoration.fields[0]
    bag_kg = {(line.species, line.lot): line.bag_kg for line in restoration.order}
    told = [" ".join(cells) for cells in _section(restoration, "LOADING")]
    for box in one.seed.boxes:
        for part in box.portions(one.supply.first_load_kg[box.box]):
            bags = from_bags(part, bag_kg.get((part.species, part.lot)), US)
            row = [
                lot_name(part.species, part.lot),
                _weight(part.bulk_kg, "us"),
                bags,
                "–" if part.carrier else _weight(part.pls_kg, "us"),
            ]
            assert any(line.endswith(" ".join(row)) for line in told), row


def _portion(kg: float, *, carrier: bool = False) -> Portion:
    return Portion(
        species="hulls" if carrier else "oats",
        lot="" if carrier else "7",
        bulk_kg=kg,
        pls_kg=0.0 if carrier else 0.8 * kg,
        carrier=carrier,
    )


@pytest.mark.parametrize(
    ("kg", "bag_kg", "told"),
    [
        (60.0, 25.0, "2 bags + 10.00 kg"),
        (50.0, 25.0, "2 bags + 0 kg"),
        (50.0 + 1e-9, 25.0, "2 bags + 0 kg"),
        (24.0, 25.0, "24.00 kg"),
        (24.0, None, "–"),
    ],
)
def test_a_portion_is_whole_bags_and_the_rest(kg: float, bag_kg: float | None, told: str) -> None:
    """Without a bag there is nothing to count."""
    assert from_bags(_portion(kg), bag_kg, METRIC) == told


@pytest.mark.parametrize(
    ("kg", "told"), [(0.0, "–"), (9e-7, "–"), (12.0, "12.00 kg"), (-12.0, "−12.00 kg"), (2e-3, "2 g")]
)
def test_what_is_carried_on_has_a_minus_where_it_was_put_in_before(kg: float, told: str) -> None:
    """Less than a milligram is nothing."""
    part = Delivery(
        field_id="f",
        species="a",
        lot="",
        sown_kg=1.0,
        overage_kg=0.0,
        residual_kg=0.0,
        sown_pls_kg=1.0,
        carried_kg=kg,
    )
    assert carried(part, METRIC) == told


@pytest.mark.parametrize(
    ("kind", "kg", "told"),
    [
        ("in the box", 12.0, "grain box: leave in about 12.00 kg of the same seed."),
        (
            "empty first",
            12.0,
            "grain box: empty it first, to the last meter; weigh, bag and label about 12.00 kg of wet; clean the box.",
        ),
        (
            "empty first",
            0.0,
            "grain box: sweep wet out of it first, to the last meter, and clean it. None should be left: bag what there is.",
        ),
        ("set again", 0.0, "grain box: set it for wet and calibrate again."),
        (
            "empty last",
            12.0,
            "grain box: in the end empty it to the last meter; weigh, bag and label about 12.00 kg of wet.",
        ),
        (
            "empty last",
            0.0,
            "grain box: in the end sweep wet out of it, to the last meter. None should be left: bag what there is.",
        ),
        ("tip back", 12.0, "grain box: pour back about 12.00 kg that you emptied from it before."),
    ],
)
def test_what_to_do_to_a_box(kind: str, kg: float, told: str) -> None:
    """In a sentence of its own each."""
    assert changed(BoxChange(box="grain", kind=kind, mix="wet", kg=kg), METRIC) == told  # type: ignore[arg-type]


def _label(plan: Plan, **changes: object) -> str:
    """Of 60 kg oats, 48 of them alive, and 3 kg hulls: batch 2 of 3."""
    batch = Batch(
        field_id="f",
        mix="m",
        box="grain",
        number=2,
        of=3,
        portions=(_portion(60.0), _portion(3.0, carrier=True)),
    )
    return "\n".join(label(Label(plan.fields[0], replace(batch, **changes)), "label 1 of 9", METRIC, 0.001))  # type: ignore[arg-type]


def test_a_label_says_what_is_in_the_bag(restoration: Plan) -> None:
    """Two decimals each: the lot with what of it is alive, the carrier, and the sums."""
    text = _label(restoration)
    assert "grain box, batch 2 of 3, for stop 1" in text
    assert "mix: m   label 1 of 9" in text
    assert "|    60.00 kg  oats (7)  PLS 48.00 kg " in text
    assert "|     3.00 kg  hulls: mix in well " in text
    assert "|    63.00 kg  in all; seed 60.00 kg, PLS 48.00 kg " in text
    assert "TREATED" not in text


def test_a_label_says_what_it_is_for(restoration: Plan) -> None:
    """The start, a stop, or to be kept; one lot alone needs no sum; treated seed is told."""
    assert "batch 1 of 3, for the start" in _label(restoration, number=1)
    assert "grain box, spare, keep dry" in _label(restoration, spare=True)
    assert "in all" not in _label(restoration, portions=(_portion(60.0),))
    assert "TREATED SEED: read the tag" in _label(restoration, treated=True)


def test_every_batch_has_its_label(restoration: Plan) -> None:
    """Numbered through all parcels; only where they are asked for."""
    n = sum(len(field.batches) for field in restoration.fields)
    page = seed_page(restoration, "fields.zip", US, labels=True)
    assert re.findall(r"label (\d+) of (\d+)", page) == [(f"{k}", f"{n}") for k in range(1, n + 1)]
    assert "LABELS" not in seed_page(restoration, "fields.zip", US, labels=False)


def test_the_object_says_the_same_in_si(restoration: Plan) -> None:
    """Sums of the object are those of the plan."""
    made = seed_object(restoration)
    order, parcels, carriers, run_outs = made["order"], made["parcels"], made["carriers"], made["run_outs"]
    assert isinstance(order, list)
    assert isinstance(parcels, list)
    for line, one in zip(order, restoration.order, strict=True):
        assert line["need_kg"] == pytest.approx(line["sown_kg"] + line["overage_kg"])
        assert line["ordered_kg"] == pytest.approx(line["bags"] * line["bag_kg"])
        assert line["left_over_kg"] == pytest.approx(line["ordered_kg"] - line["sown_kg"])
        assert line["cost"] == (
            None if one.price is None else pytest.approx(one.price.per_kg * line["ordered_kg"])
        )
        brought = sum(
            part["need_kg"]
            for parcel in parcels
            for part in parcel["deliveries"]
            if (part["species"], part["lot"]) == (one.species, one.lot)
        )
        assert brought == pytest.approx(line["need_kg"])
        bagged = [
            p
            for parcel in parcels
            for batch in parcel["batches"]
            for p in batch["portions"]
            if (p["species"], p["lot"]) == (one.species, one.lot)
        ]
        assert sum(p["bulk_kg"] for p in bagged) == pytest.approx(brought)
    assert carriers == [
        {"name": carrier.name, "kg": carrier.kg, "m3": carrier.m3} for carrier in restoration.carriers
    ]
    for made_of, run_out in zip(run_outs, restoration.run_outs, strict=True):
        end = run_out.ends
        assert (made_of["mix"], made_of["box"]) == (run_out.mix, run_out.box)
        assert [made_of[key] for key in ("heavy_frac", "planned_m2", "fill_m2", "seed_m2")] == [
            run_out.heavy_frac,
            run_out.planned_m2,
            run_out.fill_m2,
            run_out.seed_m2,
        ]
        assert made_of["ends"] == (
            None
            if end is None
            else {
                "field_id": end.field_id,
                "species": end.species,
                "lot": end.lot,
                "sown_m2": end.sown_m2,
                "of_m2": end.of_m2,
            }
        )
    assert [parcel["field_id"] for parcel in parcels] == [
        field.field.field_id for field in restoration.fields
    ]
