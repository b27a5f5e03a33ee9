"""Mixes and their seed lots from a job file; what a tag does not say comes from the species table, with a note."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

from fieldplan.errors import Problem
from fieldplan.jobfile.check import Checker, Placed, Table, made
from fieldplan.jobfile.plausible import MEANT, Spot
from fieldplan.jobfile.seed_bands import known_species, weigh_lot
from fieldplan.model.machine import Drill, SeedBox
from fieldplan.model.notes import Note
from fieldplan.model.seed import Carrier, Component, Mix, Price
from fieldplan.model.spelling import did_you_mean
from fieldplan.tables import read as tables
from fieldplan.units import ACRE_M2, BUSHEL_M3, POUND_KG


def mixes_of(given: list[Placed], path: Path, drill: Drill | None, checker: Checker) -> tuple[Mix, ...]:
    """The mixes that could be made; problems of the others are recorded."""
    if not given:
        checker.problems.append(Problem(code="table-missing", told=f"{path}: has no [[mix]].",
                                        told_hint="add what is to be sown; fieldplan init DIR shows how"))  # fmt: skip
    mixes = []
    for number, (table, source) in enumerate(given, start=1):
        label = f"mix {table.get('name', number)}"
        before = len(checker.problems)
        values = checker.values("mix", {k: v for k, v in table.items() if k != "component"}, source, label)
        rows = table.get("component", [])
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            checker.problems.append(Problem(code="not-a-table", told=f"{source}: [{label}] component is no list of tables.",
                                            told_hint="write [[mix.component]] above each component"))  # fmt: skip
            continue
        components = [_component(row, source, f"{label}, component {row.get('species', i)}", drill, checker,
                                 alone=len(rows) == 1) for i, row in enumerate(rows, start=1)]  # fmt: skip
        if len(checker.problems) > before:
            continue
        mix = made(checker, f"{source}: [{label}]", partial(Mix,
            name=values["name"], overage_frac=values["overage"], components=tuple(one for one in components if one),
        ))  # fmt: skip
        if mix:
            mixes.append(mix)
    return tuple(mixes)


def _component(table: Table, path: Path, label: str, drill: Drill | None, checker: Checker, *, alone: bool) -> Component | None:
    before = len(checker.problems)
    v = checker.values("mix.component", table, path, label)
    if "species" in v:
        v["species"] = tables.species_name(v["species"])
    where = f"{path}: [{label}]"
    spot = Spot(table="mix.component", label=label, where=where, meant=v[MEANT])
    if "species" in v:
        known_species(checker, spot, v["species"])
    box = _box(v, where, drill, checker) if drill and "species" in v else None
    if len(checker.problems) > before:
        return None
    seeds_per_lb = v.get("seeds_per_pound")
    full_stand_lb_per_ac = None
    if v["rate"].basis == "stand":
        full_stand_lb_per_ac = _from_species(
            v["species"], "full stand", where, "a rate in lb/ac PLS from your seed supplier instead", checker
        )
    if v["rate"].basis == "live seeds" and seeds_per_lb is None:
        seeds_per_lb = _from_species(
            v["species"], "seeds per pound", where, "seeds_per_pound from the tag or your seed supplier", checker
        )
    carrier = _carrier(v["carrier"], box, where, spot, table["carrier"], checker) if "carrier" in v else None
    if len(checker.problems) == before:
        weigh_lot(checker, spot, v, table, alone=alone)
    if len(checker.problems) > before:
        return None
    return made(checker, where, lambda: Component(
        species=v["species"], box=box.name if box else v.get("box", ""), rate=v["rate"], purity_frac=v["purity"],
        germination_frac=v["germination"], hard_frac=v["hard"], dormant_frac=v["dormant"], bulk_kg_per_m3=v["bulk_weight"],
        bag_kg=v["bag"], lot=v.get("lot", ""), seeds_per_kg=None if seeds_per_lb is None else seeds_per_lb / POUND_KG,
        full_stand_kg_per_m2=None if full_stand_lb_per_ac is None else full_stand_lb_per_ac * POUND_KG / ACRE_M2,
        coating_frac=v["coating"], inert_frac=v.get("inert"), other_crop_frac=v.get("other_crop"), weed_frac=v.get("weed_seed"),
        price=_price(v), tested=v.get("tested"), treated=v["treated"], carrier=carrier,
        meant=v[MEANT], unlikely=checker.unlikely(label),
    ))  # fmt: skip


def _box(v: dict[str, Any], where: str, drill: Drill, checker: Checker) -> SeedBox | None:
    """The box that was named, or the drill's box of the kind that the species usually goes in, with a note."""
    names = ", ".join(f'"{box.name}"' for box in drill.boxes) or "none"
    usual = tables.usual_box(v["species"])
    if "box" in v:
        box = drill.box(v["box"])
        if box is None:
            checker.problems.append(Problem(code="box-unknown", told=f'{where} box is "{v["box"]}", which the drill does not have.',
                                            told_hint=did_you_mean(v["box"], [box.name for box in drill.boxes]) + f"boxes of the drill: {names}"))  # fmt: skip
        elif usual and usual[0] != box.kind:
            text = f"{v['species']} goes in the {box.name} box, a {box.kind} box; it usually goes in a {usual[0]} box ({_said(usual[1])})."
            checker.notes.append(Note(code="box-unusual", told=text))
        return box
    fitting = [box for box in drill.boxes if usual and box.kind == usual[0]]
    if len(fitting) != 1 or usual is None:
        checker.problems.append(Problem(code="box-not-said", told=f"{where} box is missing, and the species table does not settle it.",
                                        told_hint=f"boxes of the drill: {names}"))  # fmt: skip
        return None
    checker.notes.append(Note(code="box-from-table", told=(
        f"{v['species']} goes in the {fitting[0].name} box, as it usually does ({_said(usual[1])}).")))  # fmt: skip
    return fitting[0]


