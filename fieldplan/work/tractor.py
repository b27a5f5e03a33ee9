"""Whether a tractor will do for a drill: power, hydraulics, hitch, road and slope, each with the source of its limit.

What the drill itself asks for, as its owner posts it, comes before ranges that were published for drills of its width.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fieldplan.model.cost import OWN_NEED, TractorCheck
from fieldplan.model.machine import Drill, Hitch, Tractor
from fieldplan.tables import read as tables
from fieldplan.units import FOOT_M, HORSEPOWER_W, MPH_M_PER_S

_W_PER_M = HORSEPOWER_W / FOOT_M
"""Tables give power in hp a foot of drill."""


def tractor_checks(
    drill: Drill,
    tractor: Tractor,
    towing_speed_m_per_s: float,
    slopes: Sequence[tuple[str, float]],
    gates: Sequence[tuple[str, float]] = (),
) -> tuple[TractorCheck, ...]:
    """Pass, warn, fail or ask, a line each.

    Parameters
    ----------
    slopes
        Fields with the slope that the job file gives, as a fraction.
    gates
        Fields with the width of their gate, in m.
    """
    return (
        power_check(drill, tractor),
        _hydraulics(drill, tractor),
        _hitch(drill.hitch, tractor.hitch),
        _ballast(drill),
        *_road(drill, towing_speed_m_per_s),
        *_gates(drill, gates),
        *_slope(slopes),
    )


def power_check(drill: Drill, tractor: Tractor) -> TractorCheck:
    """Power against what the drill asks for or, where that is not known, against what is published for its width."""
    have_w = tractor.pto_power_w
    return _power_published(drill, have_w) if drill.min_pto_power_w is None else _power_asked(drill.min_pto_power_w, have_w)


def _power_asked(need_w: float, have_w: float | None) -> TractorCheck:
    values = {"need_w": need_w}
    if have_w is None:
        return TractorCheck(
            about="power", verdict="ask", text="not said; the drill asks for {need_w}", source=OWN_NEED, values=values
        )
    enough = have_w >= need_w * (1 - 1e-9)
    word = "is enough: the drill asks for {need_w}" if enough else "is less than the {need_w:1} that the drill asks for"
    have = "{have_w}" if enough else "{have_w:1}"
    return TractorCheck(about="power", verdict="pass" if enough else "fail", source=OWN_NEED,
                        text=f"{have} {word}", values=values | {"have_w": have_w})  # fmt: skip


def _power_published(drill: Drill, have_w: float | None) -> TractorCheck:
    """Tractor size by the width of drill, and what the drill takes up: two different numbers."""
    low, high, source = tables.machinery_range("tractor size for a no-till drill", "hp/ft")
    takes_low, takes_high, takes_source = tables.machinery_range("power a seeder takes up", "hp/ft")
    a_m = drill.effective_width_m * _W_PER_M
    values = {"drill_width_m": drill.effective_width_m, "least_w": low * a_m, "most_w": high * a_m,
              "takes_least_w": takes_low * a_m, "takes_most_w": takes_high * a_m}  # fmt: skip
    size = (
        f"a no-till drill {{drill_width_m:1}} wide goes with {{least_w}} to {{most_w}} (source: {source}); it takes up about "
        f"{{takes_least_w}} to {{takes_most_w}} of that (source: {takes_source})"
    )
    if have_w is None:
        return TractorCheck(about="power", verdict="ask", text=f"not said; {size}", source=source, values=values)
    values["have_w"] = have_w
    if have_w >= values["least_w"] * (1 - 1e-9):
        return TractorCheck(about="power", verdict="pass", text=f"{{have_w}} is enough: {size}", source=source, values=values)
    if have_w >= values["takes_most_w"]:
        text = f"{{have_w}} may pull it on flat firm ground and not uphill: {size}"
        return TractorCheck(about="power", verdict="warn", text=text, source=source, values=values)
    text = f"{{have_w}} is less than the drill itself takes up: {size}"
    return TractorCheck(about="power", verdict="fail", text=text, source=source, values=values)


def _hydraulics(drill: Drill, tractor: Tractor) -> TractorCheck:
    if drill.min_remotes is None:
        least, need, source = 1, "drills are lifted by one pair of rear remotes, two hoses", "mn-drill-clean"
    else:
        least, source = drill.min_remotes, OWN_NEED
        need = f"the drill asks for {least} pair(s) of rear remotes" if least else "the drill asks for none"
    if tractor.remotes is None:
        return TractorCheck(about="hydraulics", verdict="ask", text=f"not said; {need}", source=source)
    have = f"{tractor.remotes} pair(s)" if tractor.remotes else "no rear remotes"
    return TractorCheck(
        about="hydraulics", verdict="pass" if tractor.remotes >= least else "fail", text=f"{have}; {need}", source=source
    )


def _hitch(need: Hitch | None, have: Hitch | None) -> TractorCheck:
    """The kind of hitch first, then the category of its pins."""
    source = "practice" if need is None else OWN_NEED
    asks = (
        "drills are pulled by a pin on the drawbar, unless drill.hitch says otherwise"
        if need is None
        else f"the drill asks for a {need}"
    )
    if have is None:
        if need is None:
            most_hp, _, source = tables.machinery_range("drawbar of category 2 or less", "hp")
            text = "not said; a pin hitch on the drawbar, category 2 or less up to about {most_w}: match drawbar, pin and clevis"
            return TractorCheck(about="hitch", verdict="ask", text=text, source=source, values={"most_w": most_hp * HORSEPOWER_W})
        return TractorCheck(about="hitch", verdict="ask", text=f"not said; {asks}", source=source)
    if have.kind != ("drawbar" if need is None else need.kind):
        return TractorCheck(about="hitch", verdict="fail", text=f"a {have}: {asks}", source=source)
    if need is None or need.category is None:
        text = f"a {have}: match its category with the drill's own"
        return TractorCheck(about="hitch", verdict="pass", text=text, source="osu-pins" if need is None else source)
    if have.category is None:
        return TractorCheck(about="hitch", verdict="ask", text=f"a {have}, its category not said; {asks}", source=source)
    if have.category == need.category:
        return TractorCheck(about="hitch", verdict="pass", text=f"a {have}; {asks}", source=source)
    small = have.category < need.category
    text = f"a {have}; {asks}: " + ("its pins are too small" if small else "bushings or another pin must take up the difference")
    return TractorCheck(about="hitch", verdict="fail" if small else "warn", text=text, source=source)


def _ballast(drill: Drill) -> TractorCheck:
    weight = "" if drill.weight_kg is None else " ({weight_kg} in all)"
    return TractorCheck(
        about="ballast", verdict="ask", source="practice", values={} if drill.weight_kg is None else {"weight_kg": drill.weight_kg},
        text=f"by the tractor's manual for the drill's weight on it{weight}; too little weight in front and steering goes light",
    )  # fmt: skip


def _road(drill: Drill, towing_speed_m_per_s: float) -> Iterator[TractorCheck]:
    limit_ft, _, source = tables.machinery_range("road width without being a wide load", "ft")
    values = {"limit_m": limit_ft * FOOT_M}
    if drill.transport_width_m is None:
        text = "transport width not said; over {limit_m:1} is a wide load in many places: measure gates and bridges too"
        yield TractorCheck(about="road width", verdict="ask", text=text, source=source, values=values)
    else:
        over = drill.transport_width_m > values["limit_m"] * (1 + 1e-9)
        text = f"{{transport_m:1}}, {'over' if over else 'within'} {{limit_m:1}}; state rules differ; measure gates and bridges"
        values["transport_m"] = drill.transport_width_m
        yield TractorCheck(about="road width", verdict="warn" if over else "pass", text=text, source=source, values=values)
    top_mph, _, source = tables.machinery_range("towing speed", "mph")
    top = top_mph * MPH_M_PER_S
    fast = towing_speed_m_per_s > top * (1 + 1e-9)
    yield TractorCheck(
        about="towing", verdict="warn" if fast else "pass", source=source, values={"towing_m_per_s": towing_speed_m_per_s, "top_m_per_s": top},
        text=f"{{towing_m_per_s}}, {'over' if fast else 'within'} the {{top_m_per_s}} that a rental page allows",
    )  # fmt: skip


def _gates(drill: Drill, gates: Sequence[tuple[str, float]]) -> Iterator[TractorCheck]:
    """A gate must be wider than the drill on the road, or than its working width if that is all that is known."""
    needed_m = drill.transport_width_m or drill.effective_width_m
    for name, width_m in gates:
        fits = width_m > needed_m
        text = f"{name}: {{gate_m:1}}, {'wider' if fits else 'not wider'} than the drill's {{needed_m:1}}"
        text += "" if drill.transport_width_m else " of working width (transport width not said)"
        yield TractorCheck(about="gate", verdict="pass" if fits else "fail", text=text, source="practice",
                           values={"gate_m": width_m, "needed_m": needed_m})  # fmt: skip


def _slope(slopes: Sequence[tuple[str, float]]) -> Iterator[TractorCheck]:
    limit, _, source = tables.machinery_range("steepest ground to drill", "%")
    for name, slope in slopes:
        steep = slope * 100 >= limit
        text = f"{name}: {{slope_frac}}, {'at or over' if steep else 'under'} the {{limit_frac:1}} (3:1) where drills slide"
        yield TractorCheck(about="slope", verdict="fail" if steep else "pass", text=text, source=source,
                           values={"slope_frac": slope, "limit_frac": limit / 100})  # fmt: skip
