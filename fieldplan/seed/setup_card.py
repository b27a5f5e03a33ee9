"""The set-up card of a mix on a drill: fixed steps from the tables, and those that depend on drill, seed and tractor."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fieldplan.errors import InputError
from fieldplan.model.budget import BoxBudget
from fieldplan.model.card import Card, CardStep, Caution
from fieldplan.model.machine import Drill, Tractor
from fieldplan.model.seed import Component, Mix
from fieldplan.seed.budget import seed_budget
from fieldplan.seed.calibration import catch_kg, charted, charted_setting
from fieldplan.seed.depth import depths_of, notches
from fieldplan.tables import read as tables
from fieldplan.units import FOOT_M, POUND_KG

PARTS = (
    "Hitch",
    "Road",
    "Level",
    "Openers",
    "Boxes",
    "Depth",
    "Settings",
    "Fill",
    "Prime",
    "Calibrate",
    "First rounds",
    "Clean out",
)
"""The order of the work."""


def setup_card(drill: Drill, tractor: Tractor, mix: Mix, sowings: int) -> Card:
    """The card: every step in the order of the work, with what it takes to set this drill for this mix, and the cautions.

    Parameters
    ----------
    sowings
        Times the field is sown, each at its share of the rate.
    """
    budget = seed_budget("", mix, drill, 0.0, sowings)
    steps = [
        *_fixed(),
        *_hitch(drill, tractor),
        *_depth(drill, mix),
        *_settings(drill, mix, budget.boxes),
        *_calibrate(drill, budget.boxes),
    ]
    cautions = tuple(_cautions(drill, mix))
    cited = [*(step.source for step in steps), *(caution.source for caution in cautions)]
    keys = {key for source in cited for key in source.split(", ") if key not in ("", "practice")}
    return Card(
        drill=drill.name,
        mix=mix.name,
        tractor=_tractor(tractor),
        tractor_values={} if tractor.pto_power_w is None else {"power_w": tractor.pto_power_w},
        steps=tuple(sorted(steps, key=lambda step: PARTS.index(step.part))),
        cautions=cautions,
        sources=tuple(tables.source(key) for key in sorted(keys)),
    )


def _tractor(tractor: Tractor) -> str:
    parts = [
        "{power_w} at the shaft" if tractor.pto_power_w else "",
        f"{tractor.remotes} pair(s) of rear remotes" if tractor.remotes is not None else "",
        str(tractor.hitch or ""),
        tractor.drive,
    ]
    return ", ".join(part for part in parts if part)


def _fixed() -> Iterator[CardStep]:
    for row in tables.rows("setup_steps"):
        text, values = tables.with_values(row["text"])
        yield CardStep(part=row["part"], text=text, values=values, blank=row["blank"], source=row["source"])


def _hitch(drill: Drill, tractor: Tractor) -> Iterator[CardStep]:
    if tractor.remotes == 0 and drill.min_remotes != 0:
        text = "The tractor has no rear remotes: find out how this drill is lifted before you hitch it"
        yield CardStep(part="Hitch", text=text)
    if drill.weight_kg is not None:
        text = "The drill weighs {drill_kg:0}: what pulls it must also stop it"
        yield CardStep(part="Road", text=text, values={"drill_kg": drill.weight_kg}, source="practice")


def _depth(drill: Drill, mix: Mix) -> Iterator[CardStep]:
    """Depth per species, the shallowest that wins, in notches."""
    known, lacking = depths_of(mix)
    for one in known:
        depth = "{most_small_m}" if one.least_m == one.most_m else "{least_small_m..most_small_m}"
        values = {"least_small_m": one.least_m, "most_small_m": one.most_m}
        yield CardStep(part="Depth", text=f"{one.species}: {depth}", values=values, source=one.source)
    if lacking:
        yield CardStep(part="Depth", text=f"not in the table, ask the seed supplier: {', '.join(lacking)}", blank="depth")
    if known:
        most = min(one.most_m for one in known)
        n = notches(most, drill.notch_depth_m)
        deepest = "the shallowest setting there is" if n == 0 else f"{n} notch(es) of {{notch_small_m}}"
        yield CardStep(
            part="Depth",
            text=f"Set no deeper than {{most_small_m}}, for the species that stands least of those in the table: {deepest}; every row the same",
            values={"most_small_m": most, "notch_small_m": drill.notch_depth_m},
            blank="notch",
            source="practice",
        )


def _settings(drill: Drill, mix: Mix, boxes: Sequence[BoxBudget]) -> Iterator[CardStep]:
    by_name = {box.name: box for box in drill.boxes}
    for box in boxes:
        own = by_name[box.box]
        components = [one for one in mix.components if one.box == box.box]
        yield CardStep(
            part="Settings",
            text=f"{box.box} box: {_charted(drill, components, box)}",
            values={"load_kg_per_m2": box.load_kg_per_m2},
            blank="range, setting",
        )
        if own.kind != "native" and (gate := _gate(components)):
            yield CardStep(part="Settings", text=f"{box.box} box: {gate}", blank="gate", source="practice")
        drive = f"the {own.drive} drive" if own.drive else "its own drive"
        yield CardStep(part="Settings", text=f"{box.box} box: engage {drive}, or nothing falls from it", source="practice")
        usable_m3 = own.volume_m3 * own.usable_frac
        values = {"usable_frac": own.usable_frac, "usable_box_m3": usable_m3, "usable_kg": usable_m3 * box.load_kg_per_m3,
                  "carrier_frac": box.carrier_frac}  # fmt: skip
        kind = {
            "native": "; agitators free, graphite as the manual says: native seed bridges without it",
            "small": f"; its seed falls {own.lands or 'as a rule behind the openers, on the surface: look'}",
            "grain": f"; its seed falls {own.lands}" if own.lands else "",
        }[own.kind]
        carrier = f", mixed with {{carrier_frac}} {box.carrier} by weight" if box.carrier_kg_per_m2 else ""
        text = f"{box.box} box: fill line at {{usable_frac}} of it, {{usable_box_m3}}, {{usable_kg:0}}{carrier}{kind}"
        yield CardStep(part="Fill", text=text, values=values, source="practice" if own.kind != "grain" else "")
    idle = [box.name for box in drill.boxes if box.name not in {one.box for one in boxes}]
    if idle:
        yield CardStep(part="Settings", text=f"not used: {', '.join(idle)}; drive off, shut and empty")


def _charted(drill: Drill, components: Sequence[Component], box: BoxBudget) -> str:
    """The setting that the rate chart gives for what the box sows, or that it gives none."""
    rate = "{load_kg_per_m2}"
    if len(components) > 1 or box.carrier_kg_per_m2:
        return f"{rate} of the mix: a chart for one seed does not hold for it, start low and calibrate"
    if not any(one.seed.casefold() == components[0].species.casefold() for one in drill.chart):
        return f"{rate}: no rate chart for it in the job file, start from the maker's"
    try:
        lines = charted(drill.chart, components[0].species, None)
        setting = charted_setting(lines, box.load_kg_per_m2)
    except InputError as error:
        return f"{rate}: {error.problems[0].text}; start from the maker's chart"
    gear = f"range {lines[0].gear_range}, " if lines[0].gear_range else ""
    return f"{rate}: {gear}setting {setting:.3g} by the rate chart, which only gets one close"


def _gate(components: Sequence[Component]) -> str:
    """Seed-gate notch by the size of the largest seed (common practice, no source)."""
    seeds_per_lb = []
    for one in components:
        figure = tables.species_figure(one.species, "seeds per pound")
        if one.seeds_per_kg is not None:
            seeds_per_lb.append(one.seeds_per_kg * POUND_KG)
        elif figure and not figure.unfit:
            seeds_per_lb.append(figure.value)
    sizes = [(int(row["notch"]), float(row["least_seeds_per_lb"]), row["like"]) for row in tables.rows("seed_gates")]
    if not seeds_per_lb:
        return ""
    notch, _, like = next(size for size in sizes if min(seeds_per_lb) >= size[1])
    return f"seed gate at notch {notch}, for seed {like}"


def _calibrate(drill: Drill, boxes: Sequence[BoxBudget]) -> Iterator[CardStep]:
    wheel = {"wheel_catch_per_m": 1 / drill.wheel_circumference_m} if drill.wheel_circumference_m else {}
    turns = " or {wheel_catch_per_m} turns of the drive wheel without slip" if wheel else ""
    for box in boxes:
        row_kg_per_m = catch_kg(box.load_kg_per_m2, drill.row_spacing_m, 1.0)
        yield CardStep(
            part="Calibrate",
            text=(
                f"{box.box} box: catch {{row_catch_kg_per_m}} a row, {{drill_catch_kg_per_m}} from all {drill.rows}, over {{catch}}{turns}; "
                "three times, then set again (fieldplan calibrate)"
            ),
            values={"row_catch_kg_per_m": row_kg_per_m, "drill_catch_kg_per_m": row_kg_per_m * drill.rows, **wheel},
            blank="g caught 1, 2, 3",
            source="vce-418-121",
        )


def _cautions(drill: Drill, mix: Mix) -> Iterator[Caution]:
    """Those that always hold, and those that this drill and this seed bring."""
    widest_ft, _, _ = tables.machinery_range("road width without being a wide load", "ft")
    holds = {
        "always": True,
        "wide": (drill.transport_width_m or drill.effective_width_m) > widest_ft * FOOT_M,
        "dust": True,
        "treated": any(one.treated for one in mix.components),
    }
    for row in tables.rows("cautions"):
        if holds[row["when"]]:
            text, values = tables.with_values(row["text"])
            yield Caution(text=text, values=values, source=row["source"])
