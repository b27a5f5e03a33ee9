"""The set-up card: fixed steps from the tables, and steps that depend on the drill, seed and tractor."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from fieldplan.errors import InputError
from fieldplan.facts import Fact, Measure, TableSentence, Value, fact
from fieldplan.model.budget import BoxBudget, TreatedSeed
from fieldplan.model.card import Card, CardStep, Caution
from fieldplan.model.depth import BoxDepth
from fieldplan.model.machine import ChartPoint, Drill, SeedBox, Tractor
from fieldplan.model.seed import Component, Mix
from fieldplan.seed.budget import seed_budget
from fieldplan.seed.calibration import catch_kg, charted, charted_setting
from fieldplan.seed.depth import box_depths, depths_of, notches, seeds_per_lb, setting_of
from fieldplan.seed.stand import stand_of
from fieldplan.tables import read as tables
from fieldplan.tables.columns import CARD_PARTS
from fieldplan.tables.species import placement

LESS_FRAC = 0.01
"""A load that is less than what a box may hold by no more than this fills it."""


def setup_card(
    drill: Drill,
    tractor: Tractor,
    mix: Mix,
    sowings: int,
    *,
    highest_kg: Mapping[str, float] | None = None,
    treated: Sequence[TreatedSeed] = (),
) -> Card:
    """The set-up card of one mix on one drill.

    Its steps are in the order of the work, with the figures for setting this drill to this mix. The
    cautions are those that always hold and those that this drill and seed add.

    Parameters
    ----------
    sowings
        Times the field is sown, each at its share of the rate.
    highest_kg
        By box, the most that a plan ever has in it: the fill line is no higher than that. Without a plan it
        is what the box may hold.
    treated
        Treated seed that earlier fields left in boxes.
    """
    budget = seed_budget("", mix, drill, 0.0, sowings)
    steps = [
        *_fixed(),
        *_hitch(drill, tractor),
        *_depth(drill, mix),
        *_settings(drill, mix, budget.boxes, highest_kg or {}),
        *_held(treated),
        *_calibrate(drill, budget.boxes),
    ]
    cautions = tuple(_cautions(drill, mix, treated))
    cited = [*(step.source for step in steps), *(caution.source for caution in cautions)]
    keys = {key for source in cited for key in source.split(", ") if key not in ("", "practice")}
    return Card(
        drill=drill.name,
        mix=mix.name,
        tractor=_tractor(tractor),
        stand=_stand(mix),
        steps=tuple(sorted(steps, key=lambda step: CARD_PARTS.index(step.part))),
        cautions=cautions,
        sources=tuple(tables.source(key) for key in sorted(keys)),
        letterhead=drill.letterhead,
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
    if drill.transport_width_m is None:
        yield CardStep(
            part="Road", says=fact("step-road-width"), blank="width on the road", source="practice"
        )
    if drill.weight_kg is not None:
        yield CardStep(part="Road", says=fact("step-weight", drill_kg=drill.weight_kg), source="practice")


def _depth(drill: Drill, mix: Mix) -> Iterator[CardStep]:
    """What is published, then the depth of each box by its finest species; the shallowest sets the openers."""
    known, unknown = depths_of(mix)
    published = [
        fact("depth-of", species=depth.species, least_small_m=depth.min_m, most_small_m=depth.max_m)
        for depth in known
    ]
    keys = [key for depth in known for key in depth.source.split(", ")]
    for name in unknown:
        found = placement(name)
        if found is not None and found[0] == "surface":
            published.append(fact("depth-of/surface", species=name))
            keys += found[1]
    if published:
        source = ", ".join(dict.fromkeys(keys))
        yield CardStep(part="Depth", says=fact("step-depth", depths=tuple(published)), source=source)
    boxes = box_depths(mix, drill)
    for box in boxes:
        blank = "depth" if box.asked else ""
        yield CardStep(part="Depth", says=_of_box(box), blank=blank, source=", ".join(box.sources))
    setting = setting_of(boxes)
    if setting is not None and setting.most_m is not None:
        n_notches = notches(setting.most_m, drill.notch_depth_m)
        asked = dict.fromkeys(name for box in boxes if not box.on_surface for name in (box.asked or ()))
        says = fact(
            "step-notches" if n_notches else "step-notches/none",
            most_small_m=setting.most_m,
            species=setting.sets_it,
            box=setting.box,
            n_notches=n_notches,
            notch_small_m=drill.notch_depth_m,
            asked=tuple(asked),
        )
        yield CardStep(part="Depth", says=says, blank="notch", source="practice")


def _of_box(box: BoxDepth) -> Fact:
    values: dict[str, Value] = {
        "box": box.box,
        "finest": box.finest,
        "count": "" if box.seeds_per_kg is None else Measure(box.seeds_per_kg, "_seeds_per_kg"),
        "asked": box.asked,
    }
    if box.on_surface:
        return Fact("step-box-depth/surface", values)
    if box.depth_m is None:
        limit: dict[str, Value] = {"limit": "", "limit_small_m": ""}
        if box.limit is not None:
            limit = {"limit": box.limit.species, "limit_small_m": box.limit.max_m}
        return Fact("step-box-depth/asked", {**values, **limit})
    case = "step-box-depth/fine" if box.fine else "step-box-depth"
    return Fact(case, {**values, "most_small_m": box.depth_m})


def _stand(mix: Mix) -> Fact | None:
    """How many live seeds the mix sows in all, to hold against what is seen behind the drill."""
    stand = stand_of(mix)
    if stand.seeds_per_m2 <= 0:
        return None
    return fact("card-stand", sown_seeds_per_m2=stand.seeds_per_m2, unsized=stand.unsized)


def _settings(
    drill: Drill, mix: Mix, boxes: Sequence[BoxBudget], highest_kg: Mapping[str, float]
) -> Iterator[CardStep]:
    for box in boxes:
        seed_box = next(of_drill for of_drill in drill.boxes if of_drill.name == box.box)
        components = [component for component in mix.components if component.box == box.box]
        yield CardStep(part="Settings", says=_holds(box))
        lines = _chart_of(drill, mix, components, box)
        yield CardStep(part="Settings", says=_charted(lines, components, box), blank="range, setting")
        yield from _gate(lines, components, seed_box)
        says = fact("step-drive/own", box=box.box)
        if seed_box.drive:
            says = fact("step-drive", box=box.box, drive=seed_box.drive)
        yield CardStep(part="Settings", says=says, source="practice")
        source = "" if seed_box.kind == "grain" else "practice"
        yield CardStep(part="Fill", says=_fill(seed_box, box, highest_kg.get(box.box)), source=source)
        yield _placement(seed_box)
    idle = tuple(box.name for box in drill.boxes if box.name not in {box.box for box in boxes})
    if idle:
        yield CardStep(part="Settings", says=fact("step-boxes-idle", boxes=idle))


def _holds(box: BoxBudget) -> Fact:
    """Which lots go in a box, by their share of its weight."""
    lots = [
        fact(
            "step-holds-lot",
            species=part.species,
            lot=part.lot,
            of_box_frac=part.bulk_kg_per_m2 / box.load_kg_per_m2,
            treated=fact("step-holds-treated") if part.treated else "",
        )
        for part in box.components
    ]
    if box.carrier_kg_per_m2:
        lots.append(
            fact(
                "step-holds-lot",
                species=box.carrier,
                lot="",
                of_box_frac=box.carrier_frac,
                treated="",
            )
        )
    return fact("step-holds", box=box.box, lots=tuple(lots))


def _gate(
    lines: Sequence[ChartPoint], components: Sequence[Component], seed_box: SeedBox
) -> Iterator[CardStep]:
    """The seed gate by the drill's own chart or, without one, as drills with a gate of three steps have it."""
    gates = tuple(dict.fromkeys(line.gate for line in lines if line.gate))
    if gates:
        says = fact("step-gate/charted", box=seed_box.name, gates=gates)
        yield CardStep(part="Settings", says=says, blank="gate")
        return
    largest = _largest_seed_per_lb(components)
    if seed_box.kind == "native" or largest is None:
        return
    notch, like, source = tables.seed_gate(largest)
    gate = fact("step-gate", box=seed_box.name, n_notch=notch, like=like)
    yield CardStep(part="Settings", says=gate, blank="gate", source=source)


