"""Variants of a job kept side by side: their tables, the figures that their plans came to, and how these differ."""

from __future__ import annotations

import hashlib
import pickle
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from fieldplan.model.plan import Plan
from fieldplan.report.data.compare import compare_object
from fieldplan.report.words.hours import hours
from fieldplan.report.words.money_and_places import money_range
from fieldplan.report.words.numbers import percent
from fieldplan.report.words.quantities import Quantities
from fieldplan.web.draft import Draft

MOST_KEPT = 3
LONGEST_NAME = 60
Variant = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Row:
    """One figure of all that are compared: what it is called, and for each the figure and its difference from the first."""

    called: str
    cells: tuple[tuple[str, str], ...]


def figures_of(plan: Plan) -> dict[str, Any]:
    """The figures of a plan that variants are compared by, in SI: those of ``fieldplan compare``, and the seed to buy."""
    shown = compare_object([("", plan)])["plans"]
    assert isinstance(shown, list)
    bought = {"seed_kg": sum(line.need_kg for line in plan.order), "bags": plan.bags}
    return {key: value for key, value in {**shown[0], **bought}.items() if key not in ("plan", "warnings")}


def variant(name: str, draft: Draft, plan: Plan) -> dict[str, Any]:
    """A variant to keep: the tables as JSON can hold them, and the figures of their plan on this ground.

    Parameters
    ----------
    name
        What the person calls it.
    draft
        What was planned.
    plan
        The plan of it.
    """
    return {
        "name": name[:LONGEST_NAME],
        "tables": plain(draft.tables),
        "figures": figures_of(plan),
        "ground": ground_key(draft),
    }


def plain(value: Any) -> Any:
    """Tables as JSON holds them; days become text, which a job file takes too."""
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [plain(one) for one in value]
    return value.isoformat() if isinstance(value, date) else value


def tables_of(kept: Variant) -> dict[str, Any]:
    """The tables of a variant; what a job file cannot hold, as a file that somebody changed may have it, is left out."""
    return {key: value for key, value in _held(kept["tables"]).items() if value is not None}


def _held(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(key): held for key, one in value.items() if (held := _held(one)) is not None}
    if isinstance(value, list):
        return [held for one in value if (held := _held(one)) is not None]
    return value


def ground_key(draft: Draft) -> str:
    """A key that is the same for the same map."""
    ground = [(one.layer, one.geometry.wkb, sorted(one.attributes.items())) for one in draft.ground]
    return hashlib.sha256(pickle.dumps(ground, 4)).hexdigest()[:16]


def usable(kept: Sequence[Variant]) -> tuple[Variant, ...]:
    """The variants that have what one needs; files of another version may hold others."""
    return tuple(
        one
        for one in kept
        if isinstance(one.get("tables"), Mapping)
        and isinstance(one.get("figures"), Mapping)
        and all(isinstance(one["figures"].get(key), int | float) for key in _NEEDED)
    )


_NEEDED = ("drill_width_m", "field_speed_m_per_s", "drilled_m2", "field_s", "job_s", "seed_kg", "prob")


def compared(figures: Sequence[Mapping[str, Any]], q: Quantities) -> tuple[Row, ...]:
    """The figures side by side, in the reader's units, with the differences from the first.

    Parameters
    ----------
    figures
        As `figures_of` gives them; at least one.
    q
        The reader's units.
    """
    first = figures[0]

    def row(called: str, key: str, words: Any) -> Row:
        cells = [(words(one[key]), _difference(one[key] - first[key], words)) for one in figures]
        return Row(called, tuple(cells))

    return (
        row("Drill", "drill_width_m", lambda value_m: q.length(value_m, 1)),
        row("Speed while sowing", "field_speed_m_per_s", q.speed),
        row(f"Ground drilled, {q.area_word}", "drilled_m2", lambda value_m2: q.area(value_m2, 1)),
        row("Hours in the fields", "field_s", hours),
        row("Hours of the whole job", "job_s", hours),
        _days(figures),
        Row("Odds of these days", tuple((percent(float(one["prob"])), "") for one in figures)),
        row(f"Seed to buy, {q.mass_unit}", "seed_kg", q.mass),
        _money(figures),
    )


def _difference(value: float, words: Any) -> str:
    """A difference with its sign; empty where it does not show."""
    size = str(words(abs(value)))
    if size == str(words(0.0)):
        return ""
    return f"+{size}" if value > 0 else f"−{size}"


def _days(figures: Sequence[Mapping[str, Any]]) -> Row:
    days = [one.get("suggested_days") for one in figures]
    cells = []
    for n in days:
        more = "" if n is None or days[0] is None else _difference(n - days[0], lambda size: f"{size:g}")
        cells.append(("none" if n is None else str(n), more))
    return Row("Days to book", tuple(cells))


def _money(figures: Sequence[Mapping[str, Any]]) -> Row:
    """What is known of the cost; differences where all is in one currency."""
    cells, first = [], figures[0]
    for one in figures:
        cost, currency = list(one.get("cost") or ()), str(one.get("currency") or "")
        if not currency or len(cost) != 2:
            cells.append(("not known", ""))
            continue
        same = currency == first.get("currency") and len(first.get("cost") or ()) == 2
        middle = (sum(cost) - sum(first["cost"])) / 2 if same else 0.0
        words = money_range(abs(middle), abs(middle), currency)
        none = money_range(0.0, 0.0, currency)
        sign = "" if words == none else f"{'+' if middle > 0 else '−'}{words}"
        cells.append((money_range(cost[0], cost[1], currency), sign))
    return Row("Known cost", tuple(cells))
