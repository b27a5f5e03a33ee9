"""Mixes and seed lots of a job file; what a tag lacks comes from the species table, with a note."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

from fieldplan.errors import Problem, Where
from fieldplan.facts import Measure, TableSentence, Value, fact
from fieldplan.jobfile.check import Checker, Placed, Table, made
from fieldplan.jobfile.plausible import MEANT, Spot
from fieldplan.jobfile.rates import WRITTEN
from fieldplan.jobfile.seed_bands import judge_lot
from fieldplan.jobfile.tag import ask_form, name_kind, published_counts, settle_viability
from fieldplan.model.machine import Drill, SeedBox
from fieldplan.model.notes import Note
from fieldplan.model.seed import Carrier, Component, Mix, Price
from fieldplan.model.spelling import nearest
from fieldplan.tables import read as tables
from fieldplan.tables.species import species_figure, usual_box
from fieldplan.units import ACRE_M2, BUSHEL_M3, POUND_KG


def mixes_of(given: list[Placed], path: Path, drill: Drill | None, checker: Checker) -> tuple[Mix, ...]:
    """Return the mixes of a job file that are without problems; those of the others are recorded.

    Parameters
    ----------
    given
        The tables under ``[[mix]]``.
    path
        The job file.
    drill
        The drill whose boxes take the seed, if it could be read.
    checker
        Takes problems and notes.
    """
    if not given:
        checker.problem("table-missing/mix", file=str(path))
    mixes = []
    for number, (table, source) in enumerate(given, start=1):
        label = f"mix {table.get('name', number)}"
        before = len(checker.problems)
        values = checker.values("mix", {k: v for k, v in table.items() if k != "component"}, source, label)
        rows = table.get("component", [])
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            where: Where = {"file": str(source), "about": f"[{label}]"}
            checker.problem(
                "not-a-table/list", key="component", head="[[mix.component]]", each="component", **where
            )
            continue
        components = []
        for place, row in enumerate(rows, start=1):
            row_label = f"{label}, component {row.get('species', place)}"
            components.append(component_of(row, source, row_label, drill, checker, alone=len(rows) == 1))
        if len(checker.problems) > before:
            continue
        mix = made(
            checker,
            {"file": str(source), "about": f"[{label}]"},
            partial(
                Mix,
                name=values["name"],
                overage_frac=values["overage"],
                components=tuple(component for component in components if component),
            ),
        )
        if mix:
            mixes.append(mix)
    return tuple(mixes)


def component_of(
    table: Table, path: Path, label: str, drill: Drill | None, checker: Checker, *, alone: bool
) -> Component | None:
    """Return one lot of a mix with its rate and its tag, or ``None`` with its problems recorded.

    Parameters
    ----------
    table
        Its table under ``[[mix.component]]``.
    label
        What messages call it.
    drill
        The drill whose boxes take the seed, if it is known.
    alone
        Whether the mix has no other.
    """
    before = len(checker.problems)
    v = checker.values("mix.component", table, path, label)
    spot = Spot(table="mix.component", label=label, path=path, meant=v[MEANT])
    if "species" in v:
        name_kind(v, spot, checker)
    box = _box(v, spot, drill, checker) if drill and "species" in v else None
    if len(checker.problems) > before:
        return None
    unsaid = settle_viability(v, table, spot, checker)
    seeds_per_lb, counts = v.get("seeds_per_pound"), None
    needed, full_rate = WRITTEN[v["rate"].basis].figure, None
    if needed == "full seeding rate":
        full_rate = _from_species(v, needed, spot, checker)
    counted = needed == "seeds per pound" and seeds_per_lb is None
    lacks_form = seeds_per_lb is None and ask_form(v, spot, checker, counted=counted)
    if counted and not lacks_form:
        seeds_per_lb, counts = _from_species(v, needed, spot, checker), published_counts(v)
    carrier = _carrier(v["carrier"], box, spot, table["carrier"], checker) if "carrier" in v else None
    if len(checker.problems) == before:
        judge_lot(checker, spot, v, table, alone=alone)
    if len(checker.problems) > before:
        return None
    return made(
        checker,
        spot.where,
        lambda: Component(
            species=v["species"],
            box=box.name if box else v.get("box", ""),
            rate=v["rate"],
            purity_frac=v["purity"],
            germination_frac=v["germination"],
            hard_frac=v["hard"],
            dormant_frac=v["dormant"],
            bulk_kg_per_m3=v["bulk_weight"],
            bag_kg=v["bag"],
            lot=v.get("lot", ""),
            seeds_per_kg=None if seeds_per_lb is None else seeds_per_lb / POUND_KG,
            full_rate_kg_per_m2=None if full_rate is None else full_rate * POUND_KG / ACRE_M2,
            coating_frac=v["coating"],
            inert_frac=v.get("inert"),
            other_crop_frac=v.get("other_crop"),
            weed_frac=v.get("weed_seed"),
            price=_price(v),
            tested=v.get("tested"),
            treated=v["treated"] if "treated" in table else None,
            carrier=carrier,
            variety=v.get("variety", ""),
            form=v["form"],
            seeds_per_kg_range=counts,
            tz_frac=v.get("tz"),
            tz_tested=v.get("tz_tested"),
            origin=v.get("origin", ""),
            noxious=v.get("noxious", ()),
            unsaid=unsaid,
            meant=v[MEANT],
            unlikely=checker.unlikely(label),
        ),
    )


def _box(v: dict[str, Any], spot: Spot, drill: Drill, checker: Checker) -> SeedBox | None:
    """Return the box that was named, or with a note the drill's box of the kind that suits the species."""
    names = tuple(box.name for box in drill.boxes)
    usual = usual_box(v["species"])
    if "box" in v:
        box = drill.box(v["box"])
        if box is None:
            near = nearest(v["box"], names) or ""
            checker.problem(
                "box-unknown/drill", key="box", given=v["box"], near=near, boxes=names, **spot.where
            )
        elif usual and usual[0] != box.kind:
            values = {"species": v["species"], "box": box.name, "kind": box.kind, "usual": usual[0]}
            checker.notes.append(Note(code="box-unusual", values=values, sources=(usual[1],)))
        return box
    fitting = [box for box in drill.boxes if usual and box.kind == usual[0]]
    if len(fitting) != 1 or usual is None:
        checker.problem("box-not-said/table", key="box", boxes=names, **spot.where)
        return None
    values = {"species": v["species"], "box": fitting[0].name}
    checker.notes.append(Note(code="box-from-table", values=values, sources=(usual[1],)))
    return fitting[0]


