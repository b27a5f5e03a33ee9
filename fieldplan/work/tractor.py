"""Whether a tractor fits a drill: power, hydraulics, hitch, ballast, road, gates and slope.

Each check has the source of its limit. What the drill's owner asks for comes before the ranges published for
drills of its width.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fieldplan.facts import Fact, Value, fact
from fieldplan.model.cost import OWN_NEED, TractorCheck, Verdict
from fieldplan.model.machine import Drill, Hitch, Tractor
from fieldplan.tables import read as tables


def tractor_checks(
    drill: Drill,
    tractor: Tractor,
    towing_speed_m_per_s: float,
    slopes: Sequence[tuple[str, float]],
    gates: Sequence[tuple[str, float]] = (),
) -> tuple[TractorCheck, ...]:
    """All checks of a tractor and a drill, each with its verdict: pass, warn, fail or ask.

    Parameters
    ----------
    slopes
        Names of fields with the slope that the job file gives, as a fraction (rise over run).
    gates
        Names of fields with the width of their gate, in m.
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
    """The PTO power against what the drill asks for or, where that is not known, published ranges.

    Published needs = power per width (rows of ``tables/machinery.csv``, each with its source) × effective
    width of the drill.
    """
    have_w = tractor.pto_power_w
    if drill.min_pto_power_w is None:
        return _power_published(drill, have_w)
    return _power_asked(drill.min_pto_power_w, have_w)


def _power_asked(need_w: float, have_w: float | None) -> TractorCheck:
    if have_w is None:
        return _check("power", "ask", fact("tractor-power/asked-not-said", need_w=need_w), OWN_NEED)
    if have_w >= need_w * (1 - 1e-9):
        text = fact("tractor-power/asked-enough", need_w=need_w, have_w=have_w)
        return _check("power", "pass", text, OWN_NEED)
    text = fact("tractor-power/asked-too-little", need_w=need_w, have_w=have_w)
    return _check("power", "fail", text, OWN_NEED)


def _power_published(drill: Drill, have_w: float | None) -> TractorCheck:
    """The tractor size recommended for the width, and the power that the drill itself takes: two figures."""
    low, high, size_source = tables.machinery_range("tractor size for a no-till drill", "w/m")
    takes_low, takes_high, takes_source = tables.machinery_range("power a seeder takes up", "w/m")
    width_m = drill.effective_width_m
    min_w, takes_max_w = low * width_m, takes_high * width_m
    size: dict[str, Value] = {
        "drill_width_m": width_m,
        "least_w": min_w,
        "most_w": high * width_m,
        "takes_least_w": takes_low * width_m,
        "takes_most_w": takes_max_w,
        "size_source": size_source,
        "takes_source": takes_source,
    }
    sources = (size_source, takes_source)
    if have_w is None:
        return _check("power", "ask", fact("tractor-power/not-said", **size), *sources)
    if have_w >= min_w * (1 - 1e-9):
        return _check("power", "pass", fact("tractor-power/enough", have_w=have_w, **size), *sources)
    if have_w >= takes_max_w:
        return _check("power", "warn", fact("tractor-power/not-uphill", have_w=have_w, **size), *sources)
    return _check("power", "fail", fact("tractor-power/too-little", have_w=have_w, **size), *sources)


def _hydraulics(drill: Drill, tractor: Tractor) -> TractorCheck:
    minimum, have = drill.min_remotes, tractor.remotes
    source = "mn-drill-clean" if minimum is None else OWN_NEED
    need = fact("remotes-needed/usual")
    if minimum is not None:
        need = fact("remotes-needed", n_least=minimum) if minimum else fact("remotes-needed/none")
    if have is None:
        return _check("hydraulics", "ask", fact("tractor-hydraulics/not-said", need=need), source)
    verdict: Verdict = "pass" if have >= (1 if minimum is None else minimum) else "fail"
    text = fact("tractor-hydraulics/none", need=need)
    if have:
        text = fact("tractor-hydraulics", n_remotes=have, need=need)
    return _check("hydraulics", verdict, text, source)


