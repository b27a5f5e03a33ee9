"""A designed mix as JSON, as CSV, and as the seed tables of a job file."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from datetime import date

from fieldplan.model.mix_design import Demand, Design, Limit
from fieldplan.model.seed import Component
from fieldplan.report.output import MixAsked, Output, of_text
from fieldplan.report.words.notes import notes_as_data
from fieldplan.units import ACRE_M2, BUSHEL_M3, POUND_KG, SQUARE_FOOT_M2


def mix_object(found: Design) -> dict[str, object]:
    """The design as nested dicts in SI: rates, seeds, costs, limits, lots in turn."""
    target = found.target
    return {
        "schema": "fieldplan/mix/1",
        "name": target.name,
        "aim": target.aim,
        "ground_m2": target.ground_m2,
        "overage_frac": target.overage_frac,
        "seeds_per_m2": found.seeds_per_m2,
        "cost_per_m2": found.cost_per_m2,
        "currency": target.currency,
        "lots": [
            {
                "species": share.offer.component.species,
                "lot": share.offer.component.lot,
                "group": share.offer.group,
                "seeds_per_m2": share.seeds_per_m2,
                "seeds_frac": share.seeds_per_m2 / found.seeds_per_m2,
                "pls_frac": share.offer.component.pls_frac,
                "pls_kg_per_m2": share.pls_kg_per_m2,
                "bulk_kg_per_m2": share.bulk_kg_per_m2,
                "cost_per_m2": share.cost_per_m2,
                "need_kg": share.need_kg,
                "buy_kg": share.buy_kg,
                "bags": share.bags,
            }
            for share in found.shares
        ],
        "limits": [_limit(limit) for limit in found.limits],
        "in_turn": [
            {
                "species": species,
                "lots": [
                    {"lot": share.offer.component.lot, "ground_m2": ground, "bulk_kg_per_m2": rate}
                    for share, ground, rate in turns
                ],
            }
            for species, turns in found.lots_in_turn()
        ],
        "notes": notes_as_data(found.notes),
    }


def _limit(limit: Limit) -> dict[str, object]:
    demand: Demand = limit.demand
    return {
        "on": demand.measured,
        "sense": demand.sense,
        "about": demand.about,
        "bound": demand.bound,
        "saves_by_unit": limit.saves,
    }


def mix_csv(found: Design) -> str:
    """A row a lot, for a spreadsheet: live seeds/ft², pounds an acre, money an acre, pounds and bags."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(
        (
            *(
                "species",
                "lot",
                "group",
                "seeds_per_ft2",
                "percent_of_seeds",
                "pls_percent",
                "pls_lb_per_ac",
            ),
            *("bulk_lb_per_ac", "cost_per_ac", "need_lb", "buy_lb", "bags"),
        )
    )
    rate = ACRE_M2 / POUND_KG
    for share in found.shares:
        component = share.offer.component
        writer.writerow(
            (
                guarded(component.species),
                guarded(component.lot),
                guarded(share.offer.group),
                f"{share.seeds_per_m2 * SQUARE_FOOT_M2:.3f}",
                f"{share.seeds_per_m2 / found.seeds_per_m2 * 100:.2f}",
                f"{component.pls_frac * 100:.2f}",
                f"{share.pls_kg_per_m2 * rate:.4f}",
                f"{share.bulk_kg_per_m2 * rate:.4f}",
                "" if share.cost_per_m2 is None else f"{share.cost_per_m2 * ACRE_M2:.2f}",
                "" if share.need_kg is None else f"{share.need_kg / POUND_KG:.3f}",
                "" if share.buy_kg is None else f"{share.buy_kg / POUND_KG:.3f}",
                "" if share.bags is None else share.bags,
            )
        )
    return out.getvalue()


def guarded(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula.

    Examples
    --------
    >>> guarded("=1+1")
    "'=1+1"
    """
    return f"'{cell}" if cell[:1] in ("=", "+", "-", "@") else cell


def mix_toml(found: Design) -> str:
    """The mix as ``[[mix]]`` of a job file, ready to plan with: rates in pure live seed, tags as given."""
    return "\n".join(_toml_lines(found)) + "\n"


def _toml_lines(found: Design) -> Iterator[str]:
    yield '# Take this into a job file with  [[mix]]  use = "mix.toml", or paste it in.'
    yield "[[mix]]"
    yield f"name = {quoted(found.mix.name)}"
    yield f"overage = {_percent(found.mix.overage_frac)}"
    for component in found.mix.components:
        yield ""
        yield "[[mix.component]]"
        for key, value in _tag(component):
            yield f"{key} = {value}"


def _tag(component: Component) -> Iterator[tuple[str, str]]:
    """Keys of a component with their values as TOML; those at their defaults are left out."""
    yield "species", quoted(component.species)
    if component.box:
        yield "box", quoted(component.box)
    yield "rate", f'"{_plain(component.rate.value * ACRE_M2 / POUND_KG)} lb/ac PLS"'
    if component.lot:
        yield "lot", quoted(component.lot)
    for name in ("purity", "germination", "hard", "dormant", "coating", "inert", "other_crop"):
        share = getattr(component, f"{name}_frac")
        if share or name in ("purity", "germination"):
            yield name, _percent(share)
    if component.weed_frac:
        yield "weed_seed", _percent(component.weed_frac)
    if component.seeds_per_kg is not None:
        yield "seeds_per_pound", _plain(component.seeds_per_kg * POUND_KG)
    yield "bulk_weight", f'"{_plain(component.bulk_kg_per_m3 * BUSHEL_M3 / POUND_KG)} lb/bu"'
    yield "bag", f'"{_plain(component.bag_kg / POUND_KG)} lb"'
    if component.price is not None:
        amount, currency = _plain(component.price.per_kg * POUND_KG), component.price.currency
        yield "price", quoted(f"{amount} {currency}/lb" if currency.isalpha() else f"{currency}{amount}/lb")
    if isinstance(component.tested, date):
        yield "tested", component.tested.isoformat()
    if component.treated:
        yield "treated", "true"
    if component.carrier is not None:
        carrier = component.carrier
        text = f"{carrier.name} at {_plain(carrier.bulk_kg_per_m3 * BUSHEL_M3 / POUND_KG)} lb/bu"
        if carrier.volume_m3_per_m2 is not None:
            text += f" to {_plain(carrier.volume_m3_per_m2 * ACRE_M2 / BUSHEL_M3)} bu/ac"
        yield "carrier", quoted(text)
    meant = sorted(component.meant - {"rate"})
    if meant:
        yield "meant", f"[{', '.join(map(quoted, meant))}]"


def quoted(text: str) -> str:
    """Text as a TOML string.

    Examples
    --------
    >>> quoted('a "b"')
    '"a \\\\"b\\\\""'
    """
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _percent(share: float) -> str:
    return f'"{_plain(share * 100)} %"'


def _plain(value: float) -> str:
    """A number in plain digits, to nine of them."""
    text = f"{value:.9g}"
    return text if "e" not in text else f"{value:.12f}".rstrip("0").rstrip(".")


TABLES: Output[MixAsked] = Output(
    name="mix",
    words="mix.toml, the mix as seed tables of a job file",
    make=lambda asked: {"mix.toml": of_text(lambda: mix_toml(asked.design))},
    always=("mix.toml",),
)
CSV: Output[MixAsked] = Output(
    name="csv",
    words="mix.csv, a row a lot",
    make=lambda asked: {"mix.csv": of_text(lambda: mix_csv(asked.design))},
    always=("mix.csv",),
)
