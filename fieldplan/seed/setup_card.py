"""The set-up card: fixed steps from the tables, and steps that depend on the drill, seed and tractor."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fieldplan.errors import InputError
from fieldplan.facts import Fact, TableSentence, Value, fact
from fieldplan.model.budget import BoxBudget
from fieldplan.model.card import Card, CardStep, Caution
from fieldplan.model.machine import Drill, SeedBox, Tractor
from fieldplan.model.seed import Component, Mix
from fieldplan.seed.budget import seed_budget
from fieldplan.seed.calibration import catch_kg, charted, charted_setting
from fieldplan.seed.depth import depths_of, notches
from fieldplan.tables import read as tables
from fieldplan.tables.columns import CARD_PARTS
from fieldplan.units import POUND_KG


def setup_card(drill: Drill, tractor: Tractor, mix: Mix, sowings: int) -> Card:
    """The set-up card of one mix on one drill.

    Its steps are in the order of the work, with the figures for setting this drill to this mix. The
    cautions are those that always hold and those that this drill and seed add.

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
        steps=tuple(sorted(steps, key=lambda step: CARD_PARTS.index(step.part))),
        cautions=cautions,
        sources=tuple(tables.source(key) for key in sorted(keys)),
    )


def _tractor(tractor: Tractor) -> Fact:
    parts: list[Value] = []
    if tractor.pto_power_w:
        parts.append(fact("tractor-power", power_w=tractor.pto_power_w))
    if tractor.remotes is not None:
        parts.append(fact("tractor-remotes", n_remotes=tractor.remotes))
    written = (str(tractor.hitch or ""), tractor.drive)
    return fact("tractor", parts=(*parts, *(part for part in written if part)))


def _fixed() -> Iterator[CardStep]:
    for row in tables.rows("setup_steps"):
        yield CardStep(
            part=row["part"],
            says=TableSentence(*tables.with_values(row["text"])),
            blank=row["blank"],
            source=row["source"],
        )


def _hitch(drill: Drill, tractor: Tractor) -> Iterator[CardStep]:
    if tractor.remotes == 0 and drill.min_remotes != 0:
        yield CardStep(part="Hitch", says=fact("step-no-remotes"))
    if drill.weight_kg is not None:
        yield CardStep(part="Road", says=fact("step-weight", drill_kg=drill.weight_kg), source="practice")


def _depth(drill: Drill, mix: Mix) -> Iterator[CardStep]:
    """The depth of each species, then the shallowest in notches: it sets the drill."""
    known, unknown = depths_of(mix)
    for depth in known:
        says = fact(
            "step-depth", species=depth.species, least_small_m=depth.min_m, most_small_m=depth.max_m
        )
        yield CardStep(part="Depth", says=says, source=depth.source)
    if unknown:
        yield CardStep(part="Depth", says=fact("step-depth-unknown", species=unknown), blank="depth")
    if known:
        max_m = min(depth.max_m for depth in known)
        n_notches = notches(max_m, drill.notch_depth_m)
        says = fact(
            "step-notches" if n_notches else "step-notches/none",
            most_small_m=max_m,
            n_notches=n_notches,
            notch_small_m=drill.notch_depth_m,
        )
        yield CardStep(part="Depth", says=says, blank="notch", source="practice")


def _settings(drill: Drill, mix: Mix, boxes: Sequence[BoxBudget]) -> Iterator[CardStep]:
    for box in boxes:
        seed_box = next(of_drill for of_drill in drill.boxes if of_drill.name == box.box)
        components = [component for component in mix.components if component.box == box.box]
        yield CardStep(part="Settings", says=_charted(drill, components, box), blank="range, setting")
        if seed_box.kind != "native" and (seeds_per_lb := _largest_seed_per_lb(components)) is not None:
            notch, like, source = tables.seed_gate(seeds_per_lb)
            gate = fact("step-gate", box=box.box, n_notch=notch, like=like)
            yield CardStep(part="Settings", says=gate, blank="gate", source=source)
        says = fact("step-drive/own", box=box.box)
        if seed_box.drive:
            says = fact("step-drive", box=box.box, drive=seed_box.drive)
        yield CardStep(part="Settings", says=says, source="practice")
        source = "" if seed_box.kind == "grain" else "practice"
        yield CardStep(part="Fill", says=_fill(seed_box, box), source=source)
    idle = tuple(box.name for box in drill.boxes if box.name not in {box.box for box in boxes})
    if idle:
        yield CardStep(part="Settings", says=fact("step-boxes-idle", boxes=idle))