def _fill(seed_box: SeedBox, box: BoxBudget, highest_kg: float | None) -> Fact:
    """How far a box may be filled, and the largest load that the job has in it, where that is less."""
    usable_m3 = seed_box.volume_m3 * seed_box.usable_frac
    most_m3 = math.inf if highest_kg is None else highest_kg / box.load_kg_per_m3
    most: dict[str, Value] = {}
    if most_m3 < usable_m3 * (1 - LESS_FRAC):
        most = {
            "most_frac": most_m3 / seed_box.volume_m3,
            "most_box_m3": most_m3,
            "most_kg": most_m3 * box.load_kg_per_m3,
        }
    return fact(
        "step-fill/native" if seed_box.kind == "native" else "step-fill",
        box=box.box,
        line_frac=usable_m3 / seed_box.volume_m3,
        line_box_m3=usable_m3,
        line_kg=usable_m3 * box.load_kg_per_m3,
        **most,
    )


def _placement(seed_box: SeedBox) -> CardStep:
    """Where the seed of a box falls, if the job file says; else a line to write it down."""
    if seed_box.lands:
        return CardStep(part="Fill", says=fact("step-lands", box=seed_box.name, lands=seed_box.lands))
    return CardStep(
        part="Fill", says=fact("step-lands/unknown", box=seed_box.name), blank="falls", source="practice"
    )


