"""A seed lot held against what is published of its species, and against what seed can be at all."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import SequenceMatcher
from typing import Any

from fieldplan.facts import Money, Value, fact
from fieldplan.jobfile.check import Checker
from fieldplan.jobfile.plausible import Spot
from fieldplan.model.live_seed import live_kg_per_m2
from fieldplan.model.notes import Note
from fieldplan.model.seed import Rate
from fieldplan.model.spelling import nearest
from fieldplan.tables import read as tables
from fieldplan.units import ACRE_M2, BUSHEL_M3, POUND_KG

_TABLE = "mix.component"
_WORD_BY_WORD, _AS_A_WHOLE = 0.72, 0.9
"""How like a known name an unknown one must be to be taken for a slip of it."""
_OVER = {
    "rate": "makes/over-full-stand",
    "seeds_per_pound": "makes/over-seed-size",
    "bulk_weight": "makes/over-bushel",
}
"""What is said of figures that are many times what is published."""


def weigh_lot(
    checker: Checker, spot: Spot, v: Mapping[str, Any], given: Mapping[str, Any], *, alone: bool
) -> None:
    """Say what of a lot is unlikely; ``alone`` if it is the only one of its mix."""
    live = v["germination"] + v["hard"] + v["dormant"]
    if live <= 1 and not {"hard", "dormant"} & spot.meant:
        key = next(key for key in ("germination", "hard", "dormant") if key in given)
        alive = fact("makes/live", live_typed_frac=live)
        checker.judge(spot, key, f"{_TABLE}.live", live, "share", given=given[key], makes=alive)
    seeds = tables.species_figure(v["species"], "seeds per pound")
    if seeds and not seeds.unfit and "seeds_per_pound" in v:
        _weigh_ratio(
            checker,
            spot,
            "seeds_per_pound",
            "over published",
            v["seeds_per_pound"],
            (seeds.low, seeds.high),
            given,
        )
    _weigh_rate(checker, spot, v, given, v["purity"] * live, alone=alone)
    bushel = tables.published_bushel(v["species"])
    if bushel:
        checker.judge(
            spot,
            "purity",
            f"{_TABLE}.purity of clean seed",
            min(1.0, v["purity"] + v["coating"]),
            "share",
            given=given["purity"],
            makes=fact("makes/low-for-a-crop"),
        )
    if bushel and not v["coating"]:
        lb_per_bu = v["bulk_weight"] * BUSHEL_M3 / POUND_KG
        _weigh_ratio(checker, spot, "bulk_weight", "over published", lb_per_bu, bushel, given)
    if "price" in v and v["price"][1] == "$":
        amount, _, kg = v["price"]
        per_kg = amount / (kg or v["bag"])
        comes_to = fact(
            "makes/price", price_per_lb=Money(per_kg * POUND_KG, "$"), price_per_kg=Money(per_kg, "$")
        )
        checker.judge(
            spot, "price", f"{_TABLE}.price", per_kg * POUND_KG, None, given=given["price"], makes=comes_to
        )


def _weigh_rate(
    checker: Checker,
    spot: Spot,
    v: Mapping[str, Any],
    given: Mapping[str, Any],
    pls_frac: float,
    *,
    alone: bool,
) -> None:
    rate: Rate = v["rate"]
    kind = rate.form.kind
    seeds = tables.species_figure(v["species"], "seeds per pound")
    seeds_per_lb = v.get("seeds_per_pound") or (seeds.value if seeds and not seeds.unfit else None)
    live = live_kg_per_m2(rate, pls_frac, seeds_per_lb / POUND_KG if seeds_per_lb else None, None)
    if live is None:
        checker.judge(spot, "rate", f"{_TABLE}.rate {rate.basis}", rate.value, kind, given=given["rate"])
        return
    live_lb_per_ac = live * ACRE_M2 / POUND_KG
    published = tables.sowing_rate(v["species"])
    if published:
        usual = tables.usual_box(v["species"])
        grain = (
            usual is not None and usual[0] == "grain" and tables.published_bushel(v["species"]) is not None
        )
        band = (
            "rate of full seeding rate alone"
            if alone
            else "rate of a grain in a mix"
            if grain
            else "rate over full seeding rate"
        )
        _weigh_ratio(checker, spot, "rate", band, live_lb_per_ac, published, given)
    if (
        seeds_per_lb
        and rate.basis != "live seeds"
        and "seeds_per_pound" not in checker.unlikely(spot.label)
    ):
        per_m2 = live_lb_per_ac * seeds_per_lb / ACRE_M2
        seeds_live = fact("makes/live-seeds", live_typed_seeds_per_m2=per_m2)
        checker.judge(
            spot,
            "rate",
            f"{_TABLE}.rate live seeds",
            per_m2,
            "count rate",
            given=given["rate"],
            makes=seeds_live,
        )
    checker.judge(spot, "rate", f"{_TABLE}.rate {rate.basis}", rate.value, kind, given=given["rate"])


def _weigh_ratio(
    checker: Checker,
    spot: Spot,
    key: str,
    band: str,
    value: float,
    published: tuple[float, float],
    given: Mapping[str, Any],
) -> None:
    """Hold a figure against a published range: how many times it is over its top, or what share of its
    bottom it reaches.
    """
    low, high = published
    times = value / high if value > high else value / low if value < low else 1.0
    name = f"{_TABLE}.{key} {band}" if not band.startswith(key) else f"{_TABLE}.{band}"
    checker.judge(
        spot, key, name, times, None, given=given.get(key), makes=fact(_OVER[key], times_plain=times)
    )


def known_species(checker: Checker, spot: Spot, species: str) -> None:
    """A warning if a species is in no table and all but spelled like one that is; a note if it is like
    none.
    """
    if "species" in spot.meant or tables.species_kind(species).casefold() in tables.species_names():
        return
    near = _nearest_species(species)
    if near is not None:
        values: dict[str, Value] = {
            "table": spot.label,
            "species": species,
            "near": near,
            "line": spot.line("species"),
        }
        checker.notes.append(Note(code="species-like", warning=True, values=values))
        return
    inside = next(
        (
            name
            for name in tables.species_names()
            if len(name) > 5 and species.casefold().endswith(f" {name}")
        ),
        None,
    )
    variety = species[: -len(inside)].strip() if inside else ""
    values = {"table": spot.label, "species": species, "kind": inside or "", "variety": variety}
    checker.notes.append(Note(code="species-unlisted", values=values))


def _nearest_species(species: str) -> str | None:
    """The common name of the species whose name is all but spelled so: word by word, or as a whole less its
    blanks.
    """
    words = species.casefold().split()
    symbols = (
        () if species.isupper() else {row["symbol"].casefold() for row in tables.rows("species_names")}
    )
    together = nearest(
        "".join(words), {name.replace(" ", "") for name in tables.species_names()}, _AS_A_WHOLE
    )
    alike = [
        (sum(SequenceMatcher(None, a, b).ratio() for a, b in zip(words, name.split(), strict=True)), name)
        for name in tables.species_names()
        if name not in symbols
        and len(name.split()) == len(words)
        and all(
            SequenceMatcher(None, a, b).ratio() >= _WORD_BY_WORD
            for a, b in zip(words, name.split(), strict=True)
        )
    ]
    best = max(alike)[1] if alike else None
    if best is None:
        best = next((name for name in tables.species_names() if name.replace(" ", "") == together), None)
    return tables.species_names()[best] if best else None
