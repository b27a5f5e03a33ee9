"""Whether a tractor will do for a drill: power, hydraulics, hitch, road and slope, each with the source of its limit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fieldplan.model.cost import TractorCheck
from fieldplan.model.machine import Drill, Tractor
from fieldplan.tables import read as tables
from fieldplan.units import FOOT_M, HORSEPOWER_W, MPH_M_PER_S


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
        *_power(drill, tractor),
        *_hydraulics(tractor),
        *_road(drill, towing_speed_m_per_s),
        *_gates(drill, gates),
        *_slope(slopes),
    )


def _power(drill: Drill, tractor: Tractor) -> Iterator[TractorCheck]:
    """Tractor size by the foot of drill, and what the drill takes up: two different numbers."""
    feet = drill.effective_width_m / FOOT_M
    low, high, source = tables.machinery_range("tractor size for a no-till drill")
    absorbed_low, absorbed_high, absorbed_source = tables.machinery_range("power a seeder takes up")
    size = f"a {feet:.1f} ft no-till drill goes with {low * feet:.0f} to {high * feet:.0f} hp (source: {source}; 75 hp for 12 ft is common practice, no source)"
    takes = f"it takes up about {absorbed_low * feet:.0f} to {absorbed_high * feet:.0f} hp of that (source: {absorbed_source})"
    if tractor.pto_power_w is None:
        yield TractorCheck(about="power", verdict="ask", text=f"not said; {size}; {takes}", source=source)
        return
    have = tractor.pto_power_w / HORSEPOWER_W
    if have >= low * feet:
        verdict, word = "pass", "is enough"
    elif have >= absorbed_high * feet:
        verdict, word = "warn", "may pull it on flat firm ground and not uphill"
    else:
        verdict, word = "fail", "is less than the drill itself takes up"
    yield TractorCheck(about="power", verdict=verdict, text=f"{have:.0f} hp {word}: {size}; {takes}", source=source)  # type: ignore[arg-type]


def _hydraulics(tractor: Tractor) -> Iterator[TractorCheck]:
    need = "drills are lifted by one pair of rear remotes, two hoses"
    if tractor.remotes is None:
        yield TractorCheck(about="hydraulics", verdict="ask", text=f"not said; {need}", source="mn-drill-clean")
    elif tractor.remotes == 0:
        yield TractorCheck(about="hydraulics", verdict="fail", text=f"no rear remotes; {need}", source="mn-drill-clean")
    else:
        yield TractorCheck(about="hydraulics", verdict="pass", text=f"{tractor.remotes} pair(s); {need}", source="mn-drill-clean")
    if tractor.hitch is None:
        text = "not said; a pin hitch on the drawbar, category 2 or less up to about 150 hp: match drawbar, pin and clevis"
        yield TractorCheck(about="hitch", verdict="ask", text=text, source="osu-pins")
    else:
        ball = "ball" in tractor.hitch.casefold()
        text = f"{tractor.hitch}: " + (
            "a pin hitch is asked for, not a ball" if ball else "match its category with the drill's clevis"
        )
        yield TractorCheck(about="hitch", verdict="fail" if ball else "pass", text=text, source="osu-pins")
    yield TractorCheck(
        about="ballast", verdict="ask", source="practice",
        text="by the tractor's manual for the drill's weight on the drawbar; too little weight in front and steering goes light",
    )  # fmt: skip


def _road(drill: Drill, towing_speed_m_per_s: float) -> Iterator[TractorCheck]:
    limit, _, source = tables.machinery_range("road width without being a wide load")
    width_ft = None if drill.transport_width_m is None else drill.transport_width_m / FOOT_M
    if width_ft is None:
        text = f"transport width not said; over {limit:g} ft is a wide load in many places: measure gates and bridges too"
        yield TractorCheck(about="road width", verdict="ask", text=text, source=source)
    else:
        over = width_ft > limit
        text = f"{width_ft:.1f} ft, {'over' if over else 'within'} {limit:g} ft; state rules differ; measure gates and bridges"
        yield TractorCheck(about="road width", verdict="warn" if over else "pass", text=text, source=source)
    top, _, source = tables.machinery_range("towing speed")
    mph = towing_speed_m_per_s / MPH_M_PER_S
    fast = mph > top * (1 + 1e-9)
    yield TractorCheck(
        about="towing", verdict="warn" if fast else "pass", source=source,
        text=f"{mph:.0f} mph, {'over' if fast else 'within'} the {top:.0f} mph that a rental page allows",
    )  # fmt: skip


def _gates(drill: Drill, gates: Sequence[tuple[str, float]]) -> Iterator[TractorCheck]:
    """A gate must be wider than the drill on the road, or than its working width if that is all that is known."""
    needed_m = drill.transport_width_m or drill.effective_width_m
    for name, width_m in gates:
        fits = width_m > needed_m
        text = (
            f"{name}: {width_m / FOOT_M:.1f} ft, {'wider' if fits else 'not wider'} than the drill's {needed_m / FOOT_M:.1f} ft"
        )
        text += "" if drill.transport_width_m else " of working width (transport width not said)"
        yield TractorCheck(about="gate", verdict="pass" if fits else "fail", text=text, source="practice")


def _slope(slopes: Sequence[tuple[str, float]]) -> Iterator[TractorCheck]:
    limit, _, source = tables.machinery_range("steepest ground to drill")
    for name, slope in slopes:
        steep = slope * 100 >= limit
        text = f"{name}: {slope * 100:.0f} %, {'at or over' if steep else 'under'} the {limit:g} % (3:1) where drills slide"
        yield TractorCheck(about="slope", verdict="fail" if steep else "pass", text=text, source=source)
