"""What is said of values about the limits of what is plausible, and of values that cannot be read."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

from conftest import SAMPLES
from unit.tables.edits import Row

from fieldplan.errors import InputError
from fieldplan.facts import TableSentence
from fieldplan.jobfile.hints import right_form
from fieldplan.jobfile.load import load_job
from fieldplan.jobfile.plausible import Spot, warning
from fieldplan.jobfile.schema import SCHEMA
from fieldplan.model.budget import OrderLine
from fieldplan.model.job import BookingTerms
from fieldplan.model.seed import Price
from fieldplan.season.program import load_program
from fieldplan.season.requests import read_requests
from fieldplan.season.warnings import season_warnings
from fieldplan.units import ACRE_M2, CUBIC_FOOT_M3, FACTORS, FOOT_M, POUND_KG
from fieldplan.work.warnings import day_warnings, order_warnings

PATH = Path("farm.toml")
JOB = load_job(SAMPLES / "farm.toml")
_DAYS = {"booking.start", "booking.finish_by", "mix.component.tested"}


def plausible(row: Row) -> Callable[[], str]:
    """What the bands of a row say, of a job file, a plan or a request."""
    key = row["key"]
    if key in _DAYS or key.startswith(("plan.", "request.")):
        return lambda: str(_limits_hit(row))
    table, _, last = key.rpartition(".")
    kind = next((kind for kind, units in FACTORS.items() if row["unit"] in units), None)
    scale = (
        FACTORS[kind][row["unit"]]
        if kind
        else CUBIC_FOOT_M3 / FOOT_M
        if row["unit"] == "ft3 a foot"
        else 1.0
    )
    spot = Spot(table=table if table in SCHEMA else "drill", label="t", path=PATH)
    typed = [*_typed(row, kind)]

    def probe() -> str:
        found = [
            warning(
                spot,
                last,
                key,
                one * (FACTORS[kind][unit] if kind else scale),
                kind,
                given=f"{one:g} {unit}".strip() if kind else one,
                known={"width_m": 3.0, "times_plain": 2.0},
            )
            for one, unit in typed
        ]
        return "\n".join(
            [
                *(f"{one.text} {getattr(one, 'hint', '')}" for one in found if one),
                *_forms(table, last, typed),
            ]
        )

    return probe


def _typed(row: Row, kind: Any) -> Iterator[tuple[float, str]]:
    """Values about every limit, and the middle of what is likely in every other unit, as its number in the
    usual one.
    """
    limits = [
        float(row[name])
        for name in ("low_possible", "low_likely", "high_likely", "high_possible")
        if row[name]
    ]
    spread = (limits[-1] - limits[0]) or 1.0
    yield from ((limit * by, row["unit"]) for limit in limits for by in (0.97, 1.03))
    yield from (
        (limit + by * spread, row["unit"]) for limit in limits if limit <= 0 for by in (-0.01, 0.01)
    )
    yield from (
        ((a + b) / 2 + (b - a) * by, row["unit"]) for a, b in pairwise(limits) for by in (-0.45, 0.02, 0.45)
    )
    yield 0.0, row["unit"]
    if kind:
        low, high = float(row["low_likely"]), float(row["high_likely"])
        for unit in set(row["other_units"].split()) & set(FACTORS[kind]):
            by = FACTORS[kind][row["unit"]] / FACTORS[kind][unit]
            yield from (
                (one * by * near, row["unit"])
                for one in (low or high / 50, (low * high) ** 0.5 or high / 7, high)
                for near in (0.97, 1.03)
            )


def _forms(table: str, key: str, typed: list[tuple[float, str]]) -> Iterator[str]:
    if table not in SCHEMA or key not in SCHEMA[table]:
        return
    parser = SCHEMA[table][key].parse
    for given in ("some", "300 %", *(f"{one:g}" for one, _ in typed)):
        try:
            parser(given)
        except InputError as error:
            yield f"{right_form(table, key, parser, given, error.problems[0])} {error.problems[0].text} {error.problems[0].hint}"


def _limits_hit(row: Row) -> list[str]:
    """What is said of a day, a size, an order at the limits of what is likely."""
    today, key = date(2027, 4, 1), row["key"]
    low, high = float(row["low_likely"]), float(row["high_likely"])
    about = [at + by * (high - low) for at in (low, high) for by in (-0.2, -0.02, 0.02, 0.2)]
    (mix,) = JOB.mixes
    notes: list[Any] = []
    if key.startswith("booking."):
        for days in about:
            day = today + timedelta(days=days)
            start, finish = (day, None) if key == "booking.start" else (day - timedelta(days=1), day)
            meant = frozenset({"start"} if finish else ())
            terms = BookingTerms(
                day_s=28_800.0,
                fieldwork_day_prob=0.5,
                confidence_prob=0.8,
                start=start,
                finish_by=finish,
                meant=meant,
            )
            notes += day_warnings(terms, [], today)
    elif key == "mix.component.tested":
        for days in about:
            lot = replace(mix.components[0], tested=today + timedelta(days=days))
            notes += day_warnings(JOB.booking, [replace(mix, components=(lot,))], today)
    elif key.startswith("plan."):
        for n in about:
            lot = mix.components[0]
            bags, price = (
                (round(n * 10), 0.01) if key == "plan.bags_per_acre" else (3, n * 10 / (100 * POUND_KG))
            )
            line = OrderLine(
                species=lot.species,
                lot=lot.lot,
                sown_kg=1.0,
                need_kg=1.0,
                residual_kg=0.0,
                bag_kg=100 * POUND_KG / max(bags, 1),
                bags=bags,
                pls_frac=0.9,
                price=Price(per_kg=max(0.0, price), currency="$"),
            )
            notes += order_warnings([line], [mix], {(lot.species, lot.lot): 10 * ACRE_M2})
    else:
        notes += _of_requests(key.split(".")[1], about)
    return [str(note) if isinstance(note, TableSentence) else note.text for note in notes]


_LENDING = load_program(SAMPLES / "season.toml")
_REQUEST = read_requests(SAMPLES / "requests.csv")[0]


def _of_requests(column: str, about: list[float]) -> list[Any]:
    opens, closes = _LENDING.terms.opens, _LENDING.terms.closes
    base = {"ready": opens, "until": closes, "asked": _REQUEST.ready}
    if column == "acres":
        return [
            *season_warnings(
                _LENDING, [replace(_REQUEST, fields=None, ground_m2=max(0.01, n) * ACRE_M2) for n in about]
            )
        ]
    return [
        *season_warnings(
            _LENDING, [replace(_REQUEST, **{column: base[column] + timedelta(days=n)}) for n in about]
        )
    ]