def _fill(seed_box: SeedBox, box: BoxBudget) -> Fact:
    """How far a box may be filled, with what, and where its seed falls."""
    usable_m3 = seed_box.volume_m3 * seed_box.usable_frac
    lands: Value = seed_box.lands or (fact("surface-as-a-rule") if seed_box.kind == "small" else "")
    return fact(
        "step-fill/native" if seed_box.kind == "native" else "step-fill",
        box=box.box,
        usable_frac=seed_box.usable_frac,
        usable_box_m3=usable_m3,
        usable_kg=usable_m3 * box.load_kg_per_m3,
        carrier_frac=box.carrier_frac,
        carrier=box.carrier if box.carrier_kg_per_m2 else "",
        lands=lands,
    )


def _charted(drill: Drill, components: Sequence[Component], box: BoxBudget) -> Fact:
    """The setting that the rate chart gives for the load rate of a box, or why it gives none."""
    load: dict[str, Value] = {"box": box.box, "load_kg_per_m2": box.load_kg_per_m2}
    if len(components) > 1 or box.carrier_kg_per_m2:
        return Fact("step-setting/mix", load)
    if not any(point.seed.casefold() == components[0].species.casefold() for point in drill.chart):
        return Fact("step-setting/uncharted", load)
    try:
        lines = charted(drill.chart, components[0].species, None)
        setting = charted_setting(lines, box.load_kg_per_m2)
    except InputError as error:
        return Fact("step-setting/no-answer", {**load, "why": error.problems[0].as_fact()})
    return Fact("step-setting", {**load, "gear_range": lines[0].gear_range, "chart_setting": setting})


def _largest_seed_per_lb(components: Sequence[Component]) -> float | None:
    """Seeds per pound of the largest seed, which sets the seed gate; ``None`` if no size is known."""
    seeds_per_lb = []
    for component in components:
        figure = tables.species_figure(component.species, "seeds per pound")
        if component.seeds_per_kg is not None:
            seeds_per_lb.append(component.seeds_per_kg * POUND_KG)
        elif figure and not figure.unfit:
            seeds_per_lb.append(figure.value)
    return min(seeds_per_lb, default=None)


def _calibrate(drill: Drill, boxes: Sequence[BoxBudget]) -> Iterator[CardStep]:
    turns: Value = 1 / drill.wheel_circumference_m if drill.wheel_circumference_m else ""
    for box in boxes:
        row_kg_per_m = catch_kg(box.load_kg_per_m2, drill.row_spacing_m, 1.0)
        says = fact(
            "step-catch",
            box=box.box,
            row_catch_kg_per_m=row_kg_per_m,
            drill_catch_kg_per_m=row_kg_per_m * drill.rows,
            n_rows=drill.rows,
            wheel_catch_per_m=turns,
        )
        yield CardStep(part="Calibrate", says=says, blank="g caught 1, 2, 3", source="vce-418-121")


def _cautions(drill: Drill, mix: Mix) -> Iterator[Caution]:
    """Cautions that always hold, and those that this drill and seed add."""
    widest_m, _ = tables.machinery_figure("road width without being a wide load", "m")
    holds = {
        "always": True,
        "wide": (drill.transport_width_m or drill.effective_width_m) > widest_m,
        "treated": any(component.treated for component in mix.components),
    }
    for row in tables.rows("cautions"):
        if holds[row["when"]]:
            yield Caution(says=TableSentence(*tables.with_values(row["text"])), source=row["source"])