def _held(treated: Sequence[TreatedSeed]) -> Iterator[CardStep]:
    """Treated seed of earlier fields: where it is, and that the box is cleaned out first."""
    for one in treated:
        yield CardStep(part="Boxes", says=fact("step-treated-held", held=one.says), source="fsa-treated")


def _chart_of(drill: Drill, mix: Mix, components: Sequence[Component], box: BoxBudget) -> list[ChartPoint]:
    """The chart's lines for a box: of its one species or, with several lots or a carrier, of the mix."""
    one = len(components) == 1 and not box.carrier_kg_per_m2
    name = (components[0].species if one else mix.name).casefold()
    return [point for point in drill.chart if point.seed.casefold() == name and point.box in ("", box.box)]


def _charted(chart: Sequence[ChartPoint], components: Sequence[Component], box: BoxBudget) -> Fact:
    """The setting that the rate chart gives for the load rate of a box, or why it gives none."""
    load: dict[str, Value] = {"box": box.box, "load_kg_per_m2": box.load_kg_per_m2}
    if not chart:
        several = len(components) > 1 or box.carrier_kg_per_m2
        return Fact("step-setting/mix" if several else "step-setting/uncharted", load)
    try:
        lines = charted(chart, chart[0].seed, None)
        setting = charted_setting(lines, box.load_kg_per_m2)
    except InputError as error:
        return Fact("step-setting/no-answer", {**load, "why": error.problems[0].as_fact()})
    return Fact("step-setting", {**load, "gear_range": lines[0].gear_range, "chart_setting": setting})


def _largest_seed_per_lb(components: Sequence[Component]) -> float | None:
    """Seeds per pound of the largest seed, which sets the seed gate; ``None`` if no size is known."""
    sizes = (seeds_per_lb(component) for component in components)
    return min((size for size in sizes if size is not None), default=None)


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


def _cautions(drill: Drill, mix: Mix, treated: Sequence[TreatedSeed]) -> Iterator[Caution]:
    """Cautions that always hold, and those that this drill and seed add."""
    widest_m, _ = tables.machinery_figure("road width without being a wide load", "m")
    holds = {
        "always": True,
        "wide": drill.transport_width_m is not None and drill.transport_width_m > widest_m,
        "treated": bool(treated) or any(component.treated for component in mix.components),
        "treated-unsaid": any(component.treated is None for component in mix.components),
        "backing": True,
    }
    for row in tables.rows("cautions"):
        if holds[row["when"]]:
            yield Caution(says=TableSentence(*tables.with_values(row["text"])), source=row["source"])