def _hitch(need: Hitch | None, have: Hitch | None) -> TractorCheck:
    """The kind of hitch first, then the category of its pins."""
    if need is None:
        return _hitch_usual(have)
    asked = fact("hitch-needed", hitch=str(need))
    if have is None:
        return _check("hitch", "ask", fact("tractor-hitch/not-said", need=asked), OWN_NEED)
    if have.kind != need.kind:
        text = fact("tractor-hitch/other-kind", have=str(have), need=asked)
        return _check("hitch", "fail", text, OWN_NEED)
    if need.category is None:
        return _check("hitch", "pass", fact("tractor-hitch/match-category", have=str(have)), OWN_NEED)
    if have.category is None:
        text = fact("tractor-hitch/category-not-said", have=str(have), need=asked)
        return _check("hitch", "ask", text, OWN_NEED)
    if have.category == need.category:
        return _check("hitch", "pass", fact("tractor-hitch/same", have=str(have), need=asked), OWN_NEED)
    if have.category < need.category:
        text = fact("tractor-hitch/small-pins", have=str(have), need=asked)
        return _check("hitch", "fail", text, OWN_NEED)
    return _check("hitch", "warn", fact("tractor-hitch/large-pins", have=str(have), need=asked), OWN_NEED)


def _hitch_usual(have: Hitch | None) -> TractorCheck:
    """The hitch for a drill that asks for none in particular: a pin on the drawbar."""
    if have is None:
        max_w, source = tables.machinery_figure("drawbar of category 2 or less", "w")
        return _check("hitch", "ask", fact("tractor-hitch/usual-not-said", most_w=max_w), source)
    if have.kind != "drawbar":
        text = fact("tractor-hitch/other-kind", have=str(have), need=fact("hitch-needed/usual"))
        return _check("hitch", "fail", text, "practice")
    return _check("hitch", "pass", fact("tractor-hitch/match-category", have=str(have)), "osu-pins")


def _ballast(drill: Drill) -> TractorCheck:
    weight = {} if drill.weight_kg is None else {"weight_kg": drill.weight_kg}
    return _check("ballast", "ask", fact("tractor-ballast", **weight), "practice")


def _road(drill: Drill, towing_speed_m_per_s: float) -> Iterator[TractorCheck]:
    limit_m, source = tables.machinery_figure("road width without being a wide load", "m")
    width_m = drill.transport_width_m
    if width_m is None:
        yield _check("road width", "ask", fact("tractor-road/not-said", limit_typed_m=limit_m), source)
    else:
        wide = width_m > limit_m * (1 + 1e-9)
        text = fact(
            "tractor-road/over" if wide else "tractor-road/within",
            limit_typed_m=limit_m,
            transport_typed_m=width_m,
        )
        yield _check("road width", "warn" if wide else "pass", text, source)
    top_m_per_s, source = tables.machinery_figure("towing speed", "m/s")
    fast = towing_speed_m_per_s > top_m_per_s * (1 + 1e-9)
    text = fact(
        "tractor-towing/over" if fast else "tractor-towing/within",
        towing_m_per_s=towing_speed_m_per_s,
        top_m_per_s=top_m_per_s,
    )
    yield _check("towing", "warn" if fast else "pass", text, source)


def _gates(drill: Drill, gates: Sequence[tuple[str, float]]) -> Iterator[TractorCheck]:
    """A gate must be wider than the drill: its transport width or, if unknown, its working width."""
    needed_m = drill.transport_width_m or drill.effective_width_m
    kind = {} if drill.transport_width_m else {"of": fact("gate-needed/working-width")}
    for name, width_m in gates:
        fits = width_m > needed_m
        text = fact(
            "tractor-gate/wider" if fits else "tractor-gate/not-wider",
            field=name,
            gate_typed_m=width_m,
            needed_typed_m=needed_m,
            **kind,
        )
        yield _check("gate", "pass" if fits else "fail", text, "practice")


def _slope(slopes: Sequence[tuple[str, float]]) -> Iterator[TractorCheck]:
    limit, source = tables.machinery_figure("steepest ground to drill", "%")
    for name, slope in slopes:
        steep = slope * 100 >= limit
        text = fact(
            "tractor-slope/steep" if steep else "tractor-slope/under",
            field=name,
            slope_frac=slope,
            limit_frac=limit / 100,
        )
        yield _check("slope", "fail" if steep else "pass", text, source)


def _check(about: str, verdict: Verdict, text: Fact, *sources: str) -> TractorCheck:
    return TractorCheck(about=about, verdict=verdict, text=text, sources=sources)