def _said(source: str) -> str:
    return "common practice, no source" if source == "practice" else f"source: {source}"


def _carrier(
    given: tuple[str, float | None, float | None], box: SeedBox | None, where: str, spot: Spot, text: object, checker: Checker
) -> Carrier | None:
    name, weight, volume = given
    if weight is None:
        known = tables.carrier_lb_per_bu(name)
        if known is None:
            checker.problems.append(Problem(code="carrier-unknown", told=f'{where} carrier "{name}" has no known weight.',
                                            told_hint=did_you_mean(name, [row["carrier"] for row in tables.rows("carriers")]) + f'weigh a bucket, then such as carrier = "{name} at 9 lb/bu"'))  # fmt: skip
            return None
        value, low, high, source = known
        weight = value * POUND_KG / BUSHEL_M3
        values = {
            f"{key}_kg_per_m3": one * POUND_KG / BUSHEL_M3 for key, one in (("weight", value), ("low", low), ("high", high))
        }
        checker.notes.append(Note(code="table-value", values=values, told=(
            f"{name} weigh {{weight_kg_per_m3}} (published: {{low_kg_per_m3..high_kg_per_m3}}; source: {source}); a weighed bucket "
            "beats it.")))  # fmt: skip
    elif (published := tables.carrier_lb_per_bu(name)) is not None:
        times = weight * BUSHEL_M3 / POUND_KG / published[0]
        checker.weigh(spot, "carrier", "mix.component.bulk_weight over published", times, None, given=text,
                      about=f"weighs {times:.2g} times what is published")  # fmt: skip
    if volume is None and (box is None or box.metering_m3_per_m2 is None):
        checker.problems.append(Problem(
            code="carrier-to-what", told=f"{where} carrier does not say how much, and the box gives no metering range.",
            told_hint=f'such as carrier = "{name} to 2 bu/ac", or metering = ["1.5 bu/ac", "6 bu/ac"] of the box'))  # fmt: skip
        return None
    return made(checker, where, lambda: Carrier(name=name, bulk_kg_per_m3=weight, volume_m3_per_m2=volume))


def _price(v: dict[str, Any]) -> Price | None:
    if "price" not in v:
        return None
    amount, currency, kg = v["price"]
    return Price(per_kg=amount / (v["bag"] if kg is None else kg), currency=currency)


_SPECIES_FIGURES = {"seeds per pound": ("size_seeds_per_kg", 1 / POUND_KG, "size of its seed"),
                    "full stand": ("full_kg_per_m2", POUND_KG / ACRE_M2, "full stand, live seed")}  # fmt: skip
"""Figures of the species table by what they are of: the name of the value in SI, one of the table's units, and how it is called."""


def _from_species(species: str, quantity: str, where: str, example: str, checker: Checker) -> float | None:
    """A species figure, with a note that names its source and the range where sources differ; a problem if none is fit."""
    figure = tables.species_figure(species, quantity)
    if figure is None or figure.unfit:
        why = f"the species table has none that is fit: {figure.unfit}" if figure else "the species table lacks it"
        checker.problems.append(Problem(code="species-unknown", told=f'{where} needs {quantity} of "{species}", and {why}.',
                                        told_hint=f"give it: {example}"))  # fmt: skip
        return None
    name, one, called = _SPECIES_FIGURES[quantity]
    values = {name: figure.value * one, f"low_{name}": figure.low * one, f"high_{name}": figure.high * one}
    differ = "" if figure.low == figure.high else f"; published: {{low_{name}..high_{name}}}"
    sources = ", ".join(figure.sources)
    checker.notes.append(Note(code="table-value", values=values, told=(
        f"{species}: {{{name}}} ({called}{differ}; source: {sources}); the tag or a count beats it.")))  # fmt: skip
    return figure.value