def _carrier(
    given: tuple[str, float | None, float | None],
    box: SeedBox | None,
    spot: Spot,
    text: object,
    checker: Checker,
) -> Carrier | None:
    name, weight, volume = given
    if weight is None:
        known = tables.carrier_lb_per_bu(name)
        if known is None:
            near = nearest(name, [row["carrier"] for row in tables.rows("carriers")]) or ""
            checker.problem("carrier-unknown", key="carrier", carrier=name, near=near, **spot.where)
            return None
        value, low, high, source = known
        weight = value * POUND_KG / BUSHEL_M3
        figures = {"weight": value, "low": low, "high": high}
        weights = {f"{key}_kg_per_m3": figure * POUND_KG / BUSHEL_M3 for key, figure in figures.items()}
        checker.notes.append(
            Note(code="table-value", case="carrier", values={"carrier": name, **weights}, sources=(source,))
        )
    elif (published := tables.carrier_lb_per_bu(name)) is not None:
        times = weight * BUSHEL_M3 / POUND_KG / published[0]
        makes = fact("makes/carrier-weight", times_plain=times)
        band = "mix.component.bulk_weight over published"
        checker.judge(spot, "carrier", band, times, None, given=text, makes=makes)
    if volume is None and (box is None or box.metering_m3_per_m2 is None):
        checker.problem("carrier-to-what", key="carrier", carrier=name, **spot.where)
        return None
    return made(
        checker, spot.where, lambda: Carrier(name=name, bulk_kg_per_m3=weight, volume_m3_per_m2=volume)
    )


def _price(v: dict[str, Any]) -> Price | None:
    if "price" not in v:
        return None
    amount, currency, kg = v["price"]
    return Price(per_kg=amount / (v["bag"] if kg is None else kg), currency=currency)


_FIGURES = {
    "seeds per pound": ("seed-size", "_seeds_per_kg", 1 / POUND_KG),
    "full seeding rate": ("full-stand", "_kg_per_m2", POUND_KG / ACRE_M2),
}
"""Figures of the species table: the case of its note, the ending of its name, and the factor to SI."""


def _from_species(v: dict[str, Any], quantity: str, spot: Spot, checker: Checker) -> float | None:
    """Return a figure of the species table and note its source; record a problem if none can be used."""
    case, ending, factor = _FIGURES[quantity]
    species = v["species"]
    figure = species_figure(species, quantity, variety=v.get("variety", ""), form=v["form"])
    if figure is None or figure.unfit:
        values: dict[str, Value] = {
            "species": species,
            "unfit": TableSentence(figure.unfit) if figure else "",
        }
        checker.problems.append(Problem(code="species-unknown", case=case, values=values, **spot.where))
        return None
    low, high = (Measure(value * factor, ending) for value in (figure.low, figure.high))
    range_ = {} if figure.low == figure.high else {"low": low, "high": high}
    values = {"species": species, "figure": Measure(figure.value * factor, ending), **range_}
    checker.notes.append(Note(code="table-value", case=case, values=values, sources=figure.sources))
    return figure.value
